"""The ceilings of everything a formula holds: one line for each rule that names something in it.

Promises that amounts are summed over the whole formula in the basis of the row, that a range is over only where its
low end is, and that salts and esters count as their row says. A condition that nobody here can see is always told.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.contained import Held
from stillroom.products.formula_facts import FormulaFacts
from stillroom.products.kinds import Kind
from stillroom.products.limit_rules import HAIR, TABLE, Bound, Rule, bounds_of, passed, rules
from stillroom.quantities.rounding import told_apart
from stillroom.reference.tables import Row
from stillroom.substances.regulated import OF_THE_ALCOHOL
from stillroom.substances.written_names import parts_of
from stillroom.texts.catalogue import t

NATURAL, WORTH_A_PH = "natural_percent", 0.5
"""A column; and the share of a piece of advice from which on its pH matters."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A rule held against what a formula holds of its substances.

    Attributes
    ----------
    rule : Rule
    about : str
    low_percent, high_percent : float
        In the basis of the row. [% w/w]
    standing : Standing
    row : Row
        The row that decides.
    says : str
    close : str
    """

    rule: Rule
    about: str
    low_percent: float
    high_percent: float
    standing: Standing
    row: Row
    says: str
    close: str

    def line(self, key: str) -> CheckLine:
        """The same as a line of the list."""
        year = self.row["state_of_data"]
        return CheckLine(
            key,
            self.about,
            self.standing,
            self.says,
            f"{TABLE}, {self.row.key}",
            self.row.words("source"),
            int(year) if isinstance(year, float) else None,
            self.close,
        )


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
        return _prohibited(rule, named)
    low, high = _sum(named, rule.as_what)
    if rule.as_what == OF_THE_ALCOHOL:
        low, high = ((100.0 * one / alcohol_percent if alcohol_percent else 100.0) for one in (low, high))
    bounds = bounds_of(rule, kind)
    about = _about(named or alike)
    if alike:
        more_low, more_high = _sum(alike, rule.as_what)
        alone = _standing(rule, bounds, low, high)
        together = _standing(rule, bounds, low + more_low, high + more_high)
        if alone[0] == "within" and together[0] != "within":
            place = _place(together[1].row)
            figure = _found(high + more_high, together[1])
            says = t("line.alike", about=about, figure=figure, row=place, limit=_figure(together[1]))
            close = t("line.close_alike")
            return Weighed(rule, about, low, high + more_high, "undecided", together[1].row, says, close)
    if not named:
        return None
    standing, bound = _standing(rule, bounds, low, high)
    if standing == "undecided" and high == float("inf") and _only_awaited(named):
        says = t(
            "line.awaited", about=about, place=_place(bound.row), limit=_figure(bound), kind=kind.written
        )
        return Weighed(
            rule, about, low, high, "cannot be seen here", bound.row, says, t("line.close_awaited")
        )
    return _worded(rule, kind, about, (low, high), standing, bound, bounds, facts)


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


def _worded(
    rule: Rule,
    kind: Kind,
    about: str,
    content: tuple[float, float],
    standing: Standing,
    bound: Bound,
    bounds: tuple[Bound, ...],
    facts: FormulaFacts,
) -> Weighed:
    low, high = content
    row, place = bound.row, _place(bound.row)
    blanks = {"about": about, "place": place, "limit": _figure(bound), "kind": kind.written}
    advice = t("line.advice") if not rule.is_law else ""
    if standing == "over" or (standing == "undecided" and not rule.is_law and low > 0 and passed(bound, low)):
        if bound.reach == "not allowed":
            says = t("line.not_listed", uses=_uses(rule), **blanks)
        else:
            says = t("line.over", figure=_found(low, bound), **blanks)
        close = t("line.close_over")
        return Weighed(rule, about, low, high, standing, row, _ended(says, advice, row), close)
    if standing == "undecided":
        open_kinds = _different(bounds, high)
        if high == float("inf"):
            says, close = t("line.unknown_content", **blanks), t("line.close_unknown_content")
        elif not passed(bound, low) or bound.reach == "unclear":
            if bound.reach == "unclear":
                says, close = t("line.unclear", uses=_uses(rule), **blanks), t("line.close_unclear")
            elif low < high * (1.0 - HAIR) and not open_kinds:
                says = t("line.may_be_over", low=f"{low:.3g}", figure=_found(high, bound), **blanks)
                close = t("line.close_range")
            else:
                says = t("line.which_use", figure=_found(high, bound), rows=_by_use(bounds), **blanks)
                close = t("line.close_which_use")
        else:
            says = t("line.which_use", figure=_found(high, bound), rows=_by_use(bounds), **blanks)
            close = t("line.close_which_use")
        return Weighed(rule, about, low, high, "undecided", row, _ended(says, advice, row), close)
    if bound.reach == "no rule":
        says = t("line.no_rule_for_kind", uses=_uses(rule), **blanks)
        return Weighed(rule, about, low, high, "cannot be seen here", row, says, t("line.close_look_up"))
    if bound.reach == "figure":
        says = t("line.within", figure=_found(high, bound), **blanks)
    else:
        says = t("line.condition_only", **blanks)
    return _with_conditions(
        Weighed(rule, about, low, high, "within", row, _ended(says, advice, row), ""), bound, facts
    )


def _with_conditions(found: Weighed, bound: Bound, facts: FormulaFacts) -> Weighed:
    """The same, unless the row has a condition that is broken, or that nobody here can see."""
    row, rule = bound.row, found.rule
    lowest, highest = row["ph_low"], row["ph_high"]
    heavy = bound.percent is None or found.high_percent > WORTH_A_PH * bound.percent
    if (lowest is not None or highest is not None) and (rule.is_law or heavy):
        low = float(lowest) if isinstance(lowest, float) else 0.0
        high = float(highest) if isinstance(highest, float) else 14.0
        band = t("line.band", low=f"{low:g}", high=f"{high:g}")
        stands = facts.ph_stands(low, high)
        if stands == "not measured":
            says = t("line.ph_not_measured", says=found.says, band=band)
            return _restanding(found, "cannot be seen here", says, "line.close_ph")
        blanks = {"about": found.about, "ph": facts.ph_written, "band": band, "place": _place(row)}
        if stands == "outside":
            wrong: Standing = "over" if rule.is_law else "undecided"
            return _restanding(found, wrong, t("line.ph_outside", **blanks), "line.close_ph_outside")
        if stands == "undecided":
            says = t("line.ph_undecided", **blanks)
            return _restanding(found, "undecided", says, "line.close_ph_nearer")
    conditions, weighs = row.words("conditions"), row.words("weighs")
    if not conditions or weighs == "within" or not rule.is_law or conditions.startswith("pH"):
        return found
    says = t("line.condition", says=found.says, condition=conditions)
    standing: Standing = "undecided" if weighs == "undecided" else "cannot be seen here"
    return _restanding(found, standing, says, "line.close_condition")


def _restanding(found: Weighed, standing: Standing, says: str, close: str) -> Weighed:
    return Weighed(
        found.rule, found.about, found.low_percent, found.high_percent, standing, found.row, says, t(close)
    )


def _prohibited(rule: Rule, named: tuple[Held, ...]) -> Weighed:
    row = rule.rows[0]
    low, high = _sum(named, "")
    about, weighs = _about(named), row.words("weighs")
    blanks = {"about": about, "place": _place(row), "condition": row.words("conditions")}
    natural = row[NATURAL]
    added = any(one.added and one.high_percent > 0 for one in named)
    if added and weighs != "undecided":
        says = t("line.prohibited", **blanks)
        return Weighed(rule, about, low, high, "over", row, _ended(says, "", row), t("line.close_prohibited"))
    if isinstance(natural, float) and not added:
        standing: Standing = (
            "over" if low > natural * (1 + HAIR) else "undecided" if high > natural * (1 + HAIR) else "within"
        )
        decides = low if standing == "over" else high
        figure = f"{told_apart(decides, natural)}"
        says = t(f"line.natural_{standing}", figure=figure, limit=f"{natural:g}", **blanks)
        close = "" if standing == "within" else t("line.close_range")
        return Weighed(rule, about, low, high, standing, row, _ended(says, "", row), close)
    standing = "cannot be seen here" if weighs == "cannot be seen here" else "undecided"
    says = t("line.carries_prohibited", **blanks)
    return Weighed(rule, about, low, high, standing, row, _ended(says, "", row), t("line.close_carries"))


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
        t("line.purpose", purpose=t(f"line.as_{one.rule.purpose}"), says=one.says) for one in found
    )
    says = t("line.which_purpose", about=strict.about, says=others)
    return Weighed(
        strict.rule, strict.about, strict.low_percent, strict.high_percent, "undecided", strict.row, says,
        t("line.close_which_purpose"),
    ).line(key)  # fmt: skip


_GRAVE: tuple[Standing, ...] = ("over", "undecided", "cannot be seen here", "within")


def _for_another_purpose(rule: Rule, counts: tuple[str, ...], purposes: Mapping[str, str]) -> bool:
    said = next((purposes[one] for one in counts if one in purposes), "")
    return bool(said and rule.purpose and said != rule.purpose)


def _only_awaited(named: tuple[Held, ...]) -> bool:
    return all(one.awaited for one in named if one.high_percent == float("inf"))


def _sum(named: tuple[Held, ...], as_what: str) -> tuple[float, float]:
    both = [one.as_what(as_what) for one in named]
    return sum(low for low, _ in both), sum(high for _, high in both)


def _about(named: tuple[Held, ...]) -> str:
    """What is looked at: the substances by name, with the lines that hold them where those are called otherwise."""
    said: dict[str, None] = {}
    for one in named:
        name = one.substances[0].label_name or one.substances[0].name
        said[name if one.added else t("line.in", name=name, line=one.line)] = None
    return ", ".join(said)


def _found(percent: float, bound: Bound) -> str:
    if percent == float("inf"):
        return t("line.not_known")
    return f"{told_apart(percent, bound.percent if bound.percent is not None else 0.0)}"


def _figure(bound: Bound) -> str:
    if bound.percent is None:
        return ""
    basis = bound.row.words("basis")
    return f"{bound.percent:g} %" + (f" {basis}" if basis not in ("", "-", "as is") else "")


def _by_use(bounds: tuple[Bound, ...]) -> str:
    """The rows of a kind that may mean several uses: "at most 0.05 % in body lotion (L081)"."""
    said: dict[str, list[str]] = {}
    for one in bounds:
        what = (
            t("line.at_most", limit=_figure(one), row=one.row.key) if one.reach == "figure"
            else t(f"line.reach_{one.reach.replace(' ', '_')}")
        )  # fmt: skip
        said.setdefault(what, []).append(one.use.name)
    return "; ".join(f"{', '.join(uses)}: {what}" for what, uses in said.items())


def _different(bounds: tuple[Bound, ...], high: float) -> bool:
    return len({passed(one, high) for one in bounds}) > 1


def _uses(rule: Rule) -> str:
    told = (
        f"all kinds, {row.words('conditions')}" if row["product_type"] == "all" else row.words("product_type")
        for row in rule.rows
    )  # fmt: skip
    return "; ".join(dict.fromkeys(told))


def _place(row: Row) -> str:
    if row["annex"] == "advice":
        return row.key
    return t("line.place", annex=row.words("annex"), entry=row.words("entry"), row=row.key)


def _ended(says: str, advice: str, row: Row) -> str:
    recalled = t("line.recalled") if row["seen"] == "from-memory" else ""
    return " ".join(one for one in (says, advice, recalled) if one)
