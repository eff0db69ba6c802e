"""Canonical text and its hash: the same content always gives the same words and the same seal.

Says nothing about who wrote the content; that is the journal's business.
"""

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from typing import TypeAlias

from stillroom.errors import BadEntry

Json: TypeAlias = "bool | int | float | str | Sequence[Json] | Mapping[str, Json] | None"

_WRITER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def canonical(content: Json) -> str:
    """Write JSON content the one way it is hashed: keys sorted, no spaces, no NaN.

    Parameters
    ----------
    content : Json
        Anything made of dictionaries, lists, text, whole numbers, floats, booleans and None.

    Returns
    -------
    str
        Canonical text.

    Raises
    ------
    BadEntry
        The content holds something that JSON cannot carry, or a number that is not finite.
    """
    try:
        return _WRITER.encode(content)
    except (TypeError, ValueError) as trouble:
        must_be_finite(content)
        raise BadEntry(
            "An entry must be made of text, finite numbers, lists and tables", str(trouble)
        ) from trouble


def seal(content: Json) -> str:
    """SHA-256 of the canonical text, as 64 hexadecimal digits.

    Parameters
    ----------
    content : Json
        Content to be written canonically first, or text already canonical.
    """
    text = content if isinstance(content, str) else canonical(content)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def must_be_finite(content: object) -> None:
    """Refuse content that holds a number that is not finite.

    Raises
    ------
    BadEntry
        One is not.
    """
    if isinstance(content, float):
        if not math.isfinite(content):
            raise BadEntry(
                "A number in an entry must be finite", repr(content), "Write the number that was read"
            )
    elif isinstance(content, Mapping):
        for one in content.values():
            must_be_finite(one)
    elif isinstance(content, list | tuple):
        for one in content:
            must_be_finite(one)
