"""A content against the legal ceiling of its substance in a kind of product.

Promises one of five verdicts with the row, its source and the date of the data. "No rule found" is never
"allowed", and the table is an old export with patches, never the law itself. Compares the upper bound, not
the middle.
"""

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.evidence.answer import Answer
from stillroom.products.contained import Held, carried_as
from stillroom.products.kinds import has_rules_here, kind_of_product
from stillroom.products.limit_figures import ceiling_answer, widest_and_narrowest
from stillroom.products.limit_rules import Bound, Rule, rules
from stillroom.quantities.rounding import told_apart
from stillroom.reference.tables import Row
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import later

Verdict: TypeAlias = Literal[
    "within", "over", "not allowed", "no rule found", "rule needs a condition the tool cannot see"
]
CHECK_THE_TEXT = later("Check the current text and the rules of the country before a sale.")


@dataclass(frozen=True, slots=True)
class Ceiling:
    """The rule found for a substance in a kind of product.

    ``substance``, ``product_type``, ``market``: as asked.
    """

    substance: str
    product_type: str
    market: str
    verdict: Verdict | None
    """Already decided without a content; None where a content has to be compared."""
    limit: Answer | None
    """[% w/w]"""
    limit_row: str
    """Row of the table; empty when no rule was found."""
    basis: str
    """What the ceiling counts ("as quinine base")."""
    conditions: str
    later_change: str
    source: str
    state_of_data: int | None
    """Year. [year]"""
    says: str
    narrower: Answer | None = None
    """The narrowest figure, where the kind or the purpose leaves several rows open. [% w/w]"""
    narrower_says: str = ""
    """Which row that is, and what is to be said."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A content held against its ceiling."""

    verdict: Verdict
    upper: Answer
    """The bound that was compared. [% w/w]"""
    ceiling: Ceiling
    says: str

    @property
    def blocks(self) -> bool:
        """Whether the product may not be made like this."""
        return self.verdict in ("over", "not allowed")


@remember(256)
def ceiling(substance: str, product_type: str, market: str = "EU", *, purpose: str = "") -> Ceiling:
    """The ceiling of a substance in a kind of product.

    Parameters
    ----------
    substance : str
        What is counted: a marker, "total alkaloids as cinchonine", a name of the table, a registry number. [text]
    product_type : str
        "hair leave-on", "hair rinse-off", ... [text]
    market : str
        Where it is sold. [text]
    purpose : "preservative", "other" or ""
        What it is in the product for, where somebody said it. [text]

    Returns
    -------
    Ceiling
        The rule, or that none was found; the figure is of the substance as it is counted. Where the kind or the purpose
        leaves several rows open, the widest one, with the narrowest beside it. [% w/w]

    Raises
    ------
    BadEntry
        Nothing was named.

    References
    ----------
    cosing-2015
    """
    if not substance.strip() or not product_type.strip():
        raise BadEntry(
            "A limit is of a substance in a kind of product",
            repr(f"{substance} / {product_type}"),
            "Name both",
        )
    if not has_rules_here(market):
        return _none(substance, product_type, market, f"No rules of the market {market!r} are held here")
    counted, _, most = carried_as(substance)
    held = Held(counted, 1.0, 1.0, substance)
    ruled = [
        one
        for one in rules()
        if one.is_law and counted and held.is_a(one.counts) and (not purpose or one.purpose in ("", purpose))
    ]
    if not ruled:
        return _none(substance, product_type, market, f"No rule about {substance} is held here")
    prohibited = [one for one in ruled if one.prohibits]
    if prohibited:
        row = prohibited[0].rows[0]
        return _found(
            row, substance, product_type, market, "not allowed",
            f"{substance} may not be in the product: {_place(row)}, {row.words('conditions')}.",
        )  # fmt: skip
    return _of_rules(ruled, held, most, substance, product_type, market)


def _of_rules(
    ruled: list[Rule], held: Held, most: float, substance: str, product_type: str, market: str
) -> Ceiling:
    """The widest row of a kind with the narrowest beside it: alternatives are uses and purposes."""
    wide, narrow = widest_and_narrowest(ruled, kind_of_product(product_type), held, most)
    row, place = wide.bound.row, _place(wide.bound.row)
    if wide.bound.reach == "not allowed":
        uses = "; ".join(dict.fromkeys(one.words("product_type") for one in wide.rule.rows))
        return _found(
            row, substance, product_type, market, "not allowed",
            f"{place} lists {substance} for {uses} only, and {product_type} is not among them.",
        )  # fmt: skip
    if narrow.bound.reach == "no rule":
        return _none(substance, product_type, market, f"{place} sets no figure for {product_type}")
    if wide.bound.percent is None:
        says = (
            f"{place} has a condition and no figure: {row.words('conditions')}."
            if wide.bound.reach == "no figure"
            else f"{place} names kinds of product in its own words; "
            f"whether {product_type} is one of them cannot be seen here."
        )
        if narrow.bound.percent is not None:
            says = f"{says} {_narrower(narrow.bound, substance, product_type)}"
        return _found(
            row, substance, product_type, market, "rule needs a condition the tool cannot see", says
        )
    found = _found(
        row, substance, product_type, market, None,
        f"{place}: at most {wide.bound.percent:g} % {row.words('basis')} in {product_type}.",
        wide.counts_as,
    )  # fmt: skip
    if narrow.percent >= wide.percent:
        return found
    asks = (
        "what it is in the product for" if narrow.rule.purpose != wide.rule.purpose else "which of them it is"
    )
    percent, other = narrow.bound.percent or 0.0, narrow.bound.row
    return replace(
        found,
        narrower=ceiling_answer(substance, product_type, percent, other, narrow.counts_as),
        narrower_says=f"{_narrower(narrow.bound, substance, product_type)} To decide, say which: {asks}.",
    )


