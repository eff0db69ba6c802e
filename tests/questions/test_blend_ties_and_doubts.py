"""Stocks of one label or one alcoholometer share its error; a tie is broken by a rule, not by the order of listing."""

from datetime import date
from itertools import permutations

import pytest

from stillroom.asking.question import answer
from stillroom.questions import declared


def asked(*stocks: tuple[str, str], **more: str):
    rows = {}
    for at, (strength, amount) in enumerate(stocks, start=1):
        rows |= {f"stock-{at}": strength, f"stock-{at}-amount": amount}
    fields = {**rows, "temperature": "20 °C", **more}
    return answer(declared("blend"), fields, date(2026, 11, 29)).found.found


def test_two_bottles_of_one_label_are_no_surer_than_one():
    one = asked(("96 % v/v", "2 L")).mixture
    two = asked(("96 % v/v", "1 L"), ("96 % v/v", "1 L")).mixture
    apart = asked(("96 % v/v", "1 L"), ("95.8 % v/v", "1 L")).mixture

    assert two.answer.standard_uncertainty == pytest.approx(one.answer.standard_uncertainty, rel=1e-6)
    assert two.expanded_uncertainty == pytest.approx(one.expanded_uncertainty, rel=1e-6)
    assert apart.answer.standard_uncertainty < 0.75 * one.answer.standard_uncertainty


def test_two_stocks_by_one_alcoholometer_share_its_error():
    # About 0.58 = 2 x 0.5 / sqrt 3, as one reading of it has, and the thermometer; two independent errors gave 0.44.
    read = [("83 % v/v by alcoholometer", "1 L"), ("60 % v/v by alcoholometer", "1 L")]
    found = asked(*read).mixture

    assert 2.0 * found.answer.standard_uncertainty == pytest.approx(0.58, abs=0.04)


@pytest.mark.parametrize("want", ["70", "48", "83"])
def test_the_order_of_listing_does_not_decide_a_tie(want):
    stocks = [("96 ± 0.3", "1 L"), ("96 ± 0.2", "2 L"), ("90 ± 0.3", "3 L"), ("40 ± 0.3", "2 L")]
    seen = set()
    for listed in permutations(stocks):
        found = asked(*listed, want=want, amount="1.5 L")
        taken = {said: round(one.mass.value, 3) for said, one in zip(listed, found.taken, strict=False)}
        seen.add(tuple(sorted(taken.items())))

    assert len(seen) == 1


def test_among_equals_the_fewest_bottles_are_opened():
    # Ethanol taken is the same whichever of the three is opened: one is enough.
    found = asked(("96 ± 0.3", "0.3 L"), ("96 ± 0.2", "5 L"), ("80 ± 0.3", "5 L"), want="70", amount="2 L")
    opened = [one for one in found.taken[:-1] if one.mass.value > 0.0]

    assert [one.name for one in opened] == ["stock 2"]
    assert found.mixture.answer.value == pytest.approx(70.0, abs=1e-6)
