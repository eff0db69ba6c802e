"""Account of what happened: weighed in, weighed out, lost by name, and what is left over.

Promises that the gap is told in grams and never spread over the other lines. Says nothing about why.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.errors import BadEntry

COVERAGE = 2.0
MORE_OUT, LESS_OUT = 0.01, 0.05
"""How much more, or less where all is weighed, may come out than went in and an account still closes (chosen). [1]"""


def closes(in_g: float, out_g: float, *, all_weighed: bool) -> bool:
    """Whether what came out is what went in, but for a misread digit or what stays in vessel and filter.

    Parameters
    ----------
    in_g, out_g : float
        [g]
    all_weighed : bool
        Whether everything that came out was weighed; where it was not, less may come out.
    """
    return out_g <= in_g * (1.0 + MORE_OUT) and (not all_weighed or out_g >= in_g * (1.0 - LESS_OUT))


@dataclass(frozen=True, slots=True)
class WhatHappened:
    """In, out, lost by name, and the rest.

    ``in_g``, ``out_g``, ``lost_g``: sums of what went in, came out, and is lost by name. [g]
    """

    in_g: float
    out_g: float
    lost_g: float
    unexplained_g: float
    """In less out less losses; below zero when more came out than went in. [g]"""

    @property
    def unexplained_fraction(self) -> float:
        """Unexplained mass as a share of what went in [1]."""
        return self.unexplained_g / self.in_g

    @property
    def sentence(self) -> str:
        """The account in one sentence."""
        gap = (
            f"{self.unexplained_g:.2f} g ({100 * self.unexplained_fraction:.2f} %) is unexplained"
            if self.unexplained_g >= 0
            else f"{-self.unexplained_g:.2f} g more came out than went in"
        )
        return f"{self.in_g:.2f} g in, {self.out_g:.2f} g out, {self.lost_g:.2f} g lost by name; {gap}."


def what_happened(
    weighed_in: Mapping[str, float],
    weighed_out: Mapping[str, float],
    losses: Mapping[str, float] | None = None,
) -> WhatHappened:
    """Balance what was weighed.

    Parameters
    ----------
    weighed_in, weighed_out : mapping of str to float
        Mass by name. [g]
    losses : mapping of str to float, optional
        Mass lost where it is known, by name. [g]

    Raises
    ------
    BadEntry
        A mass lies below zero, or nothing went in.
    """
    lost = dict(losses or {})
    for group in (weighed_in, weighed_out, lost):
        for name, mass_g in group.items():
            if not mass_g >= 0:
                raise BadEntry("A mass cannot be below zero", f"{name}: {mass_g:.6g} g", "Weigh it again")
    in_g, out_g, lost_g = (sum(group.values()) for group in (weighed_in, weighed_out, lost))
    if not in_g > 0:
        raise BadEntry("Something must have gone in", "nothing")
    return WhatHappened(in_g, out_g, lost_g, in_g - out_g - lost_g)
