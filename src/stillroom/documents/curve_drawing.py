"""Points and the curves through them: a drawing that stands alone, prints in black and white and carries its words.

Curves are told apart by their dashes and their names, not by colour. Reckons nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.documents.blocks import River
from stillroom.documents.drawing_marks import FADED, INK, LEAF, RULE, framed, line, text

DASHES = ("", "8 4", "2 4", "8 4 2 4", "14 4")
LEFT, RIGHT, TOP, BOTTOM, LINE = 58.0, 16.0, 36.0, 44.0, 18.0
STEPS = tuple(base * 10.0**power for power in range(-4, 7) for base in (1.0, 2.0, 5.0))
MOST_TICKS = 6


@dataclass(frozen=True, slots=True)
class Curve:
    """One line of the drawing."""

    name: str
    points: tuple[tuple[float, float], ...]
    """[units of the axes]"""


def curve_drawing(
    dots: Sequence[tuple[float, float]],
    curves: Sequence[Curve],
    axes: tuple[str, str],
    title: str,
    words: str,
) -> River:
    """The drawing, wide and tall.

    Parameters
    ----------
    dots : sequence of (float, float)
        What was measured. [units of the axes]
    axes : tuple of (str, str)
        What runs along and up, with their units.
    title, words : str
        For those who cannot see it.
    """

    def drawn(width: int, height: int) -> str:
        return _svg(dots, curves, axes, (title, words), (width, height))

    return River(drawn(760, 380), drawn(360, 360), words)


def _svg(
    dots: Sequence[tuple[float, float]],
    curves: Sequence[Curve],
    axes: tuple[str, str],
    told: tuple[str, str],
    size: tuple[int, int],
) -> str:
    width, height = size
    every = [*dots, *(point for one in curves for point in one.points)]
    most_x, most_y = (max((one[axis] for one in every), default=1.0) * 1.06 or 1.0 for axis in (0, 1))
    wide, deep = width - LEFT - RIGHT, height - TOP - BOTTOM - LINE * len(curves)

    def x(value: float) -> float:
        return LEFT + wide * value / most_x

    def y(value: float) -> float:
        return TOP + deep * (1.0 - value / most_y)

    parts = [
        text(8, 18, axes[1], "start"),
        text(width - RIGHT, TOP + deep + 36, axes[0], "end"),
    ]
    for value in _ticks(most_y):
        parts.append(line(((LEFT, y(value)), (width - RIGHT, y(value))), RULE))
        parts.append(text(LEFT - 8, y(value) + 4, f"{value:g}", "end"))
    for value in _ticks(most_x):
        parts.append(line(((x(value), y(0)), (x(value), y(0) + 5)), FADED))
        parts.append(text(x(value), y(0) + 19, f"{value:g}"))
    for at, one in enumerate(curves):
        places = tuple((x(along), y(min(up, most_y))) for along, up in one.points)
        parts.append(line(places, LEAF, DASHES[at % len(DASHES)], 2))
        below = TOP + deep + BOTTOM + LINE * at + 8
        parts.append(line(((LEFT, below), (LEFT + 36, below)), LEAF, DASHES[at % len(DASHES)], 2))
        parts.append(text(LEFT + 44, below + 4, one.name, "start", INK))
    parts += [f'<circle cx="{x(along):.1f}" cy="{y(up):.1f}" r="4" fill="{INK}"/>' for along, up in dots]
    return framed(size, *told, parts)


def _ticks(most: float) -> list[float]:
    step = next((one for one in STEPS if most / one <= MOST_TICKS), STEPS[-1])
    return [at * step for at in range(int(most / step) + 1)]