def _narrower(bound: Bound, substance: str, product_type: str) -> str:
    if bound.percent is None:
        return f"{product_type} may also mean {bound.use.name}, where {substance} is not allowed ({bound.row.key})."
    return (
        f"{product_type} may also fall under {_place(bound.row)}: at most {bound.percent:g} % "
        f"{bound.row.words('basis')} ({bound.row.words('product_type')})."
    )


def judge(upper: Answer, rule: Ceiling) -> Judged:
    """Hold an upper bound against a ceiling.

    Parameters
    ----------
    upper : Answer
        Upper bound of the content, in the basis of the ceiling. [% w/w]
    rule : Ceiling
        From ``ceiling``. [% w/w]

    Returns
    -------
    Judged
        One of the five verdicts, in one sentence. [record]

    Raises
    ------
    BadEntry
        The content is not in per cent, or is negative.
    """
    if upper.unit != "%" or upper.value < 0:
        raise BadEntry("A content must be in % and not negative", f"{upper.value:g} {upper.unit}".strip())
    ending = _ending(rule)
    if rule.verdict is not None or rule.limit is None:
        return Judged(rule.verdict or "no rule found", upper, rule, f"{rule.says} {ending}".strip())
    said = rule.says.rstrip(".")
    compared = (
        f"upper bound {told_apart(upper.value, rule.limit.value, 4):f} % against {rule.limit.value:.4g} % "
        f"{rule.basis} ({said})"
    )
    if upper.value > rule.limit.value:
        return Judged("over", upper, rule, f"Over: {compared}. {ending}")
    if rule.narrower is not None and upper.value > rule.narrower.value:
        return Judged(
            "rule needs a condition the tool cannot see",
            upper,
            rule,
            f"{compared[0].title()}{compared[1:]} is within the widest row; {rule.narrower_says} {ending}",
        )
    if rule.conditions:
        return Judged(
            "rule needs a condition the tool cannot see",
            upper,
            rule,
            f"The figure is within ({compared}), but the rule has a condition: {rule.conditions}. {ending}",
        )
    return Judged("within", upper, rule, f"Within: {compared}. {ending}")


def refuse_over(judged: Judged) -> Judged:
    """The same verdict, unless it forbids the product.

    Parameters
    ----------
    judged : Judged
        From ``judge``. [record]

    Returns
    -------
    Judged
        The same. [record]

    Raises
    ------
    NotAllowed
        The verdict is "over" or "not allowed".
    """
    if not judged.blocks:
        return judged
    rule, limit = judged.ceiling, judged.ceiling.limit
    if limit is None:
        raise NotAllowed(
            worded(
                "{product_type} may hold no {substance}",
                product_type=rule.product_type,
                substance=rule.substance,
            ),
            worded("{upper:f} % as the upper bound", upper=told_apart(judged.upper.value, 0.0)),
            rule.says,
        )
    raise NotAllowed(
        worded(
            "{product_type} may hold at most {limit:.4g} % {basis} of {substance} ({limit_row}, {source}, "
            "state {state_of_data})",
            product_type=rule.product_type,
            limit=limit.value,
            basis=rule.basis,
            substance=rule.substance,
            limit_row=rule.limit_row,
            source=rule.source,
            state_of_data=rule.state_of_data,
        ),
        worded("{upper:f} % as the upper bound", upper=told_apart(judged.upper.value, limit.value)),
        "Take less of the extract, or make another kind of product",
    )


def _place(one: Row) -> str:
    if one["annex"] == "advice":
        return f"{one.words('substance')}: advice, not law ({one.key})"
    return f"Annex {one.words('annex')}, entry {one.words('entry')} ({one.key})"


def _ending(rule: Ceiling) -> str:
    changed = f"Later change: {rule.later_change}. " if rule.later_change else ""
    state = f"State of the data: {rule.state_of_data}. " if rule.state_of_data else ""
    return f"{changed}{state}{CHECK_THE_TEXT}"


def _none(substance: str, product_type: str, market: str, because: str) -> Ceiling:
    return Ceiling(
        substance, product_type, market, "no rule found", None, "", "", "", "", "", None,
        f"{because}. That never means it is allowed.",
    )  # fmt: skip


def _found(
    one: Row,
    substance: str,
    product_type: str,
    market: str,
    verdict: Verdict | None,
    says: str,
    factor: float = 1.0,
) -> Ceiling:
    percent = one["max_mass_percent"]
    year = one["state_of_data"]
    limit = None
    if isinstance(percent, float) and verdict is None:
        limit = ceiling_answer(substance, product_type, percent, one, factor)
    return Ceiling(
        substance=substance,
        product_type=product_type,
        market=market,
        verdict=verdict,
        limit=limit,
        limit_row=one.key,
        basis=one.words("basis") if factor == 1.0 else f"as {substance.rpartition(' as ')[2]}",
        conditions="" if percent == 0.0 else one.words("conditions"),
        later_change=one.words("later_change"),
        source=one.words("source"),
        state_of_data=int(year) if isinstance(year, float) else None,
        says=says,
    )


def without_advice(says: str) -> str:
    """What a line says, less the advice to check the text, which stands once on a page.

    Parameters
    ----------
    says : str
        As the line says it. [text]
    """
    return says.replace(CHECK_THE_TEXT, "").strip()
