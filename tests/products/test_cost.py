"""The real cost of a batch from the lots that went in; invented prices."""

from decimal import Decimal

import pytest

from stillroom.errors import BadEntry
from stillroom.evidence.answer import reading
from stillroom.products.cost import CostItem, actual_cost
from stillroom.quantities.money import Money


def _item(name, value, unit, price, per="kg", currency="EUR"):
    money = None if price is None else Money(Decimal(price), currency)
    return CostItem(name, reading(name, value, unit, "entry 1", entry_no=1), money, per)


def test_the_sum_is_exact_and_names_what_had_no_price():
    found = actual_cost(
        [
            _item("bark", 250.0, "g", "38.40"),
            _item("bottles", 51, "pieces", "0.62", "piece"),
            _item("water", 3e3, "g", None),
        ]
    )

    assert found.total == Money(Decimal("41.22"), "EUR")
    assert found.without_a_price == ("water",)
    assert "Without a price: water" in found.says


def test_nothing_with_a_price_has_no_total():
    assert actual_cost([_item("water", 1.0, "g", None)]).total is None


def test_two_currencies_and_wrong_units_are_asked_back():
    with pytest.raises(BadEntry, match="two currencies"):
        actual_cost([_item("a", 1.0, "g", "1.00"), _item("b", 1.0, "g", "1.00", currency="USD")])
    with pytest.raises(BadEntry, match="counted in pieces"):
        actual_cost([_item("bottles", 1.0, "g", "1.00", "piece")])
