"""Bodies of entries as JSON content and back, lifted from older versions where needed."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from stillroom.errors import BookTrouble, worded
from stillroom.records.entries import KIND_OF, KINDS, OLDER, VERSION, Body


def body_to_json(body: Body) -> dict[str, Any]:
    """The body as JSON content."""
    dumped: dict[str, Any] = _adapter(KIND_OF[type(body)]).dump_python(body, mode="json")
    return dumped


def body_from_json(kind: str, version: int, content: Mapping[str, Any]) -> Body:
    """The body that JSON content was made from, lifted from older versions where needed.

    Raises
    ------
    BookTrouble
        The kind is not known, or the content does not have its shape.
    """
    if kind not in KINDS:
        raise BookTrouble(
            "Every entry must be of a known kind", f"{kind!r}", "Open the book with the version that wrote it"
        )
    while version < VERSION[kind]:
        content = OLDER[kind, version](content)
        version += 1
    from pydantic import ValidationError

    try:
        body: Body = _adapter(kind).validate_python(content)
    except ValidationError as trouble:
        raise BookTrouble(
            worded("An entry of kind {kind!r} must have its shape", kind=kind),
            str(trouble),
            "Verify the book",
        ) from trouble
    return body


@cache
def _adapter(kind: str) -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(KINDS[kind])
