"""A form that asks for a price gives its example in the money of the laboratory."""

from typing import Any

import pytest

from stillroom.actions.house.describing import describe_house
from tests.web.conftest import words


@pytest.mark.parametrize("address", ["/stock/new", "/goods/new", "/laboratory/prices/new"])
def test_a_hint_of_a_price_is_in_the_currency_of_the_laboratory(bench: Any, address: str) -> None:
    assert "38 EUR/kg" in words(bench.client.get(address).text)
    describe_house(bench.lab, {"currency": "SEK"}, by="MA")

    told = words(bench.client.get(address).text)

    assert "38 SEK/kg" in told
    assert "EUR" not in told
