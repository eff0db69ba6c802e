"""One line of a list that is looked through before anything leaves: what, how it stands, which row says so, what to do.

Promises one shape for every line (ceilings, allergens, claims, pH, dates, tests), so that page, paper, command and
release repeat the same words. "over" and "missing" stop; "undecided" needs the decision of a named person; "cannot be
seen here" is told and printed, and nobody reads it as permission.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.texts.catalogue import later, t

Standing: TypeAlias = Literal["over", "missing", "undecided", "cannot be seen here", "within"]
STANDINGS: tuple[Standing, ...] = ("over", "missing", "undecided", "cannot be seen here", "within")
"""The gravest first."""
_SIDES = {
    "advice": later("advice"),
    "allergen": later("allergen"),
    "ceiling": later("ceiling"),
    "claim": later("claim"),
    "identity": later("identity"),
    "status": later("status"),
    "use-by": later("use-by date"),
}
"""What is looked at of a thing that has several lines, by the first part of the key."""


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One line of the list."""

    key: str
    """Stays the same as long as the question does ("ceiling/phenoxyethanol", "allergen/linalool", "claim/hair
    loss", "ph/benzoic acid"): a decision is kept under it."""
    about: str
    """What is looked at, as a person calls it ("Phenoxyethanol")."""
    standing: Standing
    """Of these, "over" is known to be wrong; "missing" is work of this laboratory that nobody's opinion can replace."""
    says: str
    """One sentence with the digits that decide."""
    row: str = ""
    """Row of the table the line rests on ("limits_eu, L023"); "" where no row does."""
    source: str = ""
    """Key of ``sources.toml``; "" where there is none."""
    state_of_data: int | None = None
    """Year the row tells the law of. [year]"""
    close: str = ""
    """What to do; "" where nothing is to do."""

    @property
    def called(self) -> str:
        """The line as a person names it: "SX-1, status", where its key is "status/SX-1"."""
        group, _, rest = self.key.partition("/")
        if group not in _SIDES:
            return self.about
        side = t(_SIDES[group])
        if group in ("advice", "ceiling") and rest.casefold() != self.about.casefold():
            return t("{about}, {side} for {rest}", about=self.about, side=side, rest=rest)
        return f"{self.about}, {side}"

    @property
    def stops(self) -> bool:
        """Whether nothing may leave while the line stands like this."""
        return self.standing in ("over", "missing")

    @property
    def needs_a_name(self) -> bool:
        """Whether a named person has to decide."""
        return self.standing == "undecided"


def gravest_first(lines: Iterable[CheckLine]) -> tuple[CheckLine, ...]:
    """The same lines, what stops first; within one standing as they came.

    Parameters
    ----------
    lines : iterable of CheckLine
        In any order. [records]
    """
    return tuple(sorted(lines, key=lambda one: STANDINGS.index(one.standing)))


def gravest(lines: Iterable[CheckLine]) -> Standing:
    """How the whole list stands: the gravest of its lines, "within" where there is none.

    Parameters
    ----------
    lines : iterable of CheckLine
        In any order. [records]
    """
    return min((one.standing for one in lines), key=STANDINGS.index, default="within")
