"""A content against the legal ceiling of its substance in a kind of product.

Promises one of five verdicts with the row, its source and the date of the data. "No rule found" is never
"allowed", and the table is an old export with patches, never the law itself. Compares the upper bound, not
the middle.
"""

import re
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from stillroom.errors import BadEntry, NotAllowed, UnknownName, worded
from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import Row, row, table

TABLE = "limits_eu"
Verdict: TypeAlias = Literal[
    "within", "over", "not allowed", "no rule found", "rule needs a condition the tool cannot see"
]
MARKETS = ("EU",)
CHECK_THE_TEXT = "Check the current text and the rules of the country before a sale."


@dataclass(frozen=True, slots=True)
class Ceiling:
    """The rule found for a substance in a kind of product.

    Attributes
    ----------
    substance, product_type, market : str
        As asked.
    verdict : Verdict or None
        Already decided without a content; None where a content has to be compared.
    limit : Answer or None
        [% w/w]
    limit_row : str
        Row of the table; empty when no rule was found.
    basis : str
        What the ceiling counts ("as quinine base").
    conditions, later_change : str
    source : str
    state_of_data : int or None
        Year. [year]
    says : str
    """

    substance: str
    product_type: str
    market: str
    verdict: Verdict | None
    limit: Answer | None
    limit_row: str
    basis: str
    conditions: str
    later_change: str
    source: str
    state_of_data: int | None
    says: str


@dataclass(frozen=True, slots=True)
class Judged:
    """A content held against its ceiling.

    Attributes
    ----------
    verdict : Verdict
    upper : Answer
        The bound that was compared. [% w/w]
    ceiling : Ceiling
    says : str
    """

    verdict: Verdict
    upper: Answer
    ceiling: Ceiling
    says: str

    @property
    def blocks(self) -> bool:
        """Whether the product may not be made like this."""
        return self.verdict in ("over", "not allowed")


