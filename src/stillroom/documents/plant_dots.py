"""What the batches of a plant gave, as dots by date: one shape a way, a band for what is to be expected next.

Promises a drawing that stands alone, prints in black and white (shapes and words, not colours, tell the ways apart) and
carries its words. Reckons nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stillroom.documents.blocks import River
from stillroom.documents.drawing_marks import COPPER, DEEP, FADED, INK, LEAF, RULE, framed, line, text
from stillroom.documents.numbers_shown import number
from stillroom.texts.catalogue import between, t

LEFT, RIGHT, TOP, BOTTOM = 52.0, 16.0, 40.0, 54.0
SHAPES = ("circle", "square", "triangle", "diamond")
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)


def plant_address(plant: str) -> str:
    """A plant's name as it stands in an address: "rosemary-leaf"."""
    return "-".join(plant.casefold().split())


def plant_href(plant: str) -> str:
    """The address of a plant's page."""
    return f"/plants/{plant_address(plant)}"


@dataclass(frozen=True, slots=True)
class Dot:
    """One batch."""

    code: str
    on: str
    """ISO date it ended."""
    yield_g: float
    """Extract of 100 g of dry plant. [g]"""
    way: str
    like_none: bool
    """Whether it lies where none of the others would."""


def plant_dots(dots: Sequence[Dot], band_g: tuple[float, float, float] | None) -> River:
    """The dots as a drawing, wide and tall.

    Parameters
    ----------
    dots : sequence of Dot
        At least one, the earliest first.
    band_g : tuple of float or None
        Low end, median and high end of the 80 % band of the way that was used last. [g]
    """
    words = dots_in_words(dots, band_g)
    return River(_svg(dots, band_g, words, 760, 360), _svg(dots, band_g, words, 360, 340), words)


def dots_in_words(dots: Sequence[Dot], band_g: tuple[float, float, float] | None) -> str:
    """The same for those who cannot see it.

    Parameters
    ----------
    band_g : tuple of float or None
        [g]
    """
    said = [
        t(
            "{code} on {on} by {way}: {grams} g of extract from 100 g of dry plant",
            code=one.code,
            on=one.on[:10],
            way=t(one.way),
            grams=number(one.yield_g),
        )
        + (t(", like none before") if one.like_none else "")
        for one in dots
    ]
    words = "; ".join(said) + "."
    if band_g is None:
        return words
    low, middle, high = band_g
    return (
        words
        + " "
        + t(
            "The next is expected at {middle} g, in 80 of 100 cases {range} g.",
            middle=number(middle),
            range=between(number(low), number(high)),
        )
    )


def _svg(
    dots: Sequence[Dot], band_g: tuple[float, float, float] | None, words: str, width: int, height: int
) -> str:
    ways = list(dict.fromkeys(one.way for one in dots))
    wide, deep = width - LEFT - RIGHT, height - TOP - BOTTOM - 18.0 * (len(ways) > 1)
    most = max([one.yield_g for one in dots] + ([band_g[2]] if band_g else [])) * 1.1
    step = next((one for one in STEPS if most / one <= 6), STEPS[-1])
    days = [date.fromisoformat(one.on[:10]).toordinal() for one in dots]
    first, last = min(days), max(days)
    margin = max(1.0, 0.08 * (last - first))

    def x(day: float) -> float:
        return LEFT + wide * (day - first + margin) / (last - first + 2.0 * margin)

    def y(grams: float) -> float:
        return TOP + deep * (1.0 - grams / most)

    parts = []
    if band_g is not None:
        low, middle, high = (max(one, 0.0) for one in band_g)
        parts.append(
            f'<rect x="{LEFT:.1f}" y="{y(high):.1f}" width="{wide:.1f}" height="{y(low) - y(high):.1f}" '
            f'fill="{DEEP}" stroke="{RULE}"/>'
        )
        parts.append(line(((LEFT, y(middle)), (width - RIGHT, y(middle))), LEAF, "6 4"))
        parts.append(text(width - RIGHT - 4, y(high) - 5, t("80 of 100 next batches"), "end"))
    for at in range(int(most / step) + 1):
        parts.append(line(((LEFT, y(at * step)), (width - RIGHT, y(at * step))), RULE))
        parts.append(text(LEFT - 8, y(at * step) + 4, f"{at * step:g}", "end"))
    parts.append(text(8, 18, t("g of extract from 100 g of dry plant"), "start", FADED))
    for one, day in zip(dots, days, strict=True):
        fill = COPPER if one.like_none else INK
        parts.append(_shape(SHAPES[ways.index(one.way) % len(SHAPES)], x(day), y(one.yield_g), fill))
        parts.append(
            text(x(day), y(one.yield_g) - 11, one.code + (" !" if one.like_none else ""), "middle", fill)
        )
    ends = dict.fromkeys((first, last))
    for at, day in enumerate(ends):
        anchor = "middle" if len(ends) == 1 else ("start", "end")[at]
        parts.append(line(((x(day), y(0)), (x(day), y(0) + 5)), FADED))
        parts.append(text(x(day), y(0) + 20, date.fromordinal(day).isoformat(), anchor, FADED))
    if len(ways) > 1:
        along = LEFT
        for at, way in enumerate(ways):
            parts.append(_shape(SHAPES[at % len(SHAPES)], along + 6, height - 16, INK))
            parts.append(text(along + 18, height - 12, t(way), "start", INK))
            along += 40.0 + 8.0 * len(t(way))
    title = t("Extract of 100 g of dry plant, batch by batch")
    return framed((width, height), title, words, parts)


def _shape(shape: str, x: float, y: float, fill: str) -> str:
    if shape == "circle":
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{fill}"/>'
    corners = {
        "square": ((-5, -5), (5, -5), (5, 5), (-5, 5)),
        "triangle": ((0, -6), (6, 5), (-6, 5)),
        "diamond": ((0, -7), (6, 0), (0, 7), (-6, 0)),
    }[shape]
    places = " ".join(f"{x + along:.1f},{y + down:.1f}" for along, down in corners)
    return f'<polygon points="{places}" fill="{fill}"/>'
