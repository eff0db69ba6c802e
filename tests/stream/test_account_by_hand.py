"""How much a step takes, the table of an account, and the edges of closing, on round figures."""

from dataclasses import replace

import numpy as np
import pytest

from stillroom.errors import BadEntry, BookTrouble, OutsideModel, UnknownName
from stillroom.records.procedures import Line
from stillroom.stream import kinds
from stillroom.stream.account import Account, Row, StepAccount
from stillroom.stream.closure import gap, must_close
from stillroom.stream.components import ACID, AMMONIA, MARKER, SALT, WATER, whole_mass
from stillroom.stream.happened import what_happened
from stillroom.stream.kind import StepOutput, Work
from stillroom.stream.run import amount_settings, kind_of, run
from stillroom.stream.scale import solve_for_scale
from tests.planning.practice import procedure
from tests.stream.practice import FEEDS, TONIC_FEEDS, extraction, stream

TONIC = procedure("hair-tonic")


def formula(*lines: Line, dosed_g: float | None = None, bulk_g: float = 1000.0) -> dict[str, float]:
    """Grams of each line of a formula that is blended and not filled."""
    blend = replace(TONIC.step("blend"), takes=tuple(one.name for one in lines))
    account = run(replace(TONIC, lines=lines, steps=(blend,)), TONIC_FEEDS, {}, bulk_g, 1, dosed_g=dosed_g)
    return {name: float(whole_mass(one)[0]) for name, one in account.from_shelf.items()}


def line(name: str, percent: float | None, role: str = "") -> Line:
    return Line(name, name, percent, role)


def test_a_gap_is_told_for_each_draw_as_a_share_of_all_that_went_in():
    inlets = (stream(2, water=100.0), stream(2, ethanol=60.0), stream(2, ethanol=40.0))
    out = sum(inlets)
    out[WATER, 1] += 0.2

    assert gap(inlets, (out,)) == pytest.approx([0.0, 0.001], abs=1e-12)


def test_a_gap_in_a_gram_is_a_share_of_that_gram():
    inlet = stream(1, water=0.5)

    assert gap((inlet,), (inlet * 1.001,)) == pytest.approx([0.001], rel=1e-9)


def test_a_small_charge_closes_as_tightly_as_a_large_one():
    inlet = stream(1, water=0.001)

    must_close("wash", (inlet,), (inlet * (1 + 1e-10),))
    with pytest.raises(BookTrouble, match="must equal"):
        must_close("wash", (inlet,), (inlet * (1 + 1e-7),))


def test_each_draw_is_held_to_its_own_mass():
    # 1e-8 g is nothing in a kilogram, and too much only beside the gram of the other draw.
    inlet = stream(2, water=np.array([1000.0, 1.0]))
    slip = np.zeros_like(inlet)
    slip[WATER, 0] = 1e-8

    must_close("wash", (inlet,), (inlet + slip,))
    must_close("wash", (inlet,), (inlet + slip, -slip))


def test_what_turns_is_compared_within_each_draw():
    inlet = stream(2, hydrogen_chloride=30.0, ammonia=20.0)
    outlet = np.zeros_like(inlet)
    outlet[SALT] = [51.0, 49.0]

    with pytest.raises(BookTrouble, match="must equal"):
        must_close("basify", (inlet,), (outlet,), ((ACID, AMMONIA, SALT),))


def test_the_table_of_an_account_names_step_role_and_stream_with_its_range():
    hundred = stream(101, water=1.0) * np.arange(101.0)
    with_alkaloid = hundred.copy()
    with_alkaloid[MARKER] = 2.0 * np.arange(101.0)
    step = StepAccount("wash", "mix", {"a": with_alkaloid}, {"b": hundred}, {"c": hundred * 0.5}, Work())
    account = Account((step,), {}, {})

    expected = [
        Row("wash", "in", "a", 150.0, 15.0, 285.0),
        Row("wash", "out", "b", 50.0, 5.0, 95.0),
        Row("wash", "lost", "c", 25.0, 2.5, 47.5),
    ]
    for one, other in zip(account.rows(), expected, strict=True):
        assert (one.step, one.role, one.name) == (other.step, other.role, other.name)
        assert (one.median_g, one.low_g, one.high_g) == pytest.approx(
            (other.median_g, other.low_g, other.high_g)
        )
    assert [row.median_g for row in account.rows(MARKER)] == pytest.approx([100.0, 0.0, 0.0])


def test_an_account_knows_its_steps_and_what_they_gave():
    account = extraction()

    assert account.step("percolate").kind == "percolate"
    assert account.given("soft extract") is account.step("strip").given["soft extract"]
    with pytest.raises(UnknownName, match="'percolate'"):
        account.step("percolat")
    with pytest.raises(UnknownName, match="'soft extract'"):
        account.given("sof extract")


def test_lines_are_taken_by_the_gram_or_by_the_millilitre_for_each_gram_of_plant():
    account = extraction(100.0)
    taken = {name: float(whole_mass(one)[0]) for name, one in account.from_shelf.items()}

    # The settings of the practice procedure: 0.4 g/g, 0.55 g/g, 3.2 mL/g at 0.9003 g/mL.
    assert taken["bark"] == pytest.approx(100.0)
    assert taken["acid"] == pytest.approx(40.0)
    assert taken["ammonia"] == pytest.approx(55.0)
    assert taken["ethyl acetate"] == pytest.approx(320.0 * 0.9003, rel=1e-12)


