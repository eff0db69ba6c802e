"""A scannable code (QR) for labels, sheets and pages, drawn to be printed.

The drawing is one outline with its quiet zone, black on white: rows drawn one by one would show hairlines
between them at some sizes. Says nothing about where it is put; a side of 15 mm or more suits a phone for a
short code.
"""

from functools import lru_cache
from html import escape
from typing import TypeAlias

from stillroom.errors import BadEntry, worded

QUIET_MODULES = 4
"""Light modules kept free on each side (ISO/IEC 18004, from memory)."""
MOST_MODULES = 57
"""Modules on a side without the quiet zone; with more, phones fail at 24 mm (common practice, no source)."""

Modules: TypeAlias = tuple[tuple[bool, ...], ...]
Corner: TypeAlias = tuple[int, int]


def qr_modules(text: str) -> Modules:
    """The squares of a code, row by row, quiet zone included; True is dark.

    Parameters
    ----------
    text : str
        What a scanner shall read, such as "CIN-01".

    Returns
    -------
    tuple of tuple of bool
        As many rows as columns.

    Raises
    ------
    BadEntry
        There is no text, or too much of it to be read from a label.

    Notes
    -----
    Middle error correction or better: what fits into the same size without making it larger is taken.
    """
    import segno

    if not text:
        raise BadEntry("A scannable code needs a text", "nothing", "Give the lot or batch its code first")
    if not text.isprintable():
        raise BadEntry(
            "A scannable code holds one line of letters that can be seen", repr(text[:40]), "Type it again"
        )
    try:
        code = segno.make(text, error="m", boost_error=True, micro=False)
    except segno.DataOverflowError:
        raise _too_much(text) from None
    if len(code.matrix) > MOST_MODULES:
        raise _too_much(text)
    rows = code.matrix_iter(scale=1, border=QUIET_MODULES)
    return tuple(tuple(bool(one) for one in row) for row in rows)


@lru_cache(256)
def qr_svg(text: str) -> str:
    """A code as one SVG element that scales to any size.

    Parameters
    ----------
    text : str
        What a scanner shall read, such as "CIN-01".

    Returns
    -------
    str
        An ``<svg>`` element, one unit for each module, white behind so that it can be read on any ground.

    Raises
    ------
    BadEntry
        There is no text, or too much of it to be read from a label.
    """
    modules = qr_modules(text)
    side = len(modules)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="scan-code" role="img" viewBox="0 0 {side} {side}" '
        f'shape-rendering="crispEdges"><title>{escape(text)}</title>'
        f'<rect width="{side}" height="{side}" fill="#fff"/>'
        f'<path fill="#000" fill-rule="evenodd" d="{_outline(modules)}"/></svg>'
    )


def _outline(modules: Modules) -> str:
    """The edges between dark and light, followed round: one closed line for each island and each hole."""
    ways = _edges(modules)
    parts = []
    while ways:
        start = here = next(iter(ways))
        corners = [start]
        while True:
            onward = ways[here]
            there = onward.pop()
            if not onward:
                del ways[here]
            corners.append(there)
            here = there
            if here == start:
                break
        parts.append(_path(corners))
    return "".join(parts)


def _edges(modules: Modules) -> dict[Corner, list[Corner]]:
    ways: dict[Corner, list[Corner]] = {}
    for y, row in enumerate(modules):
        for x, dark in enumerate(row):
            if not dark:
                continue
            if not modules[y - 1][x]:
                ways.setdefault((x, y), []).append((x + 1, y))
            if not row[x + 1]:
                ways.setdefault((x + 1, y), []).append((x + 1, y + 1))
            if not modules[y + 1][x]:
                ways.setdefault((x + 1, y + 1), []).append((x, y + 1))
            if not row[x - 1]:
                ways.setdefault((x, y + 1), []).append((x, y))
    return ways


def _path(corners: list[Corner]) -> str:
    (x, y), *rest = corners
    steps = [f"M{x} {y}"]
    run_x = run_y = 0
    for next_x, next_y in rest:
        step_x, step_y = next_x - x, next_y - y
        if (run_x and step_y) or (run_y and step_x):
            steps.append(_run(run_x, run_y))
            run_x = run_y = 0
        run_x, run_y, x, y = run_x + step_x, run_y + step_y, next_x, next_y
    return "".join((*steps, _run(run_x, run_y), "z"))


def _run(run_x: int, run_y: int) -> str:
    return f"h{run_x}" if run_x else f"v{run_y}"


def _too_much(text: str) -> BadEntry:
    return BadEntry(
        "A scannable code must be short enough to be read from a label",
        worded("{text} characters", text=len(text)),
        "Give the code of the lot or batch only",
    )
