"""The figures of a rule in the compound that a strength is counted as, and which row of several is widest or narrowest.

Promises that a figure moved to another compound opens to its row and to its molar masses.
"""

from dataclasses import dataclass

from stillroom.evidence.answer import Answer, published, reckoned
from stillroom.evidence.formulas import formula
from stillroom.products.contained import Held
from stillroom.products.kinds import Kind
from stillroom.products.limit_rules import TABLE, Bound, Rule, bounds_of
from stillroom.reference.tables import Row
from stillroom.substances.regulated import TABLE as MOLAR_MASSES


@dataclass(frozen=True, slots=True)
class OpenRow:
    """One row that may hold, with its figure as the strength is counted."""

    rule: Rule
    bound: Bound
    counts_as: float
    """Grams of the row's compound for a gram of what is counted, the most it can be. [g/g]"""

    @property
    def percent(self) -> float:
        """The figure as the strength is counted; zero where nothing may be, without end where there is none [% w/w]."""
        if self.bound.reach == "not allowed":
            return 0.0
        return float("inf") if self.bound.percent is None else self.bound.percent / (self.counts_as or 1.0)


def widest_and_narrowest(ruled: list[Rule], kind: Kind, held: Held, most: float) -> tuple[OpenRow, OpenRow]:
    """The widest and the narrowest row that a kind and a purpose leave open.

    Parameters
    ----------
    ruled : list of Rule
        Rules that name the substance. [records]
    kind : Kind
        Of the product. [record]
    held : Held
        The substance itself, one gram of it. [g]
    most : float
        Grams of it for a gram as it was counted. [g/g]

    Returns
    -------
    (OpenRow, OpenRow)
        Entries of one purpose hold together, so the narrower of them stands for a use. [records]
    """
    found = []
    for purpose in dict.fromkeys(one.purpose for one in ruled):
        for use in kind.uses:
            together = [
                OpenRow(one, bound, most * held.as_what(one.as_what)[1])
                for one in ruled
                if one.purpose == purpose
                for bound in bounds_of(one, kind)
                if bound.use == use
            ]
            if together:
                found.append(min(together, key=lambda one: one.percent))
    return max(found, key=lambda one: one.percent), min(found, key=lambda one: one.percent)


def ceiling_answer(substance: str, product_type: str, percent: float, row: Row, counts_as: float) -> Answer:
    """The figure of a row in the compound that a strength is counted as.

    Parameters
    ----------
    substance, product_type : str
        As asked. [text]
    percent : float
        Of the row, in its own basis. [% w/w]
    row : Row
        Row of ``limits_eu``. [record]
    counts_as : float
        Grams of the row's compound for a gram of the substance. [g/g]

    Returns
    -------
    Answer
        The published figure where nothing is to be converted. [% w/w]
    """
    limit = published(
        f"ceiling of {substance} in {product_type}",
        percent,
        "%",
        f"{TABLE}, {row.key}",
        sources=(row.words("source"),),
        basis=f"w/w {row.words('basis')}, of product",
    )
    if counts_as == 1.0:
        return limit
    counts = published(
        f"{row.words('basis')}, for a gram of {substance}",
        counts_as,
        "g/g",
        f"{MOLAR_MASSES}, {substance}",
        sources=("iupac-atomic-weights",),
    )
    return reckoned(
        f"ceiling of {substance} in {product_type}, as it is counted",
        ceiling_as_counted_percent,
        unit="%",
        basis=f"w/w as {substance.rpartition(' as ')[2]}, of product",
        inputs={"ceiling_percent": limit, "counts_as_g_g": counts},
        says="the figure of the row, by molar masses",
    )


@formula("ceiling-as-counted")
def ceiling_as_counted_percent(ceiling_percent: float, counts_as_g_g: float) -> float:
    """A ceiling in the compound that a strength is counted as.

    Parameters
    ----------
    ceiling_percent : float
        Of the row, in its own basis. [% w/w]
    counts_as_g_g : float
        Grams of the row's compound that a gram counts as. [g/g]

    Returns
    -------
    float
        Ceiling in the basis of the strength. [% w/w]
    """
    return ceiling_percent / counts_as_g_g
