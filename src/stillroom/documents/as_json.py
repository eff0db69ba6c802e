"""The data twin of a page: the same frozen object as JSON, block by block, drawings left out."""

import dataclasses
from collections.abc import Iterator, Mapping
from typing import Any

from stillroom.documents.blocks import Page, River, Shown

FIGURE = {
    "name": "name", "value": "exact", "u": "u", "unit": "unit", "basis": "basis", "answer": "answer", "label": "label",
}  # fmt: skip
"""What is told of a figure, and where a shown number holds it."""


def page_json(page: Page) -> dict[str, Any]:
    """The page for a program: its content, and ``figures``.

    Returns
    -------
    dict
        ``figures`` lists every figure of the page by a name that is the same in every language: "name", "value", "u",
        "unit", "basis", "answer" (key of its trail), and "label" for people.
    """
    content = page_content(page)
    return content | {"figures": list(_figures(content["blocks"]))}


def page_content(page: Page) -> dict[str, Any]:
    """The page as JSON content, fit to be kept and read back.

    Returns
    -------
    dict
        Every field of the page; each block carries its kind under "block".
    """
    content = {
        one.name: getattr(page, one.name)
        for one in dataclasses.fields(page)
        if one.name not in ("blocks", "names")
    }
    content["blocks"] = [
        {"block": type(block).__name__, **_plain(block, page.names)} for block in page.blocks
    ]
    return content


def _plain(block: object, names: Mapping[str, str]) -> dict[str, Any]:
    if isinstance(block, River):
        return {"words": block.words}
    plain = {one.name: _value(getattr(block, one.name), names) for one in dataclasses.fields(block)}  # type: ignore[arg-type]
    if isinstance(block, Shown):
        plain["name"] = names.get(block.answer, block.name)
    return plain


def _value(value: object, names: Mapping[str, str]) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _plain(value, names)
    if isinstance(value, tuple | list):
        return [_value(one, names) for one in value]
    return value


def _figures(content: object) -> Iterator[dict[str, Any]]:
    if isinstance(content, dict):
        if content.get("name") and "exact" in content:
            yield {told: content[held] for told, held in FIGURE.items()}
        content = list(content.values())
    if isinstance(content, list):
        for one in content:
            yield from _figures(one)
