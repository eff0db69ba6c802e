"""Answers made ready for paper and screen: rounded once, here, with their reason in one sentence and their leaves.

Rounding follows ``quantities.rounding``: the expanded uncertainty to two significant digits, the value to the same
decimals. Without an uncertainty the caller says how many decimals the number is worth.
"""

import math
import re

from stillroom.answers.budget import Stated
from stillroom.documents.blocks import Reasons, Shown, ShownLeaf
from stillroom.documents.setting_words import said_of_setting
from stillroom.evidence.answer import Answer, leaves, walk
from stillroom.quantities.basis import counted_once
from stillroom.quantities.rounding import shown as rounded
from stillroom.quantities.rounding import to_decimals, to_significant
from stillroom.texts.catalogue import capital, t

MOST_LEAVES = 12


def show(
    found: Answer | Stated,
    *,
    decimals: int | None = None,
    label: str = "",
    k: float = 2.0,
    span: str = "",
    href: str = "",
) -> Shown:
    """An answer as it is printed.

    Parameters
    ----------
    found : Answer or Stated
        Stated with its own coverage factor and interval.
    decimals : int or None
        Decimals where there is no uncertainty to round by; four significant digits when None.
    label : str
        Words in front; the answer's name when empty.
    k : float
        Coverage factor of the printed uncertainty of an answer.
    span : str
        Where most draws lie, printed in place of the uncertainty ("80.1 to 96.4").
    href : str
        Where the number leads.
    """
    note, answer = "", found.answer if isinstance(found, Stated) else found
    if isinstance(found, Stated):
        k = found.k
        span = span or interval(found)
        note = t("by draws: one pair of limits decides") if found.by_draws == "limits" else ""
        note = note or (t("by draws: first order does not hold") if found.by_draws else "")
    u = answer.standard_uncertainty
    if u and not span:
        both = rounded(answer.value, k * u)
        value, plus_minus = both.value, f"{both.uncertainty} (k = {k:.3g}{note and ', '}{note})"
        if decimals is not None and decimals < both.decimals:
            value = number(answer.value, decimals)
    elif isinstance(found, Stated) and found.interval is not None:
        value, plus_minus = f"{to_significant(answer.value, 2):f}", ""
    else:
        value, plus_minus = number(answer.value, decimals), ""
    below = leaves(answer)
    return Shown(
        label=label or answer.name,
        value=value,
        plus_minus=plus_minus,
        unit=answer.unit,
        basis=counted_once(answer.basis),
        how=answer.says or (leaf_text(answer).text if answer.leaf else ""),
        leaves=tuple(leaf_text(one) for one in below[:MOST_LEAVES]),
        more_leaves=max(0, len(below) - MOST_LEAVES),
        exact=answer.value,
        u=u,
        name=figure_name(answer),
        answer=answer.key,
        href=href,
        span=span,
    )


def figure_name(answer: Answer) -> str:
    """What a program finds a figure by, the same in every language.

    Returns
    -------
    str
        Name of the formula that gave it, and the part of its result ("still-cut.mass_g"); of a reading what was read
        ("loss-on-drying-of-bark").
    """
    if answer.formula:
        return ".".join(part for part in (answer.formula, answer.pick) if part)
    return re.sub(r"[^a-z0-9]+", "-", answer.name.lower()).strip("-")


def interval(found: Stated) -> str:
    """Where the draws lie, in words; empty where one ± tells it."""
    if found.interval is None:
        return ""
    low = found.interval[0]
    ends = [f"{to_significant(end, 2):f}" for end in found.interval if math.isfinite(end)]
    if len(ends) == 2:
        return t(
            "95 of 100 between {low} and {high}; by draws: first order does not hold",
            low=ends[0],
            high=ends[1],
        )
    if not ends:
        return t("no end of it can be told; by draws: first order does not hold")
    return (
        t("from {low} up, no upper end can be told; by draws: first order does not hold", low=ends[0])
        if low > -math.inf
        else t("up to {high}, no lower end can be told; by draws: first order does not hold", high=ends[0])
    )


def number(value: float, decimals: int | None = None) -> str:
    """A number as text, rounded half to even.

    Parameters
    ----------
    decimals : int or None
        Four significant digits when None.
    """
    if decimals is not None:
        return f"{to_decimals(value, decimals):f}"
    return f"{to_significant(value, 4):f}"


def leaf_text(leaf: Answer) -> ShownLeaf:
    """One leaf in words: what, how much, and where it comes from.

    Raises
    ------
    ValueError
        Never for a leaf; an answer that was reckoned is shown by its own sentence instead.
    """
    amount = " ".join(part for part in (_error_limits(leaf) or number(leaf.value), leaf.unit) if part)
    where = leaf.leaf.where if leaf.leaf else leaf.says
    kind = leaf.leaf.kind if leaf.leaf else "reading"
    href = f"/entries/{leaf.leaf.entry_no}" if leaf.leaf and leaf.leaf.entry_no else ""
    if kind == "published":
        href = "/sources"
    return ShownLeaf(kind, f"{named(leaf)} {amount}: {where}", href)


def named(answer: Answer) -> str:
    """The name of an answer, its settings in the trade's words: "bark-extract/percolate/liquid the marc keeps"."""
    return "/".join(said_of_setting(part) or part for part in answer.name.split("/"))


def reasons(answer: Answer) -> Reasons:
    """The whole trail as a table: what was reckoned from what, down to the leaves."""
    rows = []
    for one in walk(answer):
        value = f"{_with_doubt(one)} {one.unit}".strip()
        if one.leaf is not None:
            rows.append((named(one), value, "", f"{one.leaf.kind}: {one.leaf.where}" + _sources(one)))
        else:
            says = (one.says or one.formula).rstrip(".")
            from_what = (
                t(" From: {belows}.", belows="; ".join((named(below) for _, below in one.inputs)))
                if one.inputs
                else ""
            )
            rows.append((named(one), value, f"{capital(says)}.{from_what}" + _sources(one), ""))
    return Reasons(tuple(rows))


def _error_limits(leaf: Answer) -> str:
    """How far an error of zero may go either way: a nought would say that there is none; "" for any other leaf."""
    u = leaf.standard_uncertainty
    if leaf.value or not u or leaf.leaf is None:
        return ""
    rectangular = leaf.leaf.shape == "rectangular"
    half = to_significant(u * (math.sqrt(3.0) if rectangular else 2.0), 2).normalize()
    return f"± {half:f}" if rectangular else f"± {half:f} (k = 2)"


def _with_doubt(answer: Answer) -> str:
    if limits := _error_limits(answer):
        return limits
    if not answer.standard_uncertainty:
        return number(answer.value)
    both = rounded(answer.value, answer.standard_uncertainty)
    return f"{both.value} (u {both.uncertainty})"


def _sources(answer: Answer) -> str:
    return f" [{', '.join(answer.sources)}]" if answer.sources else ""


def with_ratio(one: Shown) -> str:
    """The label of a figure with what its percentage is a ratio of: "Rosmarinic acid, in the product, w/w"."""
    ratio = one.basis.partition(" ")[0]
    return f"{one.label}, {ratio}" if "/" in ratio else one.label
