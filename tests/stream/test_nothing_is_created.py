"""What goes in equals what comes out and its named losses, in every draw; a step off by 0.1 % turns red."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings, strategies

from stillroom.errors import BadEntry, BookTrouble, NotEnough, OutsideModel, UnknownName
from stillroom.planning.forecast import charge_account, charge_draws
from stillroom.stream import kinds
from stillroom.stream.closure import gap, must_close
from stillroom.stream.components import (
    ACID,
    AMMONIA,
    COMPONENTS,
    MARKER,
    SALT,
    Grams,
    made_of,
    only,
    whole_mass,
)
from stillroom.stream.kind import Feed, StepOutput
from stillroom.stream.run import run
from tests.planning.practice import practice_request, procedure
from tests.stream.practice import BARK, FEEDS, TONIC_FEEDS, extraction, step_settings, stream, works

ACCOUNT = charge_account(practice_request(), 250.0, charge_draws(practice_request()))


def test_every_step_closes_in_every_draw():
    for step in ACCOUNT.steps:
        inlets, outlets = tuple(step.taken.values()), (*step.given.values(), *step.losses.values())

        widest = gap(inlets, outlets, kinds.KINDS[step.kind].turns).max()
        assert widest < 1e-12, step.name


def test_the_whole_charge_closes_from_shelf_to_jar():
    came = sum(whole_mass(one) for one in ACCOUNT.from_shelf.values())
    went = sum(whole_mass(one) for one in ACCOUNT.outs.values())
    lost = sum(whole_mass(one) for step in ACCOUNT.steps for one in step.losses.values())

    assert np.abs(went + lost - came).max() < 1e-9 * came.min()


def test_no_alkaloid_is_made_or_forgotten():
    came = ACCOUNT.from_shelf["bark"][MARKER]
    went = sum(one[MARKER] for one in ACCOUNT.outs.values())
    lost = sum(one[MARKER] for step in ACCOUNT.steps for one in step.losses.values())

    assert np.abs(went + lost - came).max() < 1e-12 * came.min()


HELD = [
    (step.name, component)
    for step in procedure("bark-extract").steps
    for component in range(len(COMPONENTS))
    if ACCOUNT.given(step.gives[0])[component].min() > 1e-3
]


@pytest.mark.parametrize(("step", "component"), HELD)
def test_a_step_altered_by_a_thousandth_turns_red(monkeypatch, step, component):
    kind = kinds.KINDS[procedure("bark-extract").step(step).kind]

    def altered(inlets: tuple[Grams, ...], values) -> StepOutput:
        done = kind.works(inlets, values)
        first = done.outlets[0].copy()
        first[component] *= 1.001
        return StepOutput((first, *done.outlets[1:]), done.losses)

    extraction()
    monkeypatch.setitem(kinds.KINDS, kind.name, replace(kind, works=altered))
    with pytest.raises(BookTrouble, match=f"What goes into '{step}'"):
        extraction()


def test_every_step_and_most_components_were_altered():
    assert {step for step, _ in HELD} == {step.name for step in procedure("bark-extract").steps}
    assert len({component for _, component in HELD}) >= 8


def test_one_draw_out_of_many_is_enough_to_turn_red():
    inlet = stream(4096, water=100.0)
    outlet = inlet.copy()
    outlet[1, 1234] *= 1.001

    with pytest.raises(BookTrouble, match=r"a gap of 0\.001"):
        must_close("wash", (inlet,), (outlet,))


def test_what_moves_from_one_component_to_another_turns_red_unless_declared():
    inlet = stream(2, hydrogen_chloride=36.461, ammonia=17.031)
    outlet = stream(2, ammonium_chloride=53.492)

    must_close("basify", (inlet,), (outlet,), ((ACID, AMMONIA, SALT),))
    with pytest.raises(BookTrouble, match="must equal"):
        must_close("basify", (inlet,), (outlet,))


def test_less_than_nothing_is_refused_though_it_closes():
    inlet = stream(1, water=100.0)
    too_much, debt = inlet * 1.1, inlet * -0.1

    with pytest.raises(BookTrouble, match=r"water at -0\.1"):
        must_close("wash", (inlet,), (too_much, debt))


def test_a_number_that_is_none_is_refused():
    inlet = stream(1, water=100.0)

    with pytest.raises(BookTrouble, match="gap of nan"):
        must_close("wash", (inlet,), (inlet * np.nan,))


def test_acid_and_ammonia_become_salt_gram_for_gram():
    # HCl + NH3 -> NH4Cl: 36.461 + 17.031 = 53.492 g/mol, IUPAC atomic weights, from memory.
    done = works(
        "basify", (stream(1, water=500.0, hydrogen_chloride=10.0), stream(1, water=100.0, ammonia=10.0)),
        {"fumes_share": 0.0},
    )  # fmt: skip

    salt = done.outlets[0][SALT, 0]
    assert salt == pytest.approx(10.0 / 36.461 * 53.492, rel=1e-4)
    assert done.outlets[0][ACID, 0] == 0.0
    assert done.outlets[0][AMMONIA, 0] == pytest.approx(10.0 - 10.0 / 36.461 * 17.031, rel=1e-4)


share = strategies.floats(0.001, 0.9)


@settings(max_examples=40, deadline=None)
@given(
    retention=strategies.floats(0.2, 4.0),
    capacity=strategies.floats(0.1, 5.0),
    tanks=strategies.integers(1, 4),
    reach=share,
    pushed=share,
    over=share,
    resin=share,
    interface=share,
    ph=strategies.floats(7.0, 11.0),
    scale_g=strategies.floats(1.0, 5000.0),
)
def test_any_sensible_settings_close(
    retention, capacity, tanks, reach, pushed, over, resin, interface, ph, scale_g
):
    settings_ = {
        "percolate/retention_ml_per_g": retention,
        "percolate/washing_capacity_ml_per_g": capacity,
        "percolate/tanks": tanks,
        "percolate/marker_within_reach_share": reach,
        "percolate/pushed_out_share": pushed,
        "recover spirit/ethanol_share": over,
        "acidify/resin_share": resin,
        "shake out/interface_share": interface,
        "shake out/ph": ph,
    }
    account = run(procedure("bark-extract"), FEEDS, settings_, scale_g, 2)

    came = sum(whole_mass(one) for one in account.from_shelf.values())
    went = sum(whole_mass(one) for one in account.outs.values())
    lost = sum(whole_mass(one) for step in account.steps for one in step.losses.values())
    assert went + lost == pytest.approx(came, rel=1e-9)


@settings(max_examples=20, deadline=None)
@given(times=strategies.floats(0.1, 20.0))
def test_only_the_fixed_losses_are_out_of_proportion(times):
    plain, scaled = extraction(250.0), extraction(250.0 * times)

    for name in ("percolate", "recovered spirit", "solvent layer", "soft extract"):
        assert whole_mass(scaled.given(name)) == pytest.approx(
            times * whole_mass(plain.given(name)), rel=1e-9
        )
    missing = times * whole_mass(plain.given("extract")) - whole_mass(scaled.given("extract"))
    assert missing[0] == pytest.approx((1 - times) * (0.15 + 0.50), abs=1e-6 * times)


def test_each_draw_may_have_its_own_scale():
    scales = np.array([50.0, 250.0, 1000.0])
    together = extraction(scales, 3)

    for at, one in enumerate(scales):
        alone = extraction(float(one))
        assert whole_mass(together.outs["extract"])[at] == pytest.approx(
            whole_mass(alone.outs["extract"])[0], rel=1e-12
        )


def test_a_charge_smaller_than_its_film_gives_nothing_and_still_closes():
    assert whole_mass(extraction(0.5).outs["extract"])[0] == pytest.approx(0.0, abs=1e-9)


def test_the_formula_closes_and_the_water_fills_up():
    account = run(procedure("hair-tonic"), TONIC_FEEDS, {}, 5000.0, 1, dosed_g=13.0)
    taken = {name: float(whole_mass(one)[0]) for name, one in account.from_shelf.items()}

    assert sum(taken.values()) == pytest.approx(5000.0, rel=1e-12)
    assert taken["spirit"] == pytest.approx(0.355 * 5000.0)
    assert taken["water"] == pytest.approx(5000.0 * (1 - 0.355 - 0.015) - 13.0)


def test_a_formula_whose_dosed_line_is_not_dosed_is_asked():
    with pytest.raises(BadEntry, match="needs its mass"):
        run(procedure("hair-tonic"), TONIC_FEEDS, {}, 5000.0, 1)


def test_a_line_without_a_feed_is_named():
    feeds = {name: one for name, one in FEEDS.items() if name != "acid"}
    with pytest.raises(BadEntry, match="'acid' must be known"):
        run(procedure("bark-extract"), feeds, {}, 250.0, 1)


def test_a_scale_of_nothing_is_refused():
    with pytest.raises(BadEntry, match="above zero"):
        extraction(0.0)


def test_a_still_does_not_guess_at_another_solvent():
    liquor = stream(1, ethanol=600.0, water=400.0, ethyl_acetate=10.0)
    with pytest.raises(OutsideModel, match="ethanol and water only"):
        works("distil", (liquor,), step_settings("bark-extract", "recover spirit"))


def test_too_little_acid_is_told():
    with pytest.raises(NotEnough, match="acid for two nitrogens"):
        extraction(acidify__acid_g_per_g=0.01, acidify__marker_g_mol=324.42)


def test_a_plant_that_keeps_more_than_it_gets_is_told():
    with pytest.raises(BadEntry, match="more liquid than it keeps"):
        extraction(percolate__retention_ml_per_g=40.0)


def test_a_makeup_must_be_whole_and_known():
    with pytest.raises(BadEntry, match="sum to 1"):
        made_of({"water": 0.9}, 100.0, 1)
    with pytest.raises(UnknownName, match="ethanol"):
        made_of({"ethanl": 1.0}, 100.0, 1)
    with pytest.raises(BadEntry, match="below zero"):
        made_of({"water": 1.2, "ethanol": -0.2}, 100.0, 1)


def test_the_table_of_an_account_adds_up():
    rows = extraction().rows()
    for name in {one.step for one in rows}:
        into = sum(one.median_g for one in rows if one.step == name and one.role == "in")
        out = sum(one.median_g for one in rows if one.step == name and one.role != "in")
        assert out == pytest.approx(into, rel=1e-9)


def test_only_keeps_the_rows_asked_for():
    whole = made_of(BARK, 100.0, 1)

    assert only(whole, MARKER).sum() == pytest.approx(7.47)
    assert Feed(BARK).density_g_ml is None
