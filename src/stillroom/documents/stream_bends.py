"""What the river is made of: its bends and pools, in grams, and the check that they close.

Nothing is drawn here. A stream in which grams appear or vanish is refused, never drawn.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from stillroom.errors import BadEntry, worded
from stillroom.quantities.rounding import to_significant

CLOSE_ENOUGH = 1e-6


@dataclass(frozen=True, slots=True)
class Pool:
    """A named loss: where grams of the active went that did not go on."""

    name: str
    grams: float


@dataclass(frozen=True, slots=True)
class Bend:
    """One step of the stream.

    ``grams_in``, ``grams_out``: active before and after the step [g].
    ``low_5``, ``high_95``: between these lie 90 of 100 draws of what leaves the step [g].
    """

    step_name: str
    grams_in: float
    grams_out: float
    low_5: float
    high_95: float
    losses: tuple[Pool, ...] = ()
    """Their grams and ``grams_out`` sum to ``grams_in``."""
    href: str = ""
    """Page of the step, on this server; "" when there is none."""


@lru_cache(maxsize=4096)
def grams_text(grams: float) -> str:
    """Grams with three figures, as the drawing and its words show them.

    Parameters
    ----------
    grams : float
        [g]
    """
    if 0 < grams < 0.001:
        return "under 0.001 g"
    return f"{to_significant(grams, 3):f} g"


def check_closure(bends: Sequence[Bend]) -> None:
    """Refuse a stream in which grams appear or vanish.

    Raises
    ------
    BadEntry
        There is no bend, a figure is negative or not finite, or a bend does not close.
    """
    if not bends:
        raise BadEntry("A stream has at least one step", "none", "Add a step to the procedure")
    carried = bends[0].grams_in
    if not carried > 0:
        raise BadEntry(
            "A stream starts with some grams of active", f"{carried:g} g", "Give the plant its assay"
        )
    for bend in bends:
        figures = (
            bend.grams_in,
            bend.grams_out,
            bend.low_5,
            bend.high_95,
            *(one.grams for one in bend.losses),
        )
        if not all(0 <= one < float("inf") for one in figures) or bend.low_5 > bend.high_95:
            raise BadEntry(
                worded(
                    "Grams at the step {step_name!r} must be zero or more, the low before the high",
                    step_name=bend.step_name,
                ),
                ", ".join(f"{one:g}" for one in figures),
                "Look at the step and its losses",
            )
        leaving = bend.grams_out + sum(one.grams for one in bend.losses)
        room = CLOSE_ENOUGH * max(carried, bends[0].grams_in)
        if abs(bend.grams_in - carried) > room or abs(leaving - bend.grams_in) > room:
            raise BadEntry(
                worded("The step {step_name!r} must give out what it takes in", step_name=bend.step_name),
                worded(
                    "{carried:.9g} g arriving, {grams_in:.9g} g taken in, {leaving:.9g} g given out",
                    carried=carried,
                    grams_in=bend.grams_in,
                    leaving=leaving,
                ),
                "Name the loss that is missing",
            )
        if bend.href and (not bend.href.startswith(("/", "#")) or bend.href.startswith("//")):
            raise BadEntry("A bend opens a page of this book", bend.href, "Start the address with /")
        carried = bend.grams_out
