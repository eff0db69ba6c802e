"""Something a plan knows: a number with its doubt, where it comes from, and what the plan uses it for."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.evidence.answer import Answer, Leaf
from stillroom.quantities.spread import Spread
from stillroom.records.procedures import Setting, Spreading
from stillroom.stream.kind import LOT_PARTICLE_MM

Origin: TypeAlias = Literal["reading", "published", "assumed", "own runs"]
GRIND = LOT_PARTICLE_MM
"""Role of the middle particle of the lot, which every step that asks for it is told."""
ALTITUDE = "altitude"
"""Role of the height of the laboratory, which every boiling step of a plan is told."""


@dataclass(frozen=True, slots=True)
class Known:
    """One input of a plan."""

    role: str
    """What the plan uses it for ("loss on drying")."""
    name: str
    """Global name of its draws ("lot CIN-01/loss on drying"): two plans on one lot share them."""
    value: float
    """Median, in the unit."""
    unit: str
    standard_uncertainty: float = 0.0
    """In the unit of the value; for a lognormal spread as a share of it."""
    spread: Spreading = "fixed"
    origin: Origin = "assumed"
    """Of these, "own runs" takes the place of an assumption, and serves a plan only."""
    because: str = ""
    """Entry and field, table and row, or the reason for the assumption."""
    entry_no: int | None = None
    """Entry of the book, for a reading."""
    sources: tuple[str, ...] = ()
    """Keys of ``reference/sources.toml``."""
    basis: str = ""

    @property
    def uncertainty_in_unit(self) -> float:
        """Standard uncertainty in the unit of the value, whatever the spread [unit]."""
        return self.standard_uncertainty * (self.value if self.spread == "lognormal" else 1.0)

    @property
    def leaf(self) -> Answer:
        """The input as a leaf of a trail, its uncertainty in the unit of the value."""
        return Answer(
            name=self.name,
            value=self.value,
            unit=self.unit,
            standard_uncertainty=self.uncertainty_in_unit,
            basis=self.basis,
            leaf=Leaf(self.origin, self.because or self.name, self.entry_no),
            sources=self.sources,
        )


def from_setting(role: str, name: str, setting: Setting, procedure: str) -> Known:
    """A setting of a procedure as an input of a plan.

    Parameters
    ----------
    procedure : str
        Code and version, where a chosen or measured value stands in the book.
    """
    assumed = setting.origin == "assumed"
    published = setting.origin == "published"
    return Known(
        role=role,
        name=name,
        value=setting.value,
        unit=setting.unit,
        standard_uncertainty=setting.standard_uncertainty,
        spread=setting.spread,
        origin="assumed" if assumed else "published" if published else "reading",
        because=setting.because
        if assumed or published
        else f"{procedure}: {setting.because or setting.origin}",
        sources=_sources_of_row(setting.because) if published else (),
    )


def spread_of(kind: str, value: float, standard_uncertainty: float) -> Spread:
    """The spread an input's three figures mean.

    Parameters
    ----------
    kind : str
        "fixed", "normal", "lognormal" or "logit".
    value : float
        Median. [unit]
    standard_uncertainty : float
        In the unit of the value, for a lognormal too. [unit]
    """
    if kind == "normal":
        return Spread.normal(value, standard_uncertainty)
    if kind == "lognormal":
        return Spread.lognormal(value, standard_uncertainty / value)
    if kind == "logit":
        return Spread.logit(value, standard_uncertainty)
    return Spread.fixed(value)


def _sources_of_row(because: str) -> tuple[str, ...]:
    from stillroom.errors import UnknownName
    from stillroom.reference.tables import row

    table_name, _, key = because.partition(",")
    try:
        source = row(table_name.strip(), key.strip()).words("source")
    except UnknownName:
        return ()
    return (source,) if source else ()
