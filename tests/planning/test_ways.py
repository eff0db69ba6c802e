"""Ways of extracting side by side: the figures of a charge by hand, shared draws, and what the glass cannot do."""

from dataclasses import replace

import numpy as np
import pytest

from stillroom.planning import amounts
from stillroom.planning.lines import asked_of, inputs_of
from stillroom.planning.plan_inputs import Known
from stillroom.planning.stages import supply
from stillroom.planning.totals import charge_totals, totals
from stillroom.planning.ways import YIELD, Candidate, compared
from stillroom.questions.compare import OF_NOTHING, starter_ways
from stillroom.questions.order import aim_in
from stillroom.stream.components import ETHANOL, MARKER
from stillroom.stream.kinds.fits_the_glass import FLASK, HEATER
from stillroom.substances.spirits import spirit_density_kg_m3, spirit_mass_fraction

PLANT_G = 100.0


def ways(known: tuple[Known, ...] = (), marker: str = "rosmarinic acid") -> dict[str, Candidate]:
    aim = aim_in(OF_NOTHING, marker, "of")
    return {one.name: one for one in starter_ways("rosemary leaf", aim, known, draws=256)}


def owned(role: str, value: float, unit: str) -> Known:
    return Known(role, f"asked/{role}", value, unit, origin="reading", because="as asked")


@pytest.mark.parametrize("name", ["maceration", "percolation", "soxhlet", "reflux", "infusion"])
def test_the_figures_of_a_charge_are_sums_of_its_steps(name: str) -> None:
    way = ways()[name]
    assert way.request is not None
    inputs = inputs_of(way.request, PLANT_G)
    asked = asked_of(way.request, inputs)
    steps = supply(asked.only("supply")).charge.steps
    stated = sum(one.hands_min for one in way.request.extraction.steps)
    hands_h = (stated + sum(np.asarray(one.work.hands_min) for one in steps)) / 60.0
    price = {
        role.removeprefix("price of "): one.value for role, one in inputs.items() if role.startswith("price")
    }
    account = supply(asked.only("supply")).charge
    stock_ml = (
        amounts.stock_ml(amounts.stock_for_extraction(asked.only("supply")), asked.only("supply"))
        if ("strength of the stock spirit" in inputs)
        else np.zeros(256)
    )
    found = charge_totals(asked.only("money"))
    water_l = sum(
        account.from_shelf[one.name].sum(axis=0)
        for one in way.request.extraction.lines
        if one.substance == "purified water"
    ) / 1000.0 + found.cooling_l  # fmt: skip
    by_hand = (
        PLANT_G / 1000.0 * price["plant"]
        + stock_ml / 1000.0 * price.get("stock spirit", 0.0)
        + water_l / 1000.0 * price["water"]
        + found.heat_kwh * price["electricity"]
        + (found.hands_h + found.watch_h) * price["hour"]
    )

    assert found.hands_h == pytest.approx(hands_h)
    assert found.cost == pytest.approx(by_hand)
    assert np.all(totals(asked.only("money")).cost > found.cost)


def test_spirit_that_is_not_back_is_what_was_poured_less_what_the_stills_give() -> None:
    way = ways()["maceration"]
    assert way.request is not None
    asked = asked_of(way.request, inputs_of(way.request, PLANT_G)).only("supply")
    account = supply(asked).charge
    poured = account.from_shelf["stock spirit"][ETHANOL]
    back = account.step("recover spirit").given["recovered spirit"][ETHANOL]
    back = back + account.step("concentrate").given["tails"][ETHANOL]
    strength = float(spirit_mass_fraction(0.96))
    lost_ml = (poured - back) / strength / (float(spirit_density_kg_m3(strength, 20.0)) / 1000.0)

    assert np.all(poured > back)
    assert float(np.median(amounts.spirit_not_back(asked) / lost_ml)) == pytest.approx(1.0, abs=0.01)


def test_what_ways_share_moves_them_alike() -> None:
    actives = []
    for name in ("maceration", "percolation"):
        request = ways()[name].request
        assert request is not None
        account = supply(asked_of(request, inputs_of(request, PLANT_G)).only("supply")).charge
        actives.append(account.given("extract")[MARKER])

    assert np.corrcoef(np.log(actives))[0, 1] > 0.9
    assert not np.allclose(*actives)


def test_a_way_the_glass_cannot_do_stands_last_with_its_figures_and_its_reason() -> None:
    small = (owned(FLASK, 100.0, "mL"), owned(HEATER, 100.0, "W"))
    free, found = compared(tuple(ways().values()), PLANT_G), compared(tuple(ways(small).values()), PLANT_G)
    by_name = {one.way.name: one for one in found}

    assert all(one.can for one in free if one.way.request is not None)
    assert not by_name["soxhlet"].can
    assert not by_name["reflux"].can
    assert by_name["soxhlet"].line(YIELD) is not None
    assert "flask must hold" in " ".join(by_name["soxhlet"].cannot)
    assert "heater" in " ".join(by_name["reflux"].cannot)
    assert by_name["maceration"].can
    can = [one.can for one in found]
    assert can == sorted(can, reverse=True)
    yields = [line.median for one in found if one.can and (line := one.line(YIELD))]
    assert yields == sorted(yields, reverse=True)


def test_a_way_that_does_not_hold_for_the_marker_says_why() -> None:
    found = {one.way.name: one for one in compared(tuple(ways().values()), PLANT_G)}

    assert found["hydrodistillation"].lines == ()
    assert "does not go over with steam" in found["hydrodistillation"].cannot[0]
    assert "dissolves" in ways(marker="quinine")["infusion"].warned


def test_a_charge_that_cannot_run_is_told_and_stops_no_other() -> None:
    every = ways()
    percolation = every["percolation"].request
    assert percolation is not None
    mixing = percolation.extraction.steps[0]
    dry = replace(
        mixing,
        settings=tuple(
            replace(one, value=0.5) if one.name == "spirit_ml_per_g" else one for one in mixing.settings
        ),
    )
    steps = (dry, *percolation.extraction.steps[1:])
    short = replace(percolation, extraction=replace(percolation.extraction, steps=steps))
    found = compared((replace(every["percolation"], request=short), every["maceration"]), PLANT_G)

    assert [one.can for one in found] == [True, False]
    assert "enough liquid" in found[1].cannot[0]
