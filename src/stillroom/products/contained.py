"""What a formula holds of every substance that a rule names: added as such, in a mixture, carried by oil or extract.

Promises a least and a most for each: a strength that nobody told, a part of a mixture without its share and the usual
content of an oil are ranges. An analysis of the lot takes the place of what the tables say of its kind.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from stillroom.products.counted_words import counted_as_what
from stillroom.products.formula_facts import Carried, FormulaFacts, Share
from stillroom.reference.tables import Row, table
from stillroom.substances.markers import marker_key
from stillroom.substances.regulated import Regulated, counted_as, regulated, regulated_row
from stillroom.substances.written_names import WrittenPart, parts_of

CONTENTS = "natural_contents"
ROUNDING = 1e-9
ALL_BASES, STANDARD_BASE = "cinchona alkaloids", "quinine"
ANY_PLANTS_BASES = ("total alkaloids", "alkaloids")
"""Names of all cinchona bases that are names of those of any other plant too."""
_MEAN = re.compile(r"mean of (?P<first>.+) and (?P<second>.+)")


@dataclass(frozen=True, slots=True)
class Held:
    """How much of one substance a formula holds, from one of its lines.

    ``low_percent``, ``high_percent``: of the product, as that substance; ``inf`` where nobody can tell how
    much. [% w/w]
    """

    substances: tuple[Regulated, ...]
    """What it may be; several where the name leaves the water of a salt open."""
    low_percent: float
    high_percent: float
    line: str
    """The ingredient as it was written."""
    added: bool = True
    """Whether it was put in as such; False where an ingredient carries it."""
    why: str = ""
    """Where a range comes from: "usual content of lavender oil (natural_contents)"."""
    awaited: bool = False
    """Whether how much goes in is still to be worked out from an assay."""

    def as_what(self, compound: str) -> tuple[float, float]:
        """The least and the most of the product, counted as a compound [% w/w]."""
        factors = [counted_as(one, compound) for one in self.substances]
        low = min(low for low, _ in factors) * self.low_percent
        return low, max(high for _, high in factors) * self.high_percent

    def is_a(self, keys: tuple[str, ...]) -> bool:
        """Whether it is one of these substances, or a salt or an ester of one."""
        return any(one.name in keys or one.parent in keys for one in self.substances)


def held_in(facts: FormulaFacts) -> tuple[Held, ...]:
    """Everything a formula holds that a rule may name.

    Parameters
    ----------
    facts : FormulaFacts
        Shares and what they carry. [% w/w]

    Returns
    -------
    tuple of Held
        In the order of the lines. [records]
    """
    return tuple(one for share in facts.shares for one in _of_share(share))


def parts_in(facts: FormulaFacts) -> tuple[tuple[Share, WrittenPart], ...]:
    """Every part of every line with the line it stands in.

    Parameters
    ----------
    facts : FormulaFacts
        The formula. [record]
    """
    return tuple((share, part) for share in facts.shares for part in parts_of(share.name))


def carried_as(substance: str) -> tuple[tuple[Regulated, ...], float, float]:
    """What a strength counts: the substance a rule names, and grams of it for a gram as it was counted.

    Parameters
    ----------
    substance : str
        "quinine", "total alkaloids as cinchonine", "as cinchonine", "quinine (as the hydrochloride)", "total
        alkaloids as mean of quinine and cinchonine". [text]

    Returns
    -------
    (tuple of Regulated, float, float)
        The substances, none where no rule names it; the least and the most. [g/g]

    Notes
    -----
    Cinchona alkaloids that nobody told apart are all taken as quinine: the safe side, for only a part of them is.
    Alkaloids counted as a marker that is none of them are those of another plant.
    """
    counted, compound = counted_as_what(substance)
    mean = _MEAN.fullmatch(compound or counted)
    named = [_ruled(one) for one in ((mean["first"], mean["second"]) if mean else (compound or counted,))]
    if compound and not mean and not named[0]:
        whole = () if is_of_another_plant(counted, compound) else _ruled(counted)
        named = [regulated(f"{counted} {compound}") or whole]
    masses = [one[0].molar_mass_g_mol for one in named if one and one[0].molar_mass_g_mol]
    family = {STANDARD_BASE, *_alike()}
    if not named[0] or (mean and len(masses) < 2):
        return (), 1.0, 1.0
    if named[0][0].name == ALL_BASES:
        return (regulated_row(STANDARD_BASE),), 1.0, _most_as_quinine()
    together = compound and (not counted or [one.name for one in _ruled(counted)][:1] == [ALL_BASES])
    if (mean or together) and named[0][0].parent in family:
        standard = regulated_row(STANDARD_BASE)
        units = named[0][0].parent_units if not mean else 1.0
        factor = units * (standard.molar_mass_g_mol or 0.0) / (sum(masses) / len(masses))
        return (standard,), factor, factor
    return named[0], 1.0, 1.0


def is_known(substance: str) -> bool:
    """Whether what a strength counts is a name that anything here knows, so that its rules are.

    Parameters
    ----------
    substance : str
        As ``carried_as`` takes it. [text]
    """
    if carried_as(substance)[0]:
        return True
    names = [one for one in counted_as_what(substance) if one]
    return all(marker_key(one) or all(part.known for part in parts_of(one)) for one in names)


def _ruled(name: str) -> tuple[Regulated, ...]:
    """What a rule names, by any name in any language; none for a mixture."""
    parts = parts_of(name) if name else ()
    return regulated(name) or (parts[0].regulated if len(parts) == 1 else ())


def is_of_another_plant(counted: str, compound: str) -> bool:
    """Whether all alkaloids of a plant are counted, as a marker that is none of the cinchona bases.

    Parameters
    ----------
    counted, compound : str
        "total alkaloids", "berberine". [text]
    """
    if marker_key(counted) not in ANY_PLANTS_BASES or marker_key(compound) in (None, *ANY_PLANTS_BASES):
        return False
    family = {STANDARD_BASE, ALL_BASES, *_alike()}
    return not any(one.parent in family or one.name in family for one in _ruled(compound))


def _most_as_quinine() -> float:
    standard = regulated_row(STANDARD_BASE)
    return max(
        (standard.molar_mass_g_mol or 0.0) / (regulated_row(one).molar_mass_g_mol or 1.0) for one in _alike()
    )


@cache
def _alike() -> tuple[str, ...]:
    """The bases that stand beside quinine in its rows."""
    rows = [one for one in table("limits_eu").rows if STANDARD_BASE in one.words("counts").split(";")]
    return tuple(rows[0].words("weighs_with").split(";")) if rows else ()


def _of_share(share: Share) -> Iterator[Held]:
    told = {one.name for carried in share.carries for one in carried_as(carried.substance)[0]}
    for carried in share.carries:
        yield from _carried(share, carried)
    percent = share.percent
    for part in (*parts_of(share.name), *_said_by_label(share)):
        if part.regulated and not (share.whole and share.carries):
            holds = part.regulated[0].holds_percent / 100.0
            low, high = (
                (part.low_share * holds, part.high_share * holds) if percent is not None else (0.0, 1.0)
            )
            whole = 100.0 if percent is None else percent
            if _repeats_its_share(part, percent):
                high = holds
            if part.regulated[0].name == ALL_BASES and part.regulated[0].name in _contents(part):
                continue
            yield Held(part.regulated, whole * low, whole * high, share.name)
        if share.whole or part.ingredient is None:
            continue
        for row in _rows_of(part.ingredient.name):
            if row["substance"] in told or (
                row["substance"] == ALL_BASES and told & {STANDARD_BASE, *_alike()}
            ):
                continue
            yield _usual(row, share, part)


def _said_by_label(share: Share) -> tuple[WrittenPart, ...]:
    """What the name on the label tells of a line whose own name tells nothing, or another thing."""
    if not share.label_name or share.is_told:
        return ()
    named = parts_of(share.name)
    ruled = {one.parent for part in named for one in part.regulated}
    known = any(part.known for part in named)
    return tuple(
        replace(part, ingredient=None, low_share=0.0 if known else part.low_share)
        for part in parts_of(share.label_name)
        if part.regulated
        and not ruled & {one.parent for one in part.regulated}
        and not any(part.ingredient and part.ingredient == one.ingredient for one in named)
    )


def _repeats_its_share(part: WrittenPart, percent: float | None) -> bool:
    """Whether the strength in a name may be the share in the product said twice: "phenoxyethanol 1.2 %", 1.2 %."""
    said = part.strength_said and percent is not None and not part.regulated[0].sold_diluted
    return said and abs(100.0 * part.high_share - (percent or 0.0)) < ROUNDING


def _contents(part: WrittenPart) -> frozenset[str]:
    return (
        frozenset(row.words("substance") for row in _rows_of(part.ingredient.name))
        if part.ingredient
        else frozenset()
    )


def _carried(share: Share, carried: Carried) -> Iterator[Held]:
    found, low, high = carried_as(carried.substance)
    if not found:
        return
    if share.percent is None:
        yield Held(found, 0.0, float("inf"), share.name, False, carried.where, True)
        return
    of_product = share.percent / 100.0
    yield Held(
        found,
        of_product * carried.low_percent * low,
        of_product * carried.high_percent * high,
        share.name,
        False,
        carried.where,
    )


def _usual(row: Row, share: Share, part: WrittenPart) -> Held:
    substance = regulated_row(row.words("substance"))
    low, high = row["low_percent"], row["high_percent"]
    why = f"{CONTENTS}, {row.key}"
    if share.percent is None or not isinstance(low, float) or not isinstance(high, float):
        return Held((substance,), 0.0, float("inf"), share.name, False, why, share.percent is None)
    of_product = share.percent / 100.0
    return Held(
        (substance,),
        of_product * part.low_share * low,
        of_product * part.high_share * high,
        share.name,
        False,
        why,
    )


def _rows_of(ingredient: str) -> tuple[Row, ...]:
    return _by_ingredient().get(ingredient, ())


@cache
def _by_ingredient() -> dict[str, tuple[Row, ...]]:
    found: dict[str, tuple[Row, ...]] = {}
    for row in table(CONTENTS).rows:
        key = row.words("ingredient")
        found[key] = (*found.get(key, ()), row)
    return found
