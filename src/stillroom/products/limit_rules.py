"""The rows of the law's table as rules: which rows belong together, and what each says for a kind of product.

Promises that a row holds only for the uses it names. For a kind that may mean several uses every use gets its own
bound; a row that a later law replaced is left out. "No rule" is never a permission.
"""

from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from stillroom.products.kinds import SPRAY, Kind, Use, holds_for
from stillroom.reference.tables import Row, table

TABLE = "limits_eu"
NOT_ALLOWED, NO_RULE, UNCLEAR = "not allowed", "no rule", "unclear"
EVERY_ESTER = "each"
Reach: TypeAlias = Literal["figure", "no figure", "not allowed", "no rule", "unclear"]
HAIR = 1e-9
"""Share of a ceiling that rounding of sums may take."""


@dataclass(frozen=True, slots=True)
class Rule:
    """Rows of one entry that count the same substances for the same purpose."""

    rows: tuple[Row, ...]
    counts: tuple[str, ...]
    """Keys of the substances that are summed."""
    also: tuple[str, ...]
    """Keys of substances that act alike and are counted on the safe side."""
    each: bool
    """Whether each substance has the figure for itself."""
    as_what: str
    """Compound everything is counted as; "" as it is."""
    purpose: str
    """One of "preservative", "other" or ""."""

    @property
    def is_law(self) -> bool:
        """Whether it is an entry of an annex and no advice."""
        return self.rows[0]["annex"] != "advice"

    @property
    def prohibits(self) -> bool:
        """Whether nothing of it may be added."""
        return self.rows[0]["annex"] in ("II", "REACH XIV")

    @property
    def key(self) -> str:
        """What a decision about it is kept under."""
        alone = len(self.counts) == 1 or bool(self.also)
        said = self.counts[0] if alone else self.rows[0].words("substance").casefold()
        return f"{'ceiling' if self.is_law else 'advice'}/{said}"


@dataclass(frozen=True, slots=True)
class Bound:
    """What a rule says for one use."""

    use: Use
    reach: Reach
    percent: float | None
    """The figure; where it is unclear whether the row names the use, the most it could be. [% w/w]"""
    row: Row
    """The row that says so; the first of the rule where none names the use."""


def bounds_of(rule: Rule, kind: Kind) -> tuple[Bound, ...]:
    """What a rule says for every use that a kind may mean.

    Parameters
    ----------
    rule : Rule
        From ``rules``. [record]
    kind : Kind
        From ``kind_of_product``. [record]

    Returns
    -------
    tuple of Bound
        One for each use. [% w/w]
    """
    found = tuple(_bound(rule, use) for use in kind.uses)
    if not kind.spray_is_open:
        return found
    plain = tuple(one for one in found if SPRAY not in one.use.tags or one.reach == "figure")
    return plain or found


def passed(bound: Bound, percent: float) -> bool:
    """Whether a content is more than a bound allows.

    Parameters
    ----------
    bound : Bound
        Of one use. [% w/w]
    percent : float
        Content. [% w/w]
    """
    if bound.reach == "not allowed":
        return percent > 0.0
    return bound.percent is not None and percent > bound.percent * (1.0 + HAIR)


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule of the table, in its order; a row that a later law replaced is left out."""
    grouped: dict[tuple[str, ...], list[Row]] = {}
    for row in table(TABLE).rows:
        if row.words("counts") and not row.words("replaced_by"):
            key = tuple(row.words(one) for one in ("annex", "entry", "counts", "purpose"))
            grouped.setdefault(key, []).append(row)
    return tuple(_rule(rows) for rows in grouped.values())


def _rule(rows: list[Row]) -> Rule:
    first = rows[0]
    return Rule(
        rows=tuple(rows),
        counts=tuple(first.words("counts").split(";")),
        also=tuple(one for one in first.words("weighs_with").split(";") if one),
        each=first["way"] == EVERY_ESTER,
        as_what=first.words("as_what"),
        purpose=first.words("purpose"),
    )


def _bound(rule: Rule, use: Use) -> Bound:
    naming = [row for row in rule.rows if holds_for(use, row.words("holds_for"))]
    figures = [row for row in naming if row["max_mass_percent"] is not None]
    if figures:
        row = min(figures, key=lambda one: one.number("max_mass_percent"))
        return Bound(use, "figure", row.number("max_mass_percent"), row)
    if naming:
        return Bound(use, "no figure", None, naming[0])
    unclear = [row for row in rule.rows if holds_for(use, row.words("unclear_for"))]
    elsewhere = rule.rows[0].words("elsewhere")
    if unclear:
        row = unclear[0]
        most = row["max_mass_percent"] if elsewhere == NOT_ALLOWED else None
        return Bound(use, "unclear", most if isinstance(most, float) else None, row)
    reach: Reach = (
        "not allowed" if elsewhere == NOT_ALLOWED else "unclear" if elsewhere == UNCLEAR else "no rule"
    )
    return Bound(use, reach, None, rule.rows[0])
