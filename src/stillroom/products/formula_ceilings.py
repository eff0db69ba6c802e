"""The ceilings of everything a formula holds: one line for each rule that names something in it.

Promises that amounts are summed over the whole formula in the basis of the row, that a range is over only where its
low end is, and that salts and esters count as their row says. A condition that nobody here can see is always told.
"""

from collections.abc import Mapping

from stillroom.products.ceiling_words import (
    Weighed,
    about_of,
    figure_of,
    found_percent,
    place_of,
    prohibited,
    summed,
    worded,
)
from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.contained import Held
from stillroom.products.formula_facts import FormulaFacts
from stillroom.products.kinds import Kind
from stillroom.products.limit_rules import Bound, Rule, bounds_of, passed, rules
from stillroom.substances.regulated import OF_THE_ALCOHOL
from stillroom.substances.written_names import parts_of
from stillroom.texts.catalogue import t


def ceiling_lines(
    facts: FormulaFacts, held: tuple[Held, ...], kind: Kind, alcohol_percent: float
) -> tuple[CheckLine, ...]:
    """A line for every rule that names something the formula holds.

    Parameters
    ----------
    facts : FormulaFacts
        pH and purposes. [record]
    held : tuple of Held
        From ``held_in``. [% w/w]
    kind : Kind
        Of the product. [record]
    alcohol_percent : float
        Ethanol and isopropanol in the product, for what is counted as a share of them. [% w/w]

    Returns
    -------
    tuple of CheckLine
        In the order of the table. [records]
    """
    purposes = {
        one.parent: purpose
        for name, purpose in facts.purposes.items()
        for part in parts_of(name)
        for one in part.regulated
    }
    by_key: dict[str, list[Weighed]] = {}
    for rule in rules():
        for counts in [(one,) for one in rule.counts] if rule.each else [rule.counts]:
            found = weigh(rule, counts, held, kind, facts, alcohol_percent)
            if found is None or _for_another_purpose(rule, counts, purposes):
                continue
            key = f"ceiling/{counts[0]}" if rule.each else rule.key
            by_key.setdefault(key, []).append(found)
    return tuple(_one_line(key, found) for key, found in by_key.items())


def weigh(
    rule: Rule,
    counts: tuple[str, ...],
    held: tuple[Held, ...],
    kind: Kind,
    facts: FormulaFacts,
    alcohol_percent: float,
) -> Weighed | None:
    """Hold one rule against what a formula holds; None where it holds nothing of it.

    Parameters
    ----------
    rule : Rule
        From ``rules``. [record]
    counts : tuple of str
        The substances that are summed. [text]
    held : tuple of Held
        From ``held_in``. [% w/w]
    kind : Kind
        Of the product. [record]
    facts : FormulaFacts
        Its pH. [record]
    alcohol_percent : float
        Ethanol and isopropanol in the product. [% w/w]
    """
    named = tuple(one for one in held if one.is_a(counts))
    alike = tuple(one for one in held if rule.also and one.is_a(rule.also))
    if not named and not alike:
        return None
    if rule.prohibits:
        return prohibited(rule, named, kind)
    low, high = summed(named, rule.as_what)
    if rule.as_what == OF_THE_ALCOHOL:
        low, high = ((100.0 * one / alcohol_percent if alcohol_percent else 100.0) for one in (low, high))
    bounds = bounds_of(rule, kind)
    about = about_of(named or alike)
    if alike:
        more_low, more_high = summed(alike, rule.as_what)
        alone = _standing(rule, bounds, low, high)
        together = _standing(rule, bounds, low + more_low, high + more_high)
        if alone[0] == "within" and together[0] != "within":
            place = place_of(together[1].row)
            figure = found_percent(high + more_high, together[1])
            says = t(
                "{about}: with the bases that stand beside quinine {figure} % of the product, over "
                "{limit} ({row}), which names quinine only.",
                about=about,
                figure=figure,
                row=place,
                limit=figure_of(together[1]),
            )
            close = t("Let a safety assessor decide, or take less of the extract")
            return Weighed(rule, about, low, high + more_high, "undecided", together[1].row, says, close)
    if not named:
        return None
    standing, bound = _standing(rule, bounds, low, high)
    if standing == "undecided" and high == float("inf") and _only_awaited(named):
        says = t(
            "{about}: how much goes in is worked out from the assay of the lot; at most {limit} "
            "may be in {kind} ({place}).",
            about=about,
            place=place_of(bound.row),
            limit=figure_of(bound),
            kind=kind.written,
        )
        return Weighed(
            rule,
            about,
            low,
            high,
            "cannot be seen here",
            bound.row,
            says,
            t("Assay the extract; dose and release hold what it makes against the ceiling"),
        )
    return worded(rule, kind, about, (low, high), standing, bound, bounds, facts)


def _standing(rule: Rule, bounds: tuple[Bound, ...], low: float, high: float) -> tuple[Standing, Bound]:
    """How a content stands, and the bound that decides it: the widest where it is over, else the narrowest."""
    widest = max(bounds, key=_width)
    narrowest = min(bounds, key=_width)
    if all(passed(one, low) for one in bounds):
        return ("over" if rule.is_law else "undecided"), widest
    doubtful = [one for one in bounds if passed(one, high) or (one.reach == "unclear" and high > 0.0)]
    if doubtful:
        return "undecided", min(doubtful, key=_width)
    return "within", narrowest


def _width(bound: Bound) -> float:
    if bound.reach == "not allowed":
        return 0.0
    return bound.percent if bound.percent is not None else float("inf")


def _one_line(key: str, found: list[Weighed]) -> CheckLine:
    """One line of the rules of one substance: where purposes differ, over only where every purpose is."""
    if len(found) == 1:
        return found[0].line(key)
    purposes = {one.rule.purpose for one in found}
    if len(purposes) < 2:
        gravest = min(found, key=lambda one: _GRAVE.index(one.standing))
        return gravest.line(key)
    standings = {one.standing for one in found}
    if standings == {"over"}:
        return max(found, key=lambda one: one.row["max_mass_percent"] or 0.0).line(key)
    if not standings & {"over", "undecided"}:
        return min(found, key=lambda one: _GRAVE.index(one.standing)).line(key)
    strict = min(found, key=lambda one: _GRAVE.index(one.standing))
    others = " ".join(
        t(
            "{purpose}: {says}",
            purpose=t("As a preservative" if one.rule.purpose == "preservative" else "Otherwise"),
            says=one.says,
        )
        for one in found
    )
    says = t(
        "{about} has one rule as a preservative and another otherwise. {says}",
        about=strict.about,
        says=others,
    )
    return Weighed(
        strict.rule, strict.about, strict.low_percent, strict.high_percent, "undecided", strict.row, says,
        t("Say what it is in the product for"),
    ).line(key)  # fmt: skip


_GRAVE: tuple[Standing, ...] = ("over", "undecided", "cannot be seen here", "within")


def _for_another_purpose(rule: Rule, counts: tuple[str, ...], purposes: Mapping[str, str]) -> bool:
    said = next((purposes[one] for one in counts if one in purposes), "")
    return bool(said and rule.purpose and said != rule.purpose)


def _only_awaited(named: tuple[Held, ...]) -> bool:
    return all(one.awaited for one in named if one.high_percent == float("inf"))
