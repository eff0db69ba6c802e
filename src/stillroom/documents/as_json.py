"""The data twin of a page: the same frozen object as JSON, block by block, drawings left out."""

import dataclasses
from typing import Any

from stillroom.documents.blocks import Page, River


def page_json(page: Page) -> dict[str, Any]:
    """The page as JSON content.

    Returns
    -------
    dict
        Every field of the page; each block carries its kind under "block".
    """
    content = {
        field.name: getattr(page, field.name) for field in dataclasses.fields(page) if field.name != "blocks"
    }
    content["blocks"] = [{"block": type(block).__name__, **_plain(block)} for block in page.blocks]
    return content


def _plain(block: object) -> dict[str, Any]:
    if isinstance(block, River):
        return {"words": block.words}
    return {field.name: _value(getattr(block, field.name)) for field in dataclasses.fields(block)}  # type: ignore[arg-type]


def _value(value: object) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _plain(value)
    if isinstance(value, tuple | list):
        return [_value(one) for one in value]
    return value
