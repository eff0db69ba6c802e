"""A comma before three figures is taken where only one of its two readings can be, and asked back where both can."""

import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stillroom.answers.ph_words import ph_in
from stillroom.errors import BadEntry
from stillroom.quantities.money import one_reading
from stillroom.quantities.numbers import CAN_BE, number_in
from stillroom.quantities.parse import parse
from stillroom.questions.factor import factor_in

thousands = st.integers(1_000, 999_999).map(lambda one: f"{one // 1000},{one % 1000:03d}")


@given(thousands, st.sampled_from(sorted(set(CAN_BE) - {"kg/m³"})))
def test_a_figure_that_cannot_be_in_thousands_has_a_decimal_comma(written, unit):
    point = written.replace(",", ".")
    assume(float(written.replace(",", "")) > CAN_BE[unit][1] >= float(point))
    found = parse(f"{written} {unit}", basis_required=False, negative_allowed=True)

    assert (found.value, found.digits) == (float(point), len(point) - 1)


@pytest.mark.parametrize("unit", ["g/mL", "kg/L", "mol/L", "% w/w", "bar"])
def test_a_density_a_titre_and_a_share_are_read_with_their_decimal_comma(unit):
    assert parse(f"1,184 {unit}").value == 1.184


def test_a_density_in_kilograms_a_cubic_metre_is_grouped_in_thousands():
    assert parse("1,184 kg/m³").value == 1184.0


@pytest.mark.parametrize("unit", ["g", "kg", "mg", "mL", "L", "min", "mg/kg", "mbar", "pieces", "EUR"])
@given(written=thousands)
def test_an_amount_that_has_two_readings_is_asked_back_with_both(unit, written):
    with pytest.raises(BadEntry) as refused:
        parse(f"{written} {unit}", basis_required=False)

    assert written.replace(",", "") in str(refused.value) or "one reading" in str(refused.value)


def test_a_factor_and_a_ph_lie_where_only_one_reading_does():
    assert factor_in("1,002", "factor") == 1.002
    assert ph_in("4,605", "pH") == 4.605
    assert number_in("1,002", can_be=(0.5, 2.0)).value == 1.002
    with pytest.raises(BadEntry, match=r"1002 or 1\.002"):
        number_in("1,002")


@given(thousands, st.sampled_from(["VND", "EUR", "USD/kg", "VND / 100 g"]))
def test_an_amount_of_money_grouped_by_a_point_is_asked_back(written, unit):
    typed = f"{written.replace(',', '.')} {unit}"

    with pytest.raises(BadEntry, match="one reading") as asked:
        one_reading(typed, where="price")
    first, second = re.fullmatch(r"Write (.+) or (.+)", str(asked.value.do)).groups()
    assert first == f"{written.replace(',', '')} {unit}"
    assert number_in(second.split()[0]).value == float(written.replace(",", "."))


@pytest.mark.parametrize("typed", ["0.125 EUR/g", "12.50 EUR", "1200 VND", "1.2345 EUR/g", "40 EUR/1.250 kg"])
def test_an_amount_of_money_with_one_reading_is_taken(typed):
    one_reading(typed)
