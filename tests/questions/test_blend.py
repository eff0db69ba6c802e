"""Spirits are blended without a laboratory: what to weigh of each, what the plant's water does, what cannot be."""

from datetime import date

import pytest

from stillroom.answers.spirit_blended import Blended
from stillroom.asking.question import Answered, answer
from stillroom.documents.as_text import page_text
from stillroom.errors import StillroomError
from stillroom.evidence.answer import rerun, walk
from stillroom.questions import declared
from stillroom.substances.spirits import spirit_mass_fraction, spirit_volume_fraction_20c
from tests.practice import STORIES

ASKED = {
    "stock-1": "96",
    "stock-1-amount": "4 L",
    "stock-2": "83 % v/v",
    "stock-2-amount": "3 L",
    "stock-2-what": "recovered",
    "want": "70",
    "amount": "5 L",
    "temperature": "20",
}


def said(**more: str) -> dict[str, str]:
    return {**ASKED, **{name.replace("_", "-"): text for name, text in more.items()}}


def answered(fields: dict[str, str]) -> Answered:
    return answer(declared("blend"), fields, date(2026, 11, 29))


def work_out_blend(fields: dict[str, str]) -> Blended:
    found: Blended = answered(fields).found.found
    return found


def ask(**more: str) -> Blended:
    return work_out_blend(said(**more))


def words(**more: str) -> str:
    return " ".join(page_text(answered(said(**more)).page).split())


def test_a_blend_gives_the_strength_and_the_volume_wanted() -> None:
    found = ask()

    assert found.mixture.answer.value == pytest.approx(70.0, abs=1e-6)
    assert found.product_volume.value == pytest.approx(5000.0, rel=1e-9)
    assert [one.name for one in found.taken] == ["stock 1", "stock 2", "water"]
    assert found.taken[1].volume.value == pytest.approx(3000.0, rel=1e-9)  # all of the recovered spirit


def test_fresh_plant_dilutes_the_spirit_as_in_the_story() -> None:
    # S2: 800 g of herb with 78 % water in 1.600 L of 96 %; computed for the brief with OIML R 22, from-memory.
    story = STORIES["S2"]["expect"]
    found = work_out_blend(
        {
            "stock-1": "96", "stock-1-amount": "1.600 L", "stock-2": "78", "stock-2-amount": "800 g",
            "stock-2-what": "fresh plant", "temperature": "20",
        }
    )  # fmt: skip

    assert found.mixture.answer.value == pytest.approx(story["strength_abv"], abs=0.005)
    assert found.product_volume.value / 1000.0 == pytest.approx(story["liquor_L"], abs=0.0005)
    assert found.added.value == pytest.approx(story["additive_wrong"], abs=0.1)


def test_every_figure_of_a_blend_can_be_reckoned_again() -> None:
    found = ask(stock_1_price="14 EUR/L", stock_2_price="0 EUR/L")
    told = [found.mixture.answer, found.added, found.product_volume, found.contraction, found.cost]

    for figure in told:
        assert figure is not None
        for one in walk(figure):
            assert rerun(one) == one.value


def test_how_sure_each_stock_is_can_be_said_and_is_told_where_nobody_did() -> None:
    none, one, both = (
        answered(said(**more))
        for more in ({}, {"stock_1": "96 ± 0.2"}, {"stock_1": "96 ± 0.2", "stock_2": "83 +/- 0.3 % v/v"})
    )

    assert fields_unsaid(none)[:2] == ["stock-1", "stock-2"]  # a bare 96 % is the least sure
    assert "stock-1" not in fields_unsaid(one)
    assert not {"stock-1", "stock-2"} & set(fields_unsaid(both))
    doubts = [asked.found.mixture.answer.standard_uncertainty for asked in (none, one, both)]
    assert doubts == sorted(doubts, reverse=True)


def fields_unsaid(asked: Answered) -> list[str]:
    return [one.field for one in asked.unsaid]


def test_the_doubt_of_a_single_stock_reaches_the_mixture_as_pouring_stronger_spirit_would() -> None:
    found = work_out_blend(
        {"stock-1": "96 ± 0.4", "stock-1-amount": "2 L", "want": "48", "amount": "1 L", "temperature": "20"}
    )

    poured = found.taken[0].mass.value / found.product.value
    stronger, weaker = (
        float(spirit_volume_fraction_20c(poured * spirit_mass_fraction(have))) for have in (0.964, 0.956)
    )
    assert found.mixture.expanded_uncertainty == pytest.approx(100 * (stronger - weaker) / 2, rel=0.01)


