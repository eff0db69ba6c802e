"""A portion that gives far more or far less for a gram than the others did is asked about, once."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from stillroom.errors import BadEntry, worded

FAR = 2.0
"""How many times as much, or as little, for a gram as the others is asked about (chosen). [1]"""


@dataclass(frozen=True, slots=True)
class Gave:
    """What a portion gave, as a person wrote it, at its field."""

    field: str
    words: str
    mass_g: float
    gave: float
    """Titrant used, absorbance, what is made of them; in proportion to the mass."""


def ask_about_unlike(portions: Sequence[Gave], least: float, note: str | None) -> None:
    """Ask about the portion that is least like the others; with a note it is kept.

    Parameters
    ----------
    portions : sequence of Gave
        Of one sample; one alone has none to be unlike.
    least : float
        What readings differ by anyway. [unit of what they gave]
    note : str or None
        How it came, where somebody said.

    Raises
    ------
    BadEntry
        One gave more than twice, or less than half, of what the others give for a gram.
    """
    weighed = [one for one in portions if one.mass_g > 0.0]
    off: list[tuple[float, Gave]] = []
    for one in weighed if not note else ():
        others = [each.gave / each.mass_g for each in weighed if each is not one]
        to_expect = median(others) * one.mass_g if others else one.gave
        least_of, most_of = sorted((one.gave, to_expect))
        if most_of > FAR * least_of and most_of - least_of > least:
            off.append((most_of - least_of, one))
    if off:
        last = max(enumerate(off), key=lambda one: (round(one[1][0], 9), one[0]))[1][1]
        raise BadEntry(
            worded("Portions of one sample give about as much for a gram, within {far:g} times", far=FAR),
            last.words,
            "Look at the points of both figures; or say in the note that it showed so",
            where=last.field,
        )
