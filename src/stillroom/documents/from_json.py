"""A page that was kept as JSON, read back as it was printed: a certificate is shown for ever as it was issued."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from stillroom.documents.blocks import BLOCKS, Block, Page
from stillroom.errors import BookTrouble


def page_from_json(content: Mapping[str, Any]) -> Page:
    """The page that ``page_content`` wrote.

    Parameters
    ----------
    content : mapping
        With its blocks, each under its kind. [JSON content]

    Raises
    ------
    BookTrouble
        A block has another shape.
    """
    fields = {name: value for name, value in content.items() if name != "blocks"}
    return Page(**fields, blocks=tuple(_block(one) for one in content["blocks"]))


def _block(content: Mapping[str, Any]) -> Block:
    from pydantic import ValidationError

    try:
        block: Block = _adapter(content["block"]).validate_python(
            {name: value for name, value in content.items() if name != "block"}
        )
    except (KeyError, ValidationError) as trouble:
        raise BookTrouble("A kept page must have its shape", str(trouble), "Verify the book") from trouble
    return block


@cache
def _adapter(kind: str) -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter({one.__name__: one for one in BLOCKS}[kind])
