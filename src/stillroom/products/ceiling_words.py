"""What a rule of the limits says when it is held against a formula: each standing in its sentence, and what to do."""

from dataclasses import dataclass

from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.contained import Held
from stillroom.products.formula_facts import FormulaFacts
from stillroom.products.kinds import Kind, holds_for
from stillroom.products.limit_rules import HAIR, TABLE, Bound, Rule, passed
from stillroom.quantities.rounding import told_apart
from stillroom.reference.tables import Row
from stillroom.texts.catalogue import later, t

NATURAL, WORTH_A_PH = "natural_percent", 0.5
"""A column; and the share of a piece of advice from which on its pH matters."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A rule held against what a formula holds of its substances.

    ``low_percent``, ``high_percent``: in the basis of the row. [% w/w]
    """

    rule: Rule
    about: str
    low_percent: float
    high_percent: float
    standing: Standing
    row: Row
    """The row that decides."""
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
    advice = t("This is advice, not law.") if not rule.is_law else ""
    if standing == "over" or (standing == "undecided" and not rule.is_law and low > 0 and passed(bound, low)):
        if bound.reach == "not allowed":
            says = t(
                "{about} may not be in {kind}: {place} lists it for {uses} only.", uses=_uses(rule), **blanks
            )
        else:
            says = t(
                "{about}: {figure} % of the product is over the {limit} that may be in {kind} ({place}).",
                figure=found_percent(low, bound),
                **blanks,
            )
        close = t("Take less of it, or make another kind of product; if it is a solution, write its strength")
        return Weighed(rule, about, low, high, standing, row, _ended(says, advice, row), close)
    if standing == "undecided":
        open_kinds = _different(bounds, high)
        if high == float("inf"):
            says, close = (
                t(
                    "{about}: how much of it there is nobody has told, and a rule names it ({place}).",
                    **blanks,
                ),
                t("Have it assayed, or ask the supplier for its content, and enter it"),
            )
        elif not passed(bound, low) or bound.reach == "unclear":
            if bound.reach == "unclear":
                says, close = (
                    t(
                        "{about}: {place} names kinds of product in its own words ({uses}); whether {kind} "
                        "is one of them cannot be told.",
                        uses=_uses(rule),
                        **blanks,
                    ),
                    t("Read the text of the law and let a safety assessor decide"),
                )
            elif low < high * (1.0 - HAIR) and not open_kinds:
                says = t(
                    "{about}: {low} to {figure} % of the product, and at most {limit} may be in {kind} "
                    "({place}).",
                    low=f"{low:.3g}",
                    figure=found_percent(high, bound),
                    **blanks,
                )
                close = t("Have the lot analysed or ask its supplier, and enter what it holds")
            else:
                says = t(
                    "{about}: {figure} % of the product, and {kind} may mean uses with different rules "
                    "({rows}).",
                    figure=found_percent(high, bound),
                    rows=_by_use(bounds),
                    **blanks,
                )
                close = t("Say which kind of product it is")
        else:
            says = t(
                "{about}: {figure} % of the product, and {kind} may mean uses with different rules ({rows}).",
                figure=found_percent(high, bound),
                rows=_by_use(bounds),
                **blanks,
            )
            close = t("Say which kind of product it is")
        return Weighed(rule, about, low, high, "undecided", row, _ended(says, advice, row), close)
    if bound.reach == "no rule":
        says = t(
            "{about}: {place} sets a figure for {uses} only; no rule about {kind} is held here, "
            "which is no permission.",
            uses=_uses(rule),
            **blanks,
        )
        return Weighed(rule, about, low, high, "cannot be seen here", row, says, t("Look the rule up"))
    if bound.reach == "figure":
        says = t(
            "{about}: {figure} % of the product, at most {limit} ({place}).",
            figure=found_percent(high, bound),
            **blanks,
        )
    elif row.words("conditions"):
        says = t("{about}: {place} sets a condition and no figure.", **blanks)
    else:
        says = t("{about}: {place} names it for {uses}, and sets no figure.", uses=_uses(rule), **blanks)
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
        band = t("pH from {low} to {high}", low=f"{low:g}", high=f"{high:g}")
        stands = facts.ph_stands(low, high)
        if stands == "not measured":
            says = t("{says} It holds for a {band}, and no pH was entered.", says=found.says, band=band)
            return _restanding(found, "cannot be seen here", says, later("Measure the pH of the product"))
        blanks = {"about": found.about, "ph": facts.ph_written, "band": band, "place": place_of(row)}
        if stands == "outside":
            wrong: Standing = "over" if rule.is_law else "undecided"
            return _restanding(
                found,
                wrong,
                t("{about}: the product has pH {ph}, and {place} asks for a {band}.", **blanks),
                later("Adjust the pH and measure again"),
            )
        if stands == "undecided":
            says = t(
                "{about}: the product was read at pH {ph}, and {place} asks for a {band}: the "
                "reading does not decide it.",
                **blanks,
            )
            return _restanding(
                found,
                "undecided",
                says,
                later(
                    "Measure the pH with a meter calibrated around it, or adjust it until no doubt "
                    "reaches the edge"
                ),
            )
    conditions, weighs = row.words("conditions"), row.words("weighs")
    if not conditions or weighs == "within" or not rule.is_law or conditions.startswith("pH"):
        return found
    says = t("{says} Condition: {condition}.", says=found.says, condition=conditions)
    standing: Standing = "undecided" if weighs == "undecided" else "cannot be seen here"
    return _restanding(found, standing, says, later("Read the condition and see that it is kept"))


