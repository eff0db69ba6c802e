"""A content as a plain fraction of the ratio its caller names, and no other.

Promises that nobody outside ``quantities`` has a fraction without saying which two things are divided. What stands on
another ratio is refused here; ``restate`` changes it where enough is known, ``substances`` where a table is needed.
"""

from stillroom.errors import BadEntry, worded
from stillroom.quantities.quantity import Quantity
from stillroom.quantities.units import Ratio

_MEANS: dict[Ratio, str] = {
    "w/w": "by mass", "w/v": "grams in 100 mL", "v/v": "by volume", "v/w": "millilitres in 100 g",
}  # fmt: skip


def mass_fraction(found: Quantity, *, silent: bool = False, where: str = "") -> float:
    """Grams of the part for each gram of the whole. [g/g].

    Parameters
    ----------
    found : Quantity
        A content. [its unit]
    silent : bool
        Whether a content without a ratio is by mass, by definition of the field. [yes or no]
    where : str
        Field or lot, for the error. [text]

    Raises
    ------
    BadEntry
        It is on another ratio, or on none.
    """
    return _on(found, "w/w", silent, where)


def volume_fraction(found: Quantity, *, silent: bool = False, where: str = "") -> float:
    """Millilitres of the part for each millilitre of the whole, at the temperature it says. [mL/mL].

    Parameters
    ----------
    found : Quantity
        A content. [its unit]
    silent : bool
        Whether a content without a ratio is by volume, by definition of the field. [yes or no]
    where : str
        Field or lot, for the error. [text]

    Raises
    ------
    BadEntry
        It is on another ratio, or on none.
    """
    return _on(found, "v/v", silent, where)


def grams_per_ml(found: Quantity, *, where: str = "") -> float:
    """Grams of the part for each millilitre of the whole, at the temperature it says. [g/mL].

    Parameters
    ----------
    found : Quantity
        A content. [its unit]
    where : str
        Field or lot, for the error. [text]

    Raises
    ------
    BadEntry
        It is on another ratio, or on none.
    """
    return _on(found, "w/v", False, where)


def percent_with_ratio(found: Quantity) -> tuple[float, Ratio | None]:
    """Per cent as it was written, never without the ratio it stands on. [%].

    Parameters
    ----------
    found : Quantity
        A content. [its unit]

    Returns
    -------
    (float, Ratio or None)
        The figure, and its ratio; None where it says none. [%, text]
    """
    return 100.0 * found.fraction, found.basis.ratio


def _on(found: Quantity, ratio: Ratio, silent: bool, where: str) -> float:
    told = found.basis.ratio
    if told != ratio and not (silent and told is None):
        raise BadEntry(
            worded("A content {means} is needed here", means=_MEANS[ratio]),
            found.in_words(),
            worded("Write it as % {ratio}", ratio=ratio),
            where=where,
        )
    return found.fraction
