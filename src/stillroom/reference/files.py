"""The files of the reference, as text and as parsed TOML, wherever the package is installed.

Promises UTF-8 text of files shipped with the package. Does not look anywhere else on the disk.
"""

import tomllib
from pathlib import Path
from typing import Any

_ROOM = Path(__file__).parent


def text_of(*parts: str) -> str:
    """The text of one shipped file.

    Parameters
    ----------
    *parts : str
        The path below the reference room, one part at a time.

    Returns
    -------
    str
        The whole file.
    """
    return _ROOM.joinpath(*parts).read_text(encoding="utf-8")


def toml_of(*parts: str) -> dict[str, Any]:
    """One shipped TOML file, parsed.

    Parameters
    ----------
    *parts : str
        The path below the reference room, one part at a time.

    Returns
    -------
    dict
        Its content.
    """
    return tomllib.loads(text_of(*parts))


def table_names() -> tuple[str, ...]:
    """The names of every shipped table, in alphabetical order.

    Returns
    -------
    tuple of str
        File names under ``tables/`` without ``.csv``.
    """
    names = (entry.name for entry in _ROOM.joinpath("tables").iterdir())
    return tuple(sorted(name.removesuffix(".csv") for name in names if name.endswith(".csv")))