def test_two_labels_are_two_errors_and_not_one() -> None:
    both = ask(stock_2_what="fresh", want="90", amount="4 L", stock_2="90", stock_2_amount="2 L")
    names = {one.name for one in both.mixture.budget.contributions}

    assert {"stock 1: error of the label", "stock 2: error of the label"} <= names


def test_the_least_cost_takes_the_cheap_spirit_first() -> None:
    prices = {"stock_1_price": "1 EUR/L", "stock_2_price": "9 EUR/L"}
    cheap = ask(aim="least cost", **prices)
    fresh = ask(**prices)

    assert cheap.cost is not None
    assert fresh.cost is not None
    assert cheap.cost.value < fresh.cost.value
    assert cheap.taken[1].mass.value == pytest.approx(0.0, abs=1e-6)


def test_with_no_amount_all_that_can_be_made_is_made() -> None:
    found = ask(amount="")

    assert found.mixture.answer.value == pytest.approx(70.0, abs=1e-6)
    assert found.taken[0].mass.value == pytest.approx(found.stocks[0].mass.value, rel=1e-9)
    assert found.taken[1].mass.value == pytest.approx(found.stocks[1].mass.value, rel=1e-9)


def test_methanol_and_the_crossing_of_plants_are_named() -> None:
    text = words()

    assert "Neither alcoholometer nor density can tell methanol from ethanol" in text
    assert "Recovered spirit goes to the plant it came from" in text


@pytest.mark.parametrize(
    ("fields", "where", "says"),
    [
        ({"want": "97"}, "want", r"up to the 96\.0 % v/v of the strongest"),
        ({"amount": "50 L"}, "want", "enough ethanol at hand"),
        ({"amount": "0 L"}, "amount", "above zero"),
        ({"want": ""}, "want", "of some strength"),
        ({"stock_1_amount": ""}, "stock-1-amount", "how much there is"),
        ({"stock_2": ""}, "stock-2", "how strong it is"),
        ({"stock_1": "96 % w/w by alcoholometer"}, "stock-1", "v/v"),
        ({"stock_1": "83 % v/v at 31 °C"}, "stock-1", "means its volumes at"),
        ({"stock_1": "96 % v/v by hope"}, "stock-1", "known by"),
        ({"stock_1": "methanol"}, "stock-1", "neither alcoholometer nor density"),
        ({"stock_1": "120"}, "stock-1", "100 %"),
        ({"stock_2_what": "old"}, "stock-2-what", "fresh, recovered"),
        ({"aim": "least cost"}, "stock-1-price", "price of every stock"),
        ({"aim": "most fun"}, "aim", "least cost"),
        ({"stock_1_price": "cheap"}, "stock-1-price", "money and an amount"),
        ({"temperature": "45"}, "temperature", "-20 to 40"),
        ({"stock_2": "100", "stock_2_amount": "1 kg", "stock_2_what": "fresh plant"}, "stock-2", "below 100"),
    ],
)
def test_what_cannot_be_blended_is_told_at_its_field(fields: dict[str, str], where: str, says: str) -> None:
    with pytest.raises(StillroomError, match=says) as told:
        ask(**fields)

    assert told.value.where == where


def test_nothing_at_hand_is_told() -> None:
    with pytest.raises(StillroomError, match="A blend is made of something"):
        work_out_blend({"temperature": "20", "want": "70", "amount": "1 L"})


def test_the_temperature_behind_an_alcoholometer_reading_of_a_stock_is_used() -> None:
    # Worked outside this code from the OIML R 22 formula: 83 on the glass at 31 °C is 79.73 % v/v; 3 L of that and 1 L
    # of 96 % v/v, poured together at 20 °C, hold 83.9 % v/v.
    poured = work_out_blend(
        {
            "stock-1": "83 % v/v at 31 °C by alcoholometer", "stock-1-amount": "3 L",
            "stock-2": "96 % v/v at 20 °C", "stock-2-amount": "1 L", "temperature": "20 °C",
        }
    )  # fmt: skip

    assert poured.stocks[0].strength.value == pytest.approx(79.73, abs=0.005)
    assert poured.mixture.answer.value == pytest.approx(83.9, abs=0.05)


@pytest.mark.parametrize(
    ("want", "same"), [("60 % v/v at 15 °C", 60.061), ("52.09 % w/w", 60.0), ("47.354 % w/v", 60.0)]
)
def test_a_blend_is_wanted_on_any_basis(want: str, same: float) -> None:
    # 60.0 % v/v is 52.09 % m/m (Ph. Eur. 5.5, recalled) and 60 mL of ethanol at 0.78924 g/mL in 100 mL.
    assert ask(want=want).mixture.answer.value == pytest.approx(same, abs=0.01)
