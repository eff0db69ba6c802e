"""What a batch really cost, from the lots that went in.

Promises exact sums in one currency, and names what had no price. Counts materials only, as entered: hours,
tests, rent and failed batches are not in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, TypeAlias

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer
from stillroom.quantities.money import Money, money_text

Per: TypeAlias = Literal["kg", "piece"]
_COUNTED = {"kg": ("g", Decimal(1000)), "piece": ("pieces", Decimal(1))}


@dataclass(frozen=True, slots=True)
class CostItem:
    """Something used up, at the price of its lot."""

    name: str
    amount: Answer
    """[g or pieces]"""
    price: Money | None
    """For one kilogram or one piece; None when the lot has none."""
    per: Per = "kg"


@dataclass(frozen=True, slots=True)
class Cost:
    """A sum with what is not in it."""

    total: Money | None
    """None when nothing had a price."""
    lines: tuple[tuple[str, Money], ...]
    without_a_price: tuple[str, ...]
    says: str


def actual_cost(items: Sequence[CostItem]) -> Cost:
    """Sum what was used at the price of its lot.

    Parameters
    ----------
    items : sequence of CostItem
        What was used up. [g or pieces, money]

    Returns
    -------
    Cost
        The sum and what had no price. [money]

    Raises
    ------
    BadEntry
        Amounts are in other units or negative, or prices in two currencies.
    """
    lines: list[tuple[str, Money]] = []
    without: list[str] = []
    for one in items:
        unit, divisor = _COUNTED[one.per]
        if one.amount.unit != unit or one.amount.value < 0:
            raise BadEntry(
                worded(
                    "{called!r} at a price per {per} must be counted in {unit}",
                    called=one.name,
                    per=one.per,
                    unit=unit,
                ),
                f"{one.amount.value:g} {one.amount.unit}".strip(),
            )
        if one.price is None:
            without.append(one.name)
            continue
        lines.append((one.name, one.price.times(Decimal(repr(one.amount.value)) / divisor)))
    total = None
    for _, money in lines:
        total = money if total is None else total.plus(money)
    missing = f" Without a price: {', '.join(without)}." if without else ""
    said = (
        "Nothing had a price." if total is None else f"Materials {money_text(total.amount, total.currency)}."
    )
    return Cost(total, tuple(lines), tuple(without), f"{said}{missing} Hours and tests are not in it.")
