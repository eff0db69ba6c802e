"""How the house is and what things cost: noted, offered with their age, never filled in, used by the plan."""

import re
from datetime import datetime, timedelta
from typing import Any

import pytest

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.house.describing import describe_house
from stillroom.actions.house.house_facts import last_condition, note_condition, offered
from stillroom.actions.house.pricing import note_price, price_said, prices_noted
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.orders.ordering import work_back
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, UnknownName
from stillroom.pages.plans import plan_shown, show_plan
from stillroom.planning.assumptions import ASSUMED
from stillroom.planning.house_said import HOUSE
from stillroom.planning.inputs import all_inputs
from stillroom.records.people import Person
from tests.practice import ENDS, later, noon


@pytest.fixture
def empty(tmp_path: Any) -> Any:
    with begin_laboratory(tmp_path / "own", "A house", Person("AA", "Anna Alm", True), clock=noon) as lab:
        yield lab


@pytest.mark.parametrize("what", HOUSE)
def test_nothing_is_filled_in_where_nobody_noted_it(empty: Laboratory, what: str) -> None:
    assert last_condition(empty, what) is None


@pytest.mark.parametrize(
    ("what", "text", "value"),
    [
        ("room temperature", "31 °C", 31.0),
        ("room temperature", "87.8 °F", 31.0),
        ("tap temperature", "24.5 °C", 24.5),
        ("altitude", "1.2 m", 1.2),
        ("altitude", "-5 m", -5.0),
        ("working hours", "8 h", 8.0),
        ("working hours", "6 h a day", 6.0),
        ("working hours", "08:00 to 16:30", 8.5),
        ("working hours", "9.15 - 12.45", 3.5),
    ],
)
def test_what_was_noted_last_stands_in_its_own_unit(
    empty: Laboratory, what: str, text: str, value: float
) -> None:
    note_condition(empty, what, text, by="AA")
    found = last_condition(empty, what)

    assert found is not None
    assert found.value == pytest.approx(value)
    assert (found.unit, found.as_written) == (HOUSE[what].unit, text)


@pytest.mark.parametrize(
    ("what", "text", "says"),
    [
        ("room temperature", "300 °C", "between -5 and 55 °C"),
        ("room temperature", "31", "A unit is needed"),
        ("room temperature", "31 mL", "temperature"),
        ("altitude", "9000 m", "between -450 and 5000 m"),
        ("working hours", "17:00 to 08:00", "ends after it begins"),
        ("working hours", "25 h", "between 0.5 and 24 h"),
    ],
)
def test_what_no_laboratory_has_is_refused_with_its_range(
    empty: Laboratory, what: str, text: str, says: str
) -> None:
    with pytest.raises(BadEntry, match=says):
        note_condition(empty, what, text, by="AA")

    assert last_condition(empty, what) is None


def test_a_thing_no_house_is_asked_is_refused_with_the_nearest(empty: Laboratory) -> None:
    with pytest.raises(UnknownName, match="room temperature"):
        note_condition(empty, "rom temperature", "31 °C", by="AA")


@pytest.mark.parametrize(
    ("before", "says"),
    [
        (timedelta(hours=1), "noted today 11:00"),
        (timedelta(hours=20), "noted yesterday 16:00"),
        (timedelta(days=3), "noted 3 days ago"),
        (timedelta(days=200), "noted on 2026-05-08"),
    ],
)
def test_an_offer_says_how_old_it_is(lab: Laboratory, before: timedelta, says: str) -> None:
    note_condition(lab, "room temperature", "31 °C", by="MA", at=ENDS - before)
    found = last_condition(lab, "room temperature")

    assert found is not None
    assert found.age(ENDS) == says


def test_the_height_a_book_begins_with_stands_until_another_is_noted(lab: Laboratory) -> None:
    begun = last_condition(lab, "altitude")
    note_condition(lab, "altitude", "1500 m", by="MA")
    noted = last_condition(lab, "altitude")

    assert begun is not None
    assert noted is not None
    assert (begun.value, begun.entry_no) == (240.0, 1)
    assert noted.value == 1500.0


def known(lab: Laboratory, role: str) -> tuple[float, str, int | None]:
    found = all_inputs(work_back(lab, "ORD-1").request)[role]
    return found.value, found.origin, found.entry_no


