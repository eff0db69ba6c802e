"""What is received, weighed and read: one amount in two wordings is the same micrograms, or is refused whole."""

import random

import pytest

from stillroom.actions.lots.receiving import amount_of, received
from stillroom.errors import StillroomError
from stillroom.quantities.parse import parse
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.said_otherwise.wordings import mass, temperature, volume

TRIES = 150
WRONG = ("{} kg", "{}, 6 g", "{} of bark", "{} ± 1", "about {}", "{} at 20 °C")
SPIRIT = Lot("SP1", LotKind.SPIRIT, "spirit 96 %", "spirit", stated="96.0 % v/v")


@pytest.mark.parametrize("seed", range(5))
def test_a_mass_said_otherwise_is_the_same_mass(seed: int) -> None:
    for at in range(TRIES):
        first, *others = (one.text for one in mass(0.5, 5000)(random.Random(1000 * seed + at)))

        assert {amount_of(one) for one in others} == {amount_of(first)}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_a_mass_does_not_use_is_refused_with_a_reason(wrong: str) -> None:
    for at in range(TRIES):
        first = mass(0.5, 5000)(random.Random(at))[0].text
        with pytest.raises(StillroomError) as refusal:
            amount_of(wrong.format(first))

        assert refusal.value.must
        assert refusal.value.got
        assert refusal.value.do


def test_litres_said_otherwise_are_the_same_mass_of_spirit() -> None:
    for at in range(12):
        rng = random.Random(at)
        litres, warm = (
            volume(500, 9000)(rng),
            [one.text for one in temperature(5, 35)(rng) if one.text[-1] in "CFK"],
        )
        first = received(SPIRIT, f"{litres[0].text} at {warm[0]}")[0]
        text = f"{rng.choice(litres).text} at {rng.choice([one for one in warm if 'deg' not in one])}"

        assert received(SPIRIT, text)[0] == pytest.approx(first, rel=1e-9), text


def test_a_temperature_said_otherwise_is_the_same_temperature() -> None:
    for at in range(TRIES):
        first, *others = (one.text for one in temperature(-5, 90)(random.Random(at)) if one.text[-1] in "CFK")

        for text in others:
            found = parse(text, want="temperature").in_unit("°C")
            assert found == pytest.approx(parse(first, want="temperature").in_unit("°C"), abs=1e-9), text
