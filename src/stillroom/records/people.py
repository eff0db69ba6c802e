"""People as the book knows them. Contact data stand outside the journal, so that they can be erased."""

import re
from collections.abc import Collection
from dataclasses import dataclass

from stillroom.errors import BadEntry, worded


@dataclass(frozen=True, slots=True)
class Person:
    """Someone who works in the laboratory."""

    code: str
    """Short signature used in the book, such as "MA"."""
    name: str
    """Name printed on certificates."""
    may_release: bool = False
    """Whether this person may decide that a lot or product goes out."""


GLASS = ("extractor", "thimble", "flask", "condenser", "percolator", "still")
"""Kinds of apparatus that hold or take something and show nothing: only ``largest`` is asked of them."""

BETWEEN_STEPS = 0.01
"""A mass that lies further from a step of its scale was not shown by it. [steps]"""


@dataclass(frozen=True, slots=True)
class Apparatus:
    """A scale, measure or thermometer that readings are taken with, or what an extraction runs in."""

    code: str
    """Short name written on it, such as "SCALE-2"."""
    kind: str
    """One of "scale", "burette", "measure", "thermometer", "heater", "vessel", or one of ``GLASS``."""
    name: str
    smallest_step: float
    """The smallest difference it shows, in ``unit``; 0 for glass."""
    unit: str
    """Such as "g", "mL", "°C", "W"."""
    standard_uncertainty: float
    """Of one reading, in ``unit``."""
    largest: float | None = None
    """The most it can take, in ``unit``: of an extractor what stands in it when it siphons, of a thimble the
    plant."""
    material: str = ""
    """What a measuring vessel is made of, a key of the table of vessel materials; "" where nobody said."""

    @property
    def is_glass(self) -> bool:
        """Whether it holds or takes something and shows nothing."""
        return self.kind in GLASS

    def more_than_it_takes(self, mass_g: float, written: str, do: str, *, where: str) -> BadEntry | None:
        """What is said of a mass above the most a scale takes; None where it can have shown it.

        Parameters
        ----------
        mass_g : float
            [g]
        written : str
            As a person wrote it.
        do : str
            What to do then.
        where : str
            Its field.
        """
        if self.largest is None or self.unit != "g" or mass_g <= self.largest:
            return None
        most = worded(
            "{apparatus_code} takes {largest:g} {unit} at most",
            apparatus_code=self.code, largest=self.largest, unit=self.unit,
        )  # fmt: skip
        return BadEntry(most, written, do, where=where)

    def told_of(self, *masses: tuple[float, str]) -> str:
        """A sentence where a scale cannot have shown a mass that was kept, the first of them; "" where it can.

        Parameters
        ----------
        masses : (float, str)
            Each, and as a person wrote it. [g]
        """
        do = "Correct the entry if it was another scale or another mass"
        for mass_g, written in masses if self.kind == "scale" and self.unit == "g" else ():
            if too_much := self.more_than_it_takes(mass_g, written, do, where=""):
                return str(too_much)
            steps = mass_g / self.smallest_step if self.smallest_step else 0.0
            if abs(steps - round(steps)) > BETWEEN_STEPS:
                shows = worded(
                    "{apparatus_code} shows steps of {step:g} g",
                    apparatus_code=self.code,
                    step=self.smallest_step,
                )
                return str(BadEntry(shows, written, do))
        return ""


def signature_of(name: str, taken: Collection[str] = ()) -> str:
    """A short signature from the initials of a name, numbered where another has it.

    Parameters
    ----------
    name : str
        Full name. [text]
    taken : collection of str
        Signatures in use. [text]

    Returns
    -------
    str
        Such as "MA". [text]
    """
    parts = re.findall(r"[^\W\d_]+", name)
    first = "".join(part[0] for part in parts[:3]) if len(parts) > 1 else "".join(parts)[:2]
    # Title case letter by letter: upper case of Georgian lies in a block few typefaces hold.
    first = "".join(letter.title() for letter in first) or "P"
    found, number = first, 2
    while found in taken:
        found, number = f"{first}{number}", number + 1
    return found
