"""What a rule of the limits says when it is held against a formula: each standing in its sentence, and what to do."""

from dataclasses import dataclass

from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.contained import Held
from stillroom.products.formula_facts import FormulaFacts
from stillroom.products.kinds import Kind
from stillroom.products.limit_rules import HAIR, TABLE, Bound, Rule, passed
from stillroom.quantities.rounding import told_apart
from stillroom.reference.tables import Row
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


def worded(
    rule: Rule,
    kind: Kind,
    about: str,
    content: tuple[float, float],
    standing: Standing,
    bound: Bound,
    bounds: tuple[Bound, ...],
    facts: FormulaFacts,
) -> Weighed:
    """How a content stands under a rule, in its sentence."""
    low, high = content
    row, place = bound.row, place_of(bound.row)
    blanks = {"about": about, "place": place, "limit": figure_of(bound), "kind": kind.written}
    advice = t("line.advice") if not rule.is_law else ""
    if standing == "over" or (standing == "undecided" and not rule.is_law and low > 0 and passed(bound, low)):
        if bound.reach == "not allowed":
            says = t("line.not_listed", uses=_uses(rule), **blanks)
        else:
            says = t("line.over", figure=found_percent(low, bound), **blanks)
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
                says = t("line.may_be_over", low=f"{low:.3g}", figure=found_percent(high, bound), **blanks)
                close = t("line.close_range")
            else:
                says = t("line.which_use", figure=found_percent(high, bound), rows=_by_use(bounds), **blanks)
                close = t("line.close_which_use")
        else:
            says = t("line.which_use", figure=found_percent(high, bound), rows=_by_use(bounds), **blanks)
            close = t("line.close_which_use")
        return Weighed(rule, about, low, high, "undecided", row, _ended(says, advice, row), close)
    if bound.reach == "no rule":
        says = t("line.no_rule_for_kind", uses=_uses(rule), **blanks)
        return Weighed(rule, about, low, high, "cannot be seen here", row, says, t("line.close_look_up"))
    if bound.reach == "figure":
        says = t("line.within", figure=found_percent(high, bound), **blanks)
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
        blanks = {"about": found.about, "ph": facts.ph_written, "band": band, "place": place_of(row)}
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


def prohibited(rule: Rule, named: tuple[Held, ...]) -> Weighed:
    """A rule that prohibits, held against what carries it: added, carried by nature, or not to be told."""
    row = rule.rows[0]
    low, high = summed(named, "")
    about, weighs = about_of(named), row.words("weighs")
    blanks = {"about": about, "place": place_of(row), "condition": row.words("conditions")}
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


def summed(named: tuple[Held, ...], as_what: str) -> tuple[float, float]:
    """The least and the most of several contents as the row counts them, in % w/w."""
    both = [one.as_what(as_what) for one in named]
    return sum(low for low, _ in both), sum(high for _, high in both)


def about_of(named: tuple[Held, ...]) -> str:
    """What is looked at: the substances by name, with the lines that hold them where those are called otherwise."""
    said: dict[str, None] = {}
    for one in named:
        name = one.substances[0].label_name or one.substances[0].name
        said[name if one.added else t("line.in", name=name, line=one.line)] = None
    return ", ".join(said)


def found_percent(percent: float, bound: Bound) -> str:
    """A content with the digits that decide; "not known" where nobody knows it."""
    if percent == float("inf"):
        return t("line.not_known")
    return f"{told_apart(percent, bound.percent if bound.percent is not None else 0.0)}"


def figure_of(bound: Bound) -> str:
    """What a row allows, in its own basis."""
    if bound.percent is None:
        return ""
    basis = bound.row.words("basis")
    return f"{bound.percent:g} %" + (f" {basis}" if basis not in ("", "-", "as is") else "")


def _by_use(bounds: tuple[Bound, ...]) -> str:
    """The rows of a kind that may mean several uses: "at most 0.05 % in body lotion (L081)"."""
    said: dict[str, list[str]] = {}
    for one in bounds:
        what = (
            t("line.at_most", limit=figure_of(one), row=one.row.key) if one.reach == "figure"
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


def place_of(row: Row) -> str:
    """Where a row stands: annex and entry, or its own key where it is advice."""
    if row["annex"] == "advice":
        return row.key
    return t("line.place", annex=row.words("annex"), entry=row.words("entry"), row=row.key)


def _ended(says: str, advice: str, row: Row) -> str:
    recalled = t("line.recalled") if row["seen"] == "from-memory" else ""
    return " ".join(one for one in (says, advice, recalled) if one)
