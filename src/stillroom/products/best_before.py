"""The best-before date of a product beside the lives of what went in: it ends with the shortest, unless data say so.

Promises the earliest end by name, and that a longer date stands only on a stability document. Invents no life: what
nobody stated is left out, and that nothing was stated is said.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from stillroom.products.check_lines import CheckLine
from stillroom.texts.catalogue import t

KEY, ABOUT = "best-before", "Best before"


@dataclass(frozen=True, slots=True)
class Life:
    """How long something keeps that went in."""

    what: str
    """The lot, or the rule."""
    ends: str
    """Last day. [ISO date]"""
    because: str
    """Where that stands."""


@dataclass(frozen=True, slots=True)
class Stability:
    """What a document on stability shows."""

    document: str
    ends: str
    """Last day it supports for this lot. [ISO date]"""


def shortest(lives: Iterable[Life]) -> Life | None:
    """The life that ends first; None where nobody stated any.

    Parameters
    ----------
    lives : iterable of Life
        Of everything that went in. [records]
    """
    return min(lives, key=lambda one: (one.ends, one.what), default=None)


def supported_until(made_on: str, keeps_days: int) -> str:
    """Last day a document on stability supports.

    Parameters
    ----------
    made_on : str
        [ISO date]
    keeps_days : int
        What the document shows. [d]

    Returns
    -------
    str
        [ISO date]
    """
    return (date.fromisoformat(made_on[:10]) + timedelta(days=keeps_days)).isoformat()


def best_before_line(
    printed: str | None, lives: Iterable[Life], stability: Stability | None = None
) -> CheckLine:
    """The line of the release list about the date on the label.

    Parameters
    ----------
    printed : str or None
        Best-before date of the lot. [ISO date]
    lives : iterable of Life
        Of everything that went in. [records]
    stability : Stability or None
        What a document shows, where one was entered. [record]

    Returns
    -------
    CheckLine
        Over where the date outlives what it is made of. [record]
    """
    first = shortest(lives)
    if not printed:
        return CheckLine(
            KEY,
            ABOUT,
            "missing",
            t("The lot has no best-before date"),
            close=t("Give it one that is not later than the last day of any ingredient"),
        )
    if stability is not None:
        over = printed > stability.ends
        says = t(
            "Best before {day}; {document} shows that it keeps until {ends}",
            day=printed,
            document=stability.document,
            ends=stability.ends,
        )
        if over:
            return CheckLine(
                KEY,
                ABOUT,
                "over",
                says,
                close=t(
                    "Correct the date to {ends} or earlier; or enter a document on stability that shows more",
                    ends=stability.ends,
                ),
            )
        return CheckLine(KEY, ABOUT, "within", says)
    if first is None:
        return CheckLine(
            KEY,
            ABOUT,
            "undecided",
            t("Best before {day}, and nothing in the book says how long it keeps", day=printed),
            close=t("Enter a document on stability; or decide by name on what the date rests"),
        )
    said = {"day": printed, "what": first.what, "ends": first.ends, "because": first.because}
    if printed > first.ends:
        return CheckLine(
            KEY,
            ABOUT,
            "over",
            t("Best before {day} outlives {what}, which ends on {ends} ({because})", **said),
            close=t(
                "Correct the date to {ends} or earlier; or enter a document on stability that shows more",
                ends=first.ends,
            ),
        )
    return CheckLine(
        KEY,
        ABOUT,
        "within",
        t("Best before {day} is not after {what}, which ends first, on {ends} ({because})", **said),
    )
