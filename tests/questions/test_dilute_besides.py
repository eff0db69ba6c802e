"""What else may be said of a dilution: an old scale, something dissolved, a dropper, a reading in the mixture."""

from dataclasses import dataclass
from datetime import date

import numpy as np
import pytest

from stillroom.actions.orders.amounts_planned import planned_g
from stillroom.answers.drops import MOST_DROPS
from stillroom.asking.question import Answered, answer
from stillroom.asking.said import Said, together
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, OutsideModel, StillroomError
from stillroom.evidence.answer import reading
from stillroom.questions import declared
from stillroom.questions.dilute_told import Dilution
from stillroom.questions.spirit_at_hand import AtHand, StrengthSaid, at_hand
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction
from tests.practice import opened, told_folder

AIR = 0.0012
"""Density of air near 20 °C, common handbook figure, from-memory. [g/mL]"""
ASKED = {
    "have": "96",
    "known-by": "label",
    "want": "70",
    "amount": "5",
    "amount-as": "L wanted",
    "temperature": "20",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottle(Said):
    """A strength and nothing else."""

    spirit: AtHand = together(StrengthSaid, at_hand)


def said(**more: str) -> dict[str, str]:
    return {**ASKED, **{name.replace("_", "-"): text for name, text in more.items()}}


def answered(**more: str) -> Answered:
    return answer(declared("dilute"), said(**more), date(2026, 11, 29))


def ask(**more: str) -> Dilution:
    found: Dilution = answered(**more).found
    return found


def words(**more: str) -> str:
    return " ".join(page_text(answered(**more).page).split())


@pytest.mark.parametrize(
    ("have", "reference", "percent", "off"),
    [
        # Twice the per cent at 60 °F, and 57.1 % for British proof (see the reference checks); page-opened.
        ("140 US proof", "", 70.0, 0.1),
        ("140", "US proof", 70.0, 0.1),
        ("122.6 UK proof", "", 70.0, 0.1),
        ("70° Tralles", "", 70.0, 0.1),
        ("70 Gay-Lussac", "", 70.0, 0.2),
        ("70 %", "15.56 °C", 70.0, 0.1),
    ],
)
def test_scales_that_mean_about_the_same_strength_come_out_alike(
    have: str, reference: str, percent: float, off: float
) -> None:
    found = ask(have=have, reference=reference, want="40").found.have.answer

    assert found.value == pytest.approx(percent, abs=off)
    assert found.value != percent


@pytest.mark.parametrize(
    ("have", "reference", "says"),
    [
        ("140 proof", "", "two proofs, a seventh apart"),
        ("40 Cartier", "", "no share of ethanol"),
        ("40", "Baumé", "no share of ethanol"),
        ("140 US proof", "UK proof", "on one scale"),
        ("140 %", "US proof", "counted in degrees"),
        ("250 US proof", "", "between 0 and 200"),
        ("190 UK proof", "", "UK proof"),
        ("93.8 % w/w", "15 °C", "by mass means no volumes"),
        ("methanol", "", "neither alcoholometer nor density tells it from ethanol"),
        ("96", "17 °C", "A label means one of"),
    ],
)
def test_a_scale_that_cannot_be_taken_is_told(have: str, reference: str, says: str) -> None:
    with pytest.raises((BadEntry, OutsideModel), match=says) as told:
        ask(have=have, reference=reference, want="40")

    assert told.value.where in ("have", "reference")


@pytest.mark.parametrize("known_by", ["density", "alcoholometer", "bottle"])
def test_nothing_is_read_off_spirit_that_holds_extract(known_by: str) -> None:
    have = "0.88" if known_by == "density" else "70"

    with pytest.raises(StillroomError, match=r"believed in ethanol and water only.* look like 6[67] %"):
        ask(have=have, known_by=known_by, want="40", holds="extract, sugar or glycerol too",
            bottle_empty="30.00", bottle_water="130.00", bottle_spirit="118.00")  # fmt: skip


def test_spirit_that_holds_extract_goes_by_mass_and_gets_no_reading() -> None:
    text = words(holds="extract, sugar or glycerol too")

    assert "It holds something dissolved: go by mass" in text
    assert "It should show" not in text


def test_methanol_is_named_beside_every_strength() -> None:
    said_of_it = "Neither alcoholometer nor density can tell methanol from ethanol"

    assert said_of_it in words()
    assert said_of_it in words(holds="extract, sugar or glycerol too")


def test_a_dropper_counts_what_is_too_little_for_the_scale() -> None:
    # 1.44 g of water by drops of 0.98 g / 20: 29.4 of them, by hand.
    small = {"want": "90", "amount": "20", "amount_as": "mL wanted"}
    text = words(**small, drops_counted="20", drops_weigh="0.98", drops_of="water")

    assert "The water, in drops 29 drops" in text


def test_drops_nobody_would_count_are_not_offered() -> None:
    text = words(drops_counted="20", drops_weigh="0.98", drops_of="water")

    assert "in drops" not in text
    assert ask().found.water.value / 0.049 > MOST_DROPS


@pytest.mark.parametrize(
    ("fields", "where", "says"),
    [
        ({"drops_counted": "5", "drops_weigh": "0.25"}, "drops-counted", "10 drops or more"),
        ({"drops_counted": "20"}, "drops-weigh", "a count and a weighing"),
        ({"drops_counted": "20", "drops_weigh": "1 mL"}, "drops-weigh", "mass"),
        (
            {"drops_counted": "20", "drops_weigh": "1 g", "drops_of": "oil"},
            "drops-of",
            "water or of the spirit",
        ),
        ({"shows": "120"}, "shows", "ends at 100 %"),
        ({"shows": "70 % w/w"}, "shows", "known by alcoholometer is v/v"),
        ({"shows": "70 % at 31 °C", "shows_at": "24"}, "shows", "one temperature"),
        ({"shows": "99", "shows_at": "70"}, "shows", "between -20 and 40"),
    ],
)
def test_what_cannot_be_is_told_at_its_field(fields: dict[str, str], where: str, says: str) -> None:
    with pytest.raises(StillroomError, match=says) as told:
        ask(**fields)

    assert told.value.where == where


def test_a_reading_within_the_band_is_left_alone() -> None:
    seen = ask(shows="70.2").seen

    assert seen is not None
    assert seen.leave_alone
    assert "within the band. Leave it alone" in words(shows="70.2")


@pytest.mark.parametrize(("shows", "of"), [("73", "water"), ("67", "spirit")])
def test_what_is_added_brings_a_mixture_to_the_strength_wanted(shows: str, of: str) -> None:
    asked = ask(shows=shows)
    right = asked.seen.puts_right if asked.seen else None
    found = asked.found

    assert right is not None
    assert right.of == of
    is_now = float(spirit_mass_fraction(float(shows) / 100.0))  # at 20 °C a reading is the strength
    added = float(spirit_mass_fraction(0.96)) if of == "spirit" else 0.0
    mass = found.product.value
    brought = (mass * is_now + right.adds.value * added) / (mass + right.adds.value)
    assert brought == pytest.approx(float(spirit_mass_fraction(0.70)), rel=1e-9)


def test_a_bottle_of_100_ml_and_a_scale_of_a_hundredth_know_70_per_cent_within_half() -> None:
    # Three weighings in air, each rounded to the step of the scale: a simulation, seed 5, 400 bottles.
    made = np.random.default_rng(5)
    spirit, water = (
        float(spirit_density_kg_m3(one, 20.0)) / 1000.0 for one in (spirit_mass_fraction(0.70), 0.0)
    )
    at_20 = reading("temperature", 20.0, "°C", "one for all three")
    exact = reading("error of the thermometer", 0.0, "°C", "none in this simulation")
    found = []
    for _ in range(400):
        empty, volume = made.uniform(55.0, 75.0), made.uniform(99.0, 103.0)
        weighed = (
            round(one, 2) for one in (empty, empty + volume * (water - AIR), empty + volume * (spirit - AIR))
        )
        names = ("bottle-empty", "bottle-water", "bottle-spirit")
        bottle = {name: f"{mass:.2f}" for name, mass in zip(names, weighed, strict=True)}
        have = Bottle.read(bottle, date(2026, 11, 29), {}).spirit.stated(at_20, exact)
        found.append((have.answer.value - 70.0, have.expanded_uncertainty))
    errors, stated = np.array(found).T

    assert 2.0 * errors.std() < 0.5
    assert abs(errors.mean()) < 0.05
    assert (np.abs(errors) <= stated).mean() > 0.94


def test_plan_and_batch_sheet_weigh_what_the_question_weighs() -> None:
    with opened(told_folder()) as lab, lab.look() as look:
        planned = planned_g(look, "E1")
    found = ask().found

    assert planned["mix spirit", "stock spirit"] == pytest.approx(found.stock.value, rel=1e-12)
    assert planned["mix spirit", "water"] == pytest.approx(found.water.value, rel=1e-12)


def test_a_label_by_mass_is_as_sure_as_the_same_label_by_volume() -> None:
    # Ph. Eur. 1317, ethanol (96 per cent), recalled: 95.1 to 96.9 % v/v, which is 92.6 to 95.2 % w/w.
    by_mass, by_volume, certified = (
        ask(have=written, known_by=known).mixture.answer.standard_uncertainty
        for written, known in (("93.84 % w/w", ""), ("96.0 % v/v", "label"), ("93.84 % w/w", "certificate"))
    )

    assert "± 1.3 % w/w" in words(have="93.84 % w/w", known_by="")
    assert by_mass == pytest.approx(by_volume, rel=0.01)
    assert certified < by_mass / 5