def test_a_warm_tap_asks_the_plan_for_more_cooling_water(lab: Laboratory) -> None:
    lines = {one.key: one.value for one in work_back(lab, "ORD-1").lines}
    done = note_condition(lab, "tap temperature", "25 °C", by="MA")
    warm = {one.key: one.value for one in work_back(lab, "ORD-1").lines}

    assert known(lab, "tap water rise") == (10.0, "reading", done.entry_no)
    assert warm["cooling_water_l"] == pytest.approx(lines["cooling_water_l"] * 15.0 / 10.0, rel=1e-6)


def test_a_tap_hardly_colder_than_the_hand_is_left_to_the_plan(lab: Laboratory) -> None:
    note_condition(lab, "tap temperature", "34 °C", by="MA")

    assert known(lab, "tap water rise")[1] == "assumed"


def test_the_height_noted_moves_the_boiling_and_the_minutes(lab: Laboratory) -> None:
    low = {one.key: one.value for one in work_back(lab, "ORD-1").lines}
    done = note_condition(lab, "altitude", "2500 m", by="MA")
    high = {one.key: one.value for one in work_back(lab, "ORD-1").lines}

    assert known(lab, "extraction/recover spirit/altitude_m") == (2500.0, "reading", done.entry_no)
    assert high["electricity_kwh"] < low["electricity_kwh"]
    assert high["recovered_strength_percent"] != low["recovered_strength_percent"]


def test_the_working_hours_noted_move_the_day_to_begin(lab: Laboratory) -> None:
    before = page_text(plan_shown(lab, work_back(lab, "ORD-1")))
    done = note_condition(lab, "working hours", "3 h", by="MA")
    after = page_text(plan_shown(lab, work_back(lab, "ORD-1")))

    assert "8 h a day, assumed: nobody has noted the working hours" in before
    assert f"3 h a day, noted as 3 h, entry {done.entry_no}" in after
    assert _days(after) > _days(before)


def _days(text: str) -> int:
    found = re.search(r"Working days\W+(\d+)", text)
    assert found
    return int(found[1])


def test_the_last_value_is_offered_and_never_filled_in(lab: Laboratory) -> None:
    assert offered(lab, "dilute") == {}

    note_condition(lab, "room temperature", "31 °C", by="MA")
    note_condition(lab, "tap temperature", "24 °C", by="MA")

    assert {field: one.value for field, one in offered(lab, "dilute").items()} == {"temperature": 31.0}
    assert {field: one.value for field, one in offered(lab, "cooling").items()} == {
        "inlet": 24.0,
        "altitude": 240.0,
    }
    assert offered(lab, "dose") == {}


@pytest.mark.parametrize(
    ("of", "text", "role", "value"),
    [
        ("cinchona bark", "52 EUR/kg", "price of plant", 52.0),
        ("spirit 96 %", "9.50 EUR/L", "price of stock spirit", 9.5),
        ("stock spirit", "0.0095 EUR/mL", "price of stock spirit", 9.5),
        ("bottle 100 mL", "0.60 EUR/piece", "price of bottle", 0.6),
        ("hour", "30 EUR/h", "price of hour", 30.0),
        ("water", "5 EUR/m3", "price of water", 5.0),
        ("water", "0.005 EUR/L", "price of water", 5.0),
        ("electricity", "0.40 EUR/kWh", "price of electricity", 0.4),
    ],
)
def test_a_price_that_was_noted_takes_the_place_of_the_invented_one(
    lab: Laboratory, of: str, text: str, role: str, value: float
) -> None:
    done = note_price(lab, of, text, by="MA")
    found, origin, entry_no = known(lab, role)

    assert ASSUMED[role].origin == "assumed"
    assert found == pytest.approx(value)
    assert (origin, entry_no) == ("reading", done.entry_no)


def test_each_ingredient_of_a_formula_counts_at_its_own_price(lab: Laboratory) -> None:
    role = "price of formula ingredients"
    note_price(
        lab, "glycerin", "6 EUR/kg", by="MA"
    )  # 1.00 % of the tonic; 0.50 % of panthenol stays at 18 EUR/kg
    assert known(lab, role)[:2] == (pytest.approx(10.0), "assumed")
    note_price(lab, "panthenol", "30 EUR/kg", by="MA")
    assert known(lab, role)[:2] == (pytest.approx(14.0), "reading")