def _restanding(found: Weighed, standing: Standing, says: str, close: str) -> Weighed:
    return Weighed(
        found.rule, found.about, found.low_percent, found.high_percent, standing, found.row, says, t(close)
    )


_NATURAL: dict[Standing, str] = {
    "within": later(
        "{about}: up to {figure} % of the product from natural content, at most {limit} % ({place})."
    ),
    "undecided": later(
        "{about}: up to {figure} % of the product from natural content, and at most {limit} "
        "% may be there ({place})."
    ),
    "over": later(
        "{about}: {figure} % of the product from natural content is over the {limit} % that "
        "may be there ({place})."
    ),
}


def prohibited(rule: Rule, named: tuple[Held, ...], kind: Kind) -> Weighed:
    """A rule that prohibits, held against what carries it: added, carried by nature, or not to be told."""
    row = _row_for(rule, kind)
    low, high = summed(named, "")
    about, weighs = about_of(named), row.words("weighs")
    blanks = {"about": about, "place": place_of(row), "condition": row.words("conditions")}
    natural = row[NATURAL]
    added = any(one.added and one.high_percent > 0 for one in named)
    if added and weighs != "undecided":
        says = t("{about} may not be in a cosmetic product: {place}, {condition}.", **blanks)
        return Weighed(rule, about, low, high, "over", row, _ended(says, "", row), t("Take it out"))
    if isinstance(natural, float) and not added:
        standing: Standing = (
            "over" if low > natural * (1 + HAIR) else "undecided" if high > natural * (1 + HAIR) else "within"
        )
        decides = low if standing == "over" else high
        figure = f"{told_apart(decides, natural)}"
        says = t(_NATURAL[standing], figure=figure, limit=f"{natural:g}", **blanks)
        close = (
            ""
            if standing == "within"
            else t("Have the lot analysed or ask its supplier, and enter what it holds")
        )
        return Weighed(rule, about, low, high, standing, row, _ended(says, "", row), close)
    standing = "cannot be seen here" if weighs == "cannot be seen here" else "undecided"
    says = t(
        "{about} is prohibited as an ingredient ({place}, {condition}); what an ingredient "
        "carries of it must be an unavoidable trace.",
        **blanks,
    )
    return Weighed(
        rule,
        about,
        low,
        high,
        standing,
        row,
        _ended(says, "", row),
        t("Show by analysis that no more than an unavoidable trace is there, or take it out"),
    )


def _row_for(rule: Rule, kind: Kind) -> Row:
    """The row of a prohibition for a kind of product: where several may hold, the one that sets a figure."""
    naming = [one for one in rule.rows if any(holds_for(use, one.words("holds_for")) for use in kind.uses)]
    return next((one for one in naming if one[NATURAL] is not None), (*naming, rule.rows[0])[0])


def summed(named: tuple[Held, ...], as_what: str) -> tuple[float, float]:
    """The least and the most of several contents as the row counts them, in % w/w."""
    both = [one.as_what(as_what) for one in named]
    return sum(low for low, _ in both), sum(high for _, high in both)


def about_of(named: tuple[Held, ...]) -> str:
    """What is looked at: the substances by name, with the lines that hold them where those are called otherwise."""
    said: dict[str, None] = {}
    for one in named:
        name = one.substances[0].label_name or one.substances[0].name
        said[name if one.added else t("{name} (in {line})", name=name, line=one.line)] = None
    return ", ".join(said)


def found_percent(percent: float, bound: Bound) -> str:
    """A content with the digits that decide; "not known" where nobody knows it."""
    if percent == float("inf"):
        return t("an unknown share")
    return f"{told_apart(percent, bound.percent if bound.percent is not None else 0.0)}"


def figure_of(bound: Bound) -> str:
    """What a row allows, in its own basis."""
    if bound.percent is None:
        return ""
    basis = bound.row.words("basis")
    return f"{bound.percent:g} %" + (f" {basis}" if basis not in ("", "-", "as is") else "")


_REACHES: dict[str, str] = {
    "not allowed": later("not allowed"),
    "no rule": later("no rule held here"),
    "no figure": later("a condition, no figure"),
    "unclear": later("not clear"),
}


def _by_use(bounds: tuple[Bound, ...]) -> str:
    """The rows of a kind that may mean several uses: "at most 0.05 % in body lotion (L081)"."""
    said: dict[str, list[str]] = {}
    for one in bounds:
        what = (
            t("at most {limit} ({row})", limit=figure_of(one), row=one.row.key) if one.reach == "figure"
            else t(_REACHES[one.reach])
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
    return t(
        "Annex {annex}, entry {entry}, row {row}",
        annex=row.words("annex"),
        entry=row.words("entry"),
        row=row.key,
    )


def _ended(says: str, advice: str, row: Row) -> str:
    recalled = t("The row was recalled from memory: check it.") if row["seen"] == "from-memory" else ""
    return " ".join(one for one in (says, advice, recalled) if one)
