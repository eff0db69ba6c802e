"""What one unit of a product holds, as its label says it: a volume at 20 °C, or a mass.

A liquid is sold by volume, a balm or a butter by mass. To hold it against a scale, only the first needs a density.
"""

from dataclasses import dataclass
from math import isclose
from typing import Literal, TypeAlias, get_args

from stillroom.quantities.entry import entry
from stillroom.texts.catalogue import t

ContentUnit: TypeAlias = Literal["mL", "g"]
UNITS: tuple[ContentUnit, ...] = get_args(ContentUnit)


@dataclass(frozen=True, slots=True)
class Content:
    """A nominal content; nothing while nobody has said it."""

    amount: float = 0.0
    """[mL at 20 °C, or g]"""
    unit: ContentUnit = "mL"

    def __bool__(self) -> bool:
        return self.amount > 0

    @property
    def by_mass(self) -> bool:
        """Whether it is a mass."""
        return self.unit == "g"

    @property
    def words(self) -> str:
        """As it is printed: "100 mL", "30 g"."""
        return f"{self.amount:g} {self.unit}"

    @property
    def exact(self) -> str:
        """As it is written where it is read again: to twelve figures."""
        return f"{self.amount:.12g} {self.unit}"

    @property
    def nominal_ml(self) -> float:
        """Its volume; 0 where it is a mass. [mL]."""
        return 0.0 if self.by_mass else self.amount

    @property
    def nominal_g(self) -> float:
        """Its mass; 0 where it is a volume. [g]."""
        return self.amount if self.by_mass else 0.0

    def counted(self, units: int | str) -> str:
        """So many of them: bottles of a liquid; of what is sold by mass, in tins or jars, the content says it.

        Parameters
        ----------
        units : int or str
            How many, as they are printed. [pieces]
        """
        return f"{units} × {self.words}" if self.by_mass else t("{units} bottles", units=units)

    def is_as(self, other: "Content") -> bool:
        """Whether both are the same to the last figure that was written.

        Parameters
        ----------
        other : Content
            Another one.
        """
        return self.unit == other.unit and isclose(self.amount, other.amount)


NO_CONTENT = Content()
"""What nobody has said."""


def content_of(nominal_ml: float, nominal_g: float) -> Content:
    """The content that a record holds in one of two fields.

    Parameters
    ----------
    nominal_ml, nominal_g : float
        One of them is 0. [mL at 20 °C, and g]
    """
    return Content(nominal_g, "g") if nominal_g else Content(nominal_ml)


def content(text: str, where: str = "") -> Content:
    """What one unit holds, as a person writes it.

    Parameters
    ----------
    text : str
        "100 mL", "30 g", "0,5 L".
    where : str
        File and line, or field.

    Raises
    ------
    BadEntry
        It is neither a volume nor a mass above zero, or could be read in two ways.
    """
    read = entry(text, want=("volume", "mass"), zero_allowed=False, where=where)
    return Content(read.in_unit("g"), "g") if read.dimension == "mass" else Content(read.in_unit("mL"))
