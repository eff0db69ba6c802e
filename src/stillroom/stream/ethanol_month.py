"""Ethanol over a month, in grams: what stood at the beginning, came, was used, came back, left, and stands at the end.

A view: it is given flows that others read off movements and weighings, and adds them up. Promises that what does not
close is told for each batch and never spread over the other lines. A batch still under way is "in the making"; what it
lacks is unexplained only when it is done.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.stream.happened import WhatHappened, what_happened

FlowKind: TypeAlias = Literal[
    "bought", "used", "recovered", "in products", "in marc and waste", "lost", "left the shelf"
]
ASKED_ABOVE = 0.01
"""Share of what a batch used that may stay unexplained without a question."""


@dataclass(frozen=True, slots=True)
class Flow:
    """Some ethanol that went somewhere."""

    kind: FlowKind
    name: str
    """Lot, or the name of the loss."""
    batch: str
    """Empty for what no batch has to do with."""
    ethanol_g: float
    """[g]"""
    on: str
    """ISO date or time."""
    says: str
    """From what."""
    entry_no: int | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """Ethanol of one lot on the shelf at the beginning and at the end of a month. [g]."""

    lot: str
    begin_g: float
    end_g: float
    says: str


@dataclass(frozen=True, slots=True)
class BatchMonth:
    """One batch in a month.

    ``used_g``, ``recovered_g``, ``products_g``, ``marc_g``, ``lost_g``: in the month. [g]
    ``begin_g``, ``end_g``: in the making at both ends of the month. [g]
    """

    batch: str
    used_g: float
    recovered_g: float
    products_g: float
    marc_g: float
    lost_g: float
    begin_g: float
    end_g: float
    whole: WhatHappened | None
    """Its account from first to last; None while it is under way."""

    @property
    def unexplained_g(self) -> float:
        """What is in none of the other places; zero while it is under way. [g]."""
        given = self.recovered_g + self.products_g + self.marc_g + self.lost_g
        return self.begin_g + self.used_g - given - self.end_g

    @property
    def is_asked_about(self) -> bool:
        """Whether more than one per cent of what it used is unexplained."""
        return self.whole is not None and abs(self.whole.unexplained_fraction) > ASKED_ABOVE


@dataclass(frozen=True, slots=True)
class EthanolMonth:
    """The account of a month."""

    month: str
    """Such as "2027-03"."""
    standing: tuple[Standing, ...]
    """Lots on the shelf."""
    batches: tuple[BatchMonth, ...]
    flows: tuple[Flow, ...]
    """Of the month, in their order."""

    def sum_g(self, kind: FlowKind) -> float:
        """All flows of a kind in the month. [g].

        Parameters
        ----------
        kind : FlowKind
            [text]
        """
        return sum(one.ethanol_g for one in self.flows if one.kind == kind)

    @property
    def begin_g(self) -> float:
        """On the shelf at the beginning. [g]."""
        return sum(one.begin_g for one in self.standing)

    @property
    def end_g(self) -> float:
        """On the shelf at the end. [g]."""
        return sum(one.end_g for one in self.standing)

    @property
    def making_begin_g(self) -> float:
        """In batches under way at the beginning. [g]."""
        return sum(one.begin_g for one in self.batches)

    @property
    def making_end_g(self) -> float:
        """In batches under way at the end. [g]."""
        return sum(one.end_g for one in self.batches)

    @property
    def unexplained_g(self) -> float:
        """In none of the named places. [g]."""
        gone = sum(
            self.sum_g(kind) for kind in ("in products", "in marc and waste", "lost", "left the shelf")
        )
        had = self.begin_g + self.making_begin_g + self.sum_g("bought")
        return had - gone - self.end_g - self.making_end_g

    @property
    def is_empty(self) -> bool:
        """Whether there was no ethanol at all."""
        return not (self.standing or self.batches or self.flows)

    @property
    def losses_g(self) -> dict[str, float]:
        """Named losses of the month, largest first. [g]."""
        found: dict[str, float] = {}
        for one in self.flows:
            if one.kind == "lost":
                found[one.name] = found.get(one.name, 0.0) + one.ethanol_g
        return dict(sorted(found.items(), key=lambda item: -item[1]))


def ethanol_month(
    month: str, standing: Iterable[Standing], flows: Sequence[Flow], done_on: Mapping[str, str]
) -> EthanolMonth:
    """Add a month up.

    Parameters
    ----------
    month : str
        "2027-03". [text]
    standing : iterable of Standing
        Lots on the shelf at both ends. [records]
    flows : sequence of Flow
        Of the month, and of every batch that is not done before it from its first day. [records]
    done_on : mapping of str to str
        Batches that are done, and when. [ISO times]

    Returns
    -------
    EthanolMonth
        [record]
    """
    codes = dict.fromkeys(one.batch for one in flows if one.batch)
    batches = [
        _batch(code, month, [one for one in flows if one.batch == code], done_on.get(code)) for code in codes
    ]
    return EthanolMonth(
        month,
        tuple(one for one in standing if one.begin_g or one.end_g),
        tuple(one for one in batches if one.begin_g or one.end_g or _moved(one)),
        tuple(one for one in flows if one.on[:7] == month),
    )


def _batch(code: str, month: str, flows: Sequence[Flow], done_on: str | None) -> BatchMonth:
    def total(kind: FlowKind, *, before: bool = False) -> float:
        return sum(
            one.ethanol_g
            for one in flows
            if one.kind == kind and (one.on[:7] < month if before else one.on[:7] == month)
        )

    given: tuple[FlowKind, ...] = ("recovered", "in products", "in marc and waste", "lost")
    begin = total("used", before=True) - sum(total(kind, before=True) for kind in given)
    used, (recovered, products, marc, lost) = total("used"), (total(kind) for kind in given)
    is_done = done_on is not None and done_on[:7] <= month
    end = 0.0 if is_done else begin + used - recovered - products - marc - lost
    return BatchMonth(
        code, used, recovered, products, marc, lost, begin, end, _whole(flows) if is_done else None
    )


def _whole(flows: Sequence[Flow]) -> WhatHappened | None:
    def by_name(*kinds: FlowKind) -> dict[str, float]:
        found: dict[str, float] = {}
        for one in flows:
            if one.kind in kinds:
                found[one.name] = found.get(one.name, 0.0) + one.ethanol_g
        return {name: mass_g for name, mass_g in found.items() if mass_g > 0}

    went_in = by_name("used")
    if not went_in:
        return None
    return what_happened(went_in, by_name("recovered", "in products", "in marc and waste"), by_name("lost"))


def _moved(one: BatchMonth) -> bool:
    return bool(one.used_g or one.recovered_g or one.products_g or one.marc_g or one.lost_g)