@pytest.mark.parametrize("text", ["4,25 OMR/kg", "OMR 4.25 per kg", "omr 4,25 / kg", "4.25 OMR a kg"])
def test_a_price_is_read_with_its_currency_before_or_behind(text: str) -> None:
    said = price_said("leaf", text)
    assert (said.amount, said.currency, said.per, said.as_written) == ("4.25", "OMR", "kg", text)


def test_the_last_price_of_a_thing_stands(lab: Laboratory) -> None:
    note_price(lab, "cinchona bark", "52 EUR/kg", by="MA", at=later(-2))
    note_price(lab, "cinchona bark", "48 EUR/kg", by="MA", at=later(-1))

    with lab.look() as look:
        assert [one.as_written for one, _ in prices_noted(look)] == ["48 EUR/kg"]


@pytest.mark.parametrize(
    ("text", "says"),
    [("9 EUR", "currency and for how much"), ("9 EUR/kg", "for one L"), ("nine", "starts with a number")],
)
def test_a_price_that_cannot_be_used_is_refused(lab: Laboratory, text: str, says: str) -> None:
    with pytest.raises(BadEntry, match=says):
        note_price(lab, "stock spirit", text, by="MA")


def test_a_price_in_another_currency_is_kept_and_no_plan_uses_it(lab: Laboratory) -> None:
    says = note_price(lab, "cinchona bark", "52 USD/kg", by="MA").says

    assert "leave it out" in says
    assert known(lab, "price of plant")[1] == "assumed"


def test_prices_and_height_of_a_laboratory_file_come_into_the_book(empty: Laboratory) -> None:
    text = """laboratory: A house
altitude: 900 m
people:
  - {code: AA, name: Anna Alm, may release: yes}
prices:
  - {of: glycerin, price: 6.20 EUR/kg}
"""
    enter_text(empty, text.encode(), "laboratory.yaml", by="AA")
    again = enter_text(empty, text.encode(), "laboratory.yaml", by="AA")
    height = last_condition(empty, "altitude")

    assert height is not None
    assert height.value == 900.0
    assert datetime.fromisoformat(height.at) == ENDS
    assert again.entries == ()
    with empty.look() as look:
        assert [(one.of, one.as_written) for one, _ in prices_noted(look)] == [("glycerin", "6.20 EUR/kg")]


def test_plans_and_prices_count_in_the_currency_of_the_laboratory(lab: Laboratory) -> None:
    assert work_back(lab, "ORD-1", draws=256).request.currency == "EUR"
    describe_house(lab, {"currency": "CHF"}, by="MA")
    note_price(lab, "cinchona bark", "50 CHF/kg", by="MA")
    note_price(lab, "bottle", "1.00 CHF/piece", by="MA")
    done = note_price(lab, "spirit 96 %", "9.50 EUR/L", by="MA")
    note_price(lab, "glycerin", "12 CHF/kg", by="MA")
    made = work_back(lab, "ORD-1", draws=256)
    (cost,) = [one for one in made.lines if one.key == "cost"]
    said = " ".join(made.not_known)
    text = page_text(show_plan(lab, "ORD-1"))

    assert "leave it out" in done.says
    assert {one.item for one in made.costs} == {"plant", "bottles"}
    assert cost.unit == cost.answer.unit == "CHF"
    assert cost.median == pytest.approx(sum(one.amount for one in made.costs), rel=1e-6)
    assert f"9.50 EUR/L (entry {done.entry_no}), is not in CHF" in said
    assert "no price in CHF: stock spirit" in said
    assert "The price of glycerin is used once" in said
    assert "Cost of the batch" in text
    assert "CHF" in text


def test_a_plan_without_one_price_in_its_currency_tells_no_cost(lab: Laboratory) -> None:
    describe_house(lab, {"currency": "XOF"}, by="MA")
    made = work_back(lab, "ORD-1", draws=256)

    assert made.costs == ()
    assert "cost" not in {one.key for one in made.lines}
    assert page_text(show_plan(lab, "ORD-1"))