def ceiling(substance: str, product_type: str, market: str = "EU", *, purpose: str = "") -> Ceiling:
    """The ceiling of a substance in a kind of product.

    Parameters
    ----------
    substance : str
        A marker, a name of the table, or a registry number. [text]
    product_type : str
        "hair leave-on", "hair rinse-off", ... [text]
    market : str
        Where it is sold. [text]
    purpose : "preservative", "other" or ""
        What it is in the product for; asked where the ceiling depends on it. [text]

    Returns
    -------
    Ceiling
        The rule, or that none was found. [% w/w]

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
    if market not in MARKETS:
        return _none(substance, product_type, market, f"No rules of the market {market!r} are held here")
    listed = [one for one in table(TABLE).rows if _names(one, substance)]
    if not listed:
        return _none(substance, product_type, market, f"No rule about {substance} is held here")
    prohibited = [one for one in listed if one["annex"] == "II" or one["product_type"] == "withdrawn"]
    annexes = {one.words("annex") for one in listed}
    if not prohibited and not purpose and {"III", "V"} <= annexes:
        return _found(
            listed[0], substance, product_type, market, "rule needs a condition the tool cannot see",
            f"{substance} has one ceiling as a preservative and another otherwise: say which it is here.",
        )  # fmt: skip
    if not prohibited and purpose:
        listed = [one for one in listed if (one["annex"] == "V") == (purpose == "preservative")] or listed
    fitting = prohibited or [one for one in listed if _fits(one.words("product_type"), product_type)]
    if not fitting:
        uses = "; ".join(dict.fromkeys(one.words("product_type") for one in listed))
        if any(_unclear(one.words("product_type")) for one in listed):
            return _found(
                listed[0], substance, product_type, market, "rule needs a condition the tool cannot see",
                f"{_place(listed[0])} names kinds of product in its own words ({uses}); "
                f"whether {product_type} is one of them cannot be seen here.",
            )  # fmt: skip
        return _found(
            listed[0], substance, product_type, market, "not allowed",
            f"{_place(listed[0])} lists {substance} for {uses} only, and {product_type} is not among them.",
        )  # fmt: skip
    strictest = min(fitting, key=_strictness)
    percent = strictest["max_mass_percent"]
    if percent == 0.0:
        return _found(
            strictest, substance, product_type, market, "not allowed",
            f"{substance} may not be in the product: {_place(strictest)}, {strictest.words('conditions')}.",
        )  # fmt: skip
    if percent is None:
        return _found(
            strictest, substance, product_type, market, "rule needs a condition the tool cannot see",
            f"{_place(strictest)} has a condition and no figure: {strictest.words('conditions')}.",
        )  # fmt: skip
    return _found(
        strictest, substance, product_type, market, None,
        f"{_place(strictest)}: at most {percent:g} % {strictest.words('basis')} in {product_type}.",
    )  # fmt: skip


def ceiling_of_row(limit_row: str, substance: str, product_type: str, market: str = "EU") -> Ceiling:
    """The ceiling of one named row, where another table already points at it.

    Parameters
    ----------
    limit_row : str
        Key of ``limits_eu``. [text]
    substance, product_type, market : str
        As told in the verdict. [text]

    Returns
    -------
    Ceiling
        The rule of that row. [% w/w]

    Raises
    ------
    UnknownName
        There is no such row.
    """
    found = row(TABLE, limit_row)
    percent = found["max_mass_percent"]
    verdict: Verdict | None = (
        "not allowed"
        if percent == 0.0
        else "rule needs a condition the tool cannot see"
        if percent is None
        else None
    )
    return _found(found, substance, product_type, market, verdict, f"{_place(found)}.")


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
    compared = f"upper bound {upper.value:.4f} % against {rule.limit.value:g} % {rule.basis} ({said})"
    if upper.value > rule.limit.value:
        return Judged("over", upper, rule, f"Over: {compared}. {ending}")
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
    if judged.blocks:
        limit = judged.ceiling.limit
        at_most = f"at most {limit.value:g} % {judged.ceiling.basis}" if limit else "nothing of it"
        raise NotAllowed(
            worded(
                "{product_type} may hold {at_most} of {substance} ({limit_row}, {source}, state {state_of_data})",
                product_type=judged.ceiling.product_type,
                at_most=at_most,
                substance=judged.ceiling.substance,
                limit_row=judged.ceiling.limit_row,
                source=judged.ceiling.source,
                state_of_data=judged.ceiling.state_of_data,
            ),
            worded("{upper:.3f} % as the upper bound", upper=judged.upper.value),
            "Take less of the extract, or make another kind of product",
        )
    return judged


def _names(one: Row, substance: str) -> bool:
    wanted = " ".join(substance.casefold().split())
    numbers = [part.strip() for part in one.words("cas").split(";")]
    if wanted in numbers or _cas(substance) in numbers:
        return True
    said = one.words("substance").casefold()
    parts = [part.strip() for part in said.split(";")]
    return any(
        part == wanted or part.startswith((f"{wanted} and ", f"{wanted} (", f"{wanted},")) for part in parts
    )


@cache
def _cas(substance: str) -> str:
    for name in ("markers", "ingredients", "solvents"):
        try:
            return row(name, substance).words("cas") or "none"
        except UnknownName:
            continue
    return "none"


def _fits(listed: str, product_type: str) -> bool:
    words = _words(listed)
    return words == {"all"} or (words <= _PLAIN and words <= _words(product_type))


def _unclear(listed: str) -> bool:
    words = _words(listed)
    return words != {"all"} and not words <= _PLAIN


def _words(product_type: str) -> frozenset[str]:
    outside = re.sub(r"\([^)]*\)", " ", product_type.casefold())
    return frozenset(re.findall(r"[\w./-]+", outside)) - {"products", "product", "only"}


_PLAIN = frozenset({"hair", "leave-on", "rinse-off", "skin", "face", "body", "cream", "lotion", "spray"})


def _strictness(one: Row) -> float:
    percent = one["max_mass_percent"]
    return float(percent) if isinstance(percent, float) else float("inf")


def _place(one: Row) -> str:
    if one["annex"] == "advice":
        return f"{one.words('substance')}: advice, not law ({one.key})"
    return f"Annex {one.words('annex')}, entry {one.words('entry')} ({one.key})"


def _ending(rule: Ceiling) -> str:
    later = f"Later change: {rule.later_change}. " if rule.later_change else ""
    state = f"State of the data: {rule.state_of_data}. " if rule.state_of_data else ""
    return f"{later}{state}{CHECK_THE_TEXT}"


def _none(substance: str, product_type: str, market: str, because: str) -> Ceiling:
    return Ceiling(
        substance, product_type, market, "no rule found", None, "", "", "", "", "", None,
        f"{because}. That never means it is allowed.",
    )  # fmt: skip


def _found(
    one: Row, substance: str, product_type: str, market: str, verdict: Verdict | None, says: str
) -> Ceiling:
    percent = one["max_mass_percent"]
    year = one["state_of_data"]
    limit = (
        published(
            f"ceiling of {substance} in {product_type}",
            percent,
            "%",
            f"{TABLE}, {one.key}",
            sources=(one.words("source"),),
            basis=f"w/w {one.words('basis')}, of product",
        )
        if isinstance(percent, float)
        else None
    )
    return Ceiling(
        substance=substance,
        product_type=product_type,
        market=market,
        verdict=verdict,
        limit=limit,
        limit_row=one.key,
        basis=one.words("basis"),
        conditions="" if percent == 0.0 else one.words("conditions"),
        later_change=one.words("later_change"),
        source=one.words("source"),
        state_of_data=int(year) if isinstance(year, float) else None,
        says=says,
    )