def test_a_line_that_two_steps_take_is_counted_twice():
    account = extraction(100.0)
    water_g = sum(
        float(whole_mass(step.taken["water"])[0]) for step in account.steps if "water" in step.taken
    )

    assert len([step for step in account.steps if "water" in step.taken]) == 2
    assert float(whole_mass(account.from_shelf["water"])[0]) == pytest.approx(water_g, rel=1e-12)


def test_a_setting_of_an_amount_is_named_after_its_line():
    assert amount_settings("ethyl acetate") == ("ethyl_acetate_ml_per_g", "ethyl_acetate_g_per_g")
    assert amount_settings("semi-dry bark") == ("semi_dry_bark_ml_per_g", "semi_dry_bark_g_per_g")


def _with_step(name: str, **changes):
    extract = procedure("bark-extract")
    steps = tuple(replace(one, **changes) if one.name == name else one for one in extract.steps)
    return replace(extract, steps=steps)


def _without_an_amount_of_acid():
    return tuple(
        one for one in procedure("bark-extract").step("acidify").settings if one.name != "acid_g_per_g"
    )


def test_a_line_nobody_has_offers_the_nearest():
    wrong = _with_step("acidify", takes=("watery liquor", "acd"), settings=_without_an_amount_of_acid())

    with pytest.raises(UnknownName, match=r"something the step 'acidify' can take.*'acid'"):
        run(wrong, FEEDS, {}, 250.0, 1)


def test_a_step_that_does_not_say_how_much_it_takes_is_named():
    silent = _with_step("acidify", settings=_without_an_amount_of_acid())

    with pytest.raises(BadEntry, match="The step 'acidify' must say how much acid it takes"):
        run(silent, FEEDS, {}, 250.0, 1)


def test_a_line_by_volume_needs_its_density():
    feeds = FEEDS | {"ethyl acetate": replace(FEEDS["ethyl acetate"], density_g_ml=None)}

    with pytest.raises(BadEntry, match="ethyl acetate is measured by volume"):
        run(procedure("bark-extract"), feeds, {}, 250.0, 1)


@pytest.mark.parametrize("gives", [(), ("one", "two", "three")])
def test_a_step_that_gives_another_number_of_things_is_told(gives):
    with pytest.raises(BadEntry, match="takes moist plant, liquid, pushing water and gives percolate, marc"):
        kind_of(replace(procedure("bark-extract").step("percolate"), gives=gives))


def test_a_kind_that_forgets_a_loss_is_told(monkeypatch):
    kind = kinds.KINDS["dry"]

    def forgetful(inlets, settings):
        return StepOutput(kind.works(inlets, settings).outlets)

    monkeypatch.setitem(kinds.KINDS, "dry", replace(kind, works=forgetful))
    with pytest.raises(BadEntry, match="The step 'dry' must name what its kind gives"):
        extraction()


def test_a_formula_without_a_dosed_line_is_filled_up_to_its_bulk():
    assert formula(line("spirit", 40.0), line("water", None, "q.s.")) == pytest.approx(
        {"spirit": 400.0, "water": 600.0}
    )


def test_a_dosed_line_takes_its_place_from_the_water():
    lines = (line("spirit", 40.0), line("extract", None, "dosed"), line("water", None, "q.s."))

    assert formula(*lines, dosed_g=13.0) == pytest.approx({"spirit": 400.0, "extract": 13.0, "water": 587.0})


@pytest.mark.parametrize(("percent", "rest_g"), [(100.0, 0.0), (99.95, 0.5)])
def test_a_formula_may_leave_little_or_nothing_for_the_water(percent, rest_g):
    assert formula(line("spirit", percent), line("water", None, "q.s."))["water"] == pytest.approx(
        rest_g, abs=1e-9
    )


def test_a_formula_of_more_than_a_hundred_per_cent_is_refused():
    with pytest.raises(BadEntry, match="cannot exceed 100 %"):
        formula(line("spirit", 100.1), line("water", None, "q.s."))


def test_nothing_weighed_out_and_half_a_gram_in_are_taken():
    account = what_happened({"in": 0.5}, {"out": 0.0}, {"lost": 0.25})

    assert account.unexplained_g == 0.25
    assert account.unexplained_fraction == 0.5


def test_a_draw_that_needs_nothing_keeps_its_scale_while_the_others_are_sought():
    wanted = np.array([0.0, 5.0, 40.0])
    slopes = np.array([0.0, 1.0, 2.0])
    scale = solve_for_scale(lambda one: slopes * one - wanted, np.array([8, 8, 16]))

    assert scale == pytest.approx([10.0, 5.0, 20.0], rel=1e-12)


def test_one_draw_in_which_more_does_not_give_more_is_enough_to_say_so():
    with pytest.raises(OutsideModel, match="More must give more"):
        solve_for_scale(lambda one: np.array([1.0, 0.0]) * one - 5.0, np.full(2, 10.0))


def test_a_straight_surplus_takes_two_rounds():
    asked = []

    def surplus(scale):
        asked.append(scale.copy())
        return 0.05 * scale - 5.15

    assert solve_for_scale(surplus, np.full(2, 80.0)) == pytest.approx(103.0, rel=1e-12)
    # Where to begin, a step beside it, and the answer.
    assert len(asked) <= 3
