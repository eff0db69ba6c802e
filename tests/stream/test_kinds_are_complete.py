"""Every kind of step has all its faces: doors, losses, settings, what is weighed, cautions, a sentence."""

import re
from pathlib import Path

import numpy as np
import pytest

import stillroom
from stillroom.documents.setting_words import SETTINGS
from stillroom.errors import BadEntry, UnknownName
from stillroom.records.starters import starter
from stillroom.reference.cautions import cautions
from stillroom.reference.sources import sources
from stillroom.reference.tables import row
from stillroom.stream.closure import CLOSES_WITHIN, gap
from stillroom.stream.kind import StepOutput, Work
from stillroom.stream.kinds import KINDS
from stillroom.stream.run import kind_of
from tests.planning.practice import procedure
from tests.stream.practice import step_settings, stream

HOUSE = Path(stillroom.__file__).parent
LIQUOR = {"ethanol": 600.0, "water": 400.0, "marker": 15.0, "other_extractables": 40.0}
SOFT = {"water": 12.0, "marker": 15.0, "other_extractables": 20.0}
PLANT = {"plant_solids": 150.0, "water": 80.0, "marker": 18.0, "other_extractables": 60.0}
BULK = {"ethanol": 1600.0, "water": 3300.0}
LEAF = {"plant_solids": 160.0, "water": 22.0, "marker": 5.0, "other_extractables": 60.0}
STARTERS = {
    "macerate": "maceration",
    "press": "maceration",
    "filter": "maceration",
    "concentrate": "maceration",
    "soxhlet": "soxhlet",
    "reflux": "reflux",
    "infuse": "infusion",
    "evaporate": "infusion",
    "hydrodistil": "hydrodistillation",
    "separate oil": "hydrodistillation",
}
FRESH = {"plant_solids": 160.0, "water": 800.0, "marker": 5.0, "other_extractables": 60.0}
BY_HAND = {
    "dry plant": {
        "dried_water_share": 0.1,
        "marker_lost_share": 0.05,
        "rack_h": 60.0,
        "spread_min_per_kg": 12.0,
    },
    "grind": {"left_in_mill_share": 0.02, "grind_min_per_kg": 20.0},
}
"""Settings of kinds that stand in no procedure that is shipped: whoever grows or grinds writes them."""
INLETS = {
    "dry plant": ("dry plant", (FRESH,)),
    "grind": ("grind", (LEAF,)),
    "macerate": ("macerate", (LEAF, {"ethanol": 1200.0, "water": 1050.0})),
    "press": (
        "press",
        (
            {
                "plant_solids": 160.0,
                "water": 160.0,
                "ethanol": 180.0,
                "marker": 1.2,
                "other_extractables": 14.0,
            },
            {"ethanol": 1000.0, "water": 900.0, "marker": 3.8, "other_extractables": 46.0},
        ),
    ),
    "filter": ("filter", (LIQUOR,)),
    "concentrate": ("concentrate", (LIQUOR,)),
    "soxhlet": ("siphon", (LEAF, {"ethanol": 2800.0, "water": 190.0})),
    "reflux": ("reflux", (LEAF, {"ethanol": 1200.0, "water": 1050.0})),
    "infuse": ("infuse", (LEAF, {"water": 3700.0})),
    "evaporate": ("evaporate", ({"water": 3200.0, "marker": 4.0, "other_extractables": 46.0},)),
    "hydrodistil": ("distil the oil", (LEAF, {"water": 2500.0})),
    "separate oil": ("draw off the oil", ({"water": 850.0, "marker": 4.5, "other_extractables": 2.2},)),
    "mix to strength": ("mix spirit", ({"ethanol": 900.0, "water": 60.0}, {"water": 400.0})),
    "mix": (None, ({"water": 100.0}, {"ethanol": 50.0})),
    "moisten": ("moisten", (PLANT, {"ethanol": 700.0, "water": 300.0})),
    "percolate": ("percolate", (PLANT, {"ethanol": 2400.0, "water": 1500.0}, {"water": 300.0})),
    "percolate in two parts": ("percolate", (PLANT, {"ethanol": 2400.0, "water": 1500.0}, {"water": 300.0})),
    "distil": ("recover spirit", (LIQUOR,)),
    "drive off spirit": ("drive off last spirit", (LIQUOR,)),
    "acidify and filter": ("acidify", (LIQUOR, {"hydrogen_chloride": 10.0, "water": 90.0})),
    "basify": ("basify", ({**LIQUOR, "hydrogen_chloride": 10.0}, {"ammonia": 14.0, "water": 120.0})),
    "partition": ("shake out", ({**LIQUOR, "ethanol": 20.0}, {"ethyl_acetate": 700.0})),
    "strip solvent": ("strip", ({**SOFT, "ethyl_acetate": 600.0},)),
    "dry": ("dry", ({**SOFT, "ethyl_acetate": 2.0},)),
    "set aside": ("set a sample aside", (SOFT,)),
    "blend": ("blend", (BULK, {"formula_ingredients": 70.0}, {"marker": 5.0})),
    "fill": ("fill", ({**BULK, "marker": 5.0},)),
}


def case(name):
    step, inlets = INLETS[name]
    streams = tuple(stream(3, **one) for one in inlets)
    if name in BY_HAND:
        return streams, BY_HAND[name]
    if name in STARTERS:
        return streams, {one.name: one.value for one in starter(STARTERS[name]).procedure.step(step).settings}
    code = "hair-tonic" if name in ("blend", "fill") else "bark-extract"
    more = {"reserve_ml_per_g": 0.8} if name == "percolate in two parts" else {}
    return streams, more | step_settings(code, step) if step else {}


def test_every_kind_has_a_case_here():
    assert set(INLETS) == set(KINDS)


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_has_all_its_faces(name):
    kind = KINDS[name]

    assert kind.name == name
    assert kind.inlets
    assert kind.outlets
    assert kind.says.endswith(".")
    assert kind.says.count(".") == 1
    assert kind.weighed
    assert set(kind.weighed) <= {*kind.inlets, *kind.outlets}
    assert set(kind.cautions) <= set(cautions())
    assert set(kind.sources) <= set(sources())
    assert len(set(kind.known_settings)) == len(kind.known_settings)


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_loses_something_or_only_moves_things(name):
    moves_only = {"mix", "moisten", "set aside"}

    assert bool(KINDS[name].losses) != (name in moves_only)


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_gives_what_it_names_and_closes(name):
    kind, (inlets, settings) = KINDS[name], case(name)
    done = kind.works(inlets, settings)

    assert isinstance(done, StepOutput)
    assert len(done.outlets) == len(kind.outlets)
    assert set(done.losses) == set(kind.losses)
    assert gap(inlets, (*done.outlets, *done.losses.values()), kind.turns).max() < CLOSES_WITHIN
    assert all(one.min() > -1e-9 for one in (*done.outlets, *done.losses.values()))


@pytest.mark.parametrize("name", [name for name in KINDS if KINDS[name].losses])
def test_every_named_loss_loses_something(name):
    inlets, settings = case(name)
    labile = {"half_gone_min": 240.0} if "half_gone_min" in KINDS[name].may else {}

    for loss, grams in KINDS[name].works(inlets, {**settings, **labile}).losses.items():
        assert grams.sum() > 0, loss


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_says_how_long_it_takes(name):
    kind, (inlets, settings) = KINDS[name], case(name)
    work = kind.asks(inlets, kind.works(inlets, settings).outlets, settings)

    assert isinstance(work, Work)
    for part in (work.hands_min, work.watch_min, work.free_min, work.heat_kwh, work.cooling_j):
        assert np.all(np.asarray(part) >= 0)


@pytest.mark.parametrize("name", KINDS)
def test_a_kind_reads_every_setting_it_names(name):
    # Each setting is asked for when it works or when it says how long: a name nobody reads is a slip.
    kind, (inlets, settings) = KINDS[name], case(name)
    asked = set()

    class Noted(dict):
        def __getitem__(self, key):
            asked.add(key)
            return dict.__getitem__(self, key)

    noted = Noted(settings)
    done = kind.works(inlets, noted)
    kind.asks(inlets, done.outlets, noted)
    read_elsewhere = {"want_volume_fraction_20c", "spirit_ml_per_g", "overfill_share"}

    assert set(kind.settings) - read_elsewhere <= asked <= set(kind.known_settings)


WHATEVER_THE_CHARGE = ("film_g", "sample_g", "charge_g", "heater_w", "lost_w")


@pytest.mark.parametrize("name", KINDS)
def test_a_ten_thousandth_of_everything_gives_a_ten_thousandth(name):
    # What stays behind in grams whatever the charge is made smaller too.
    kind, (inlets, settings) = KINDS[name], case(name)
    tiny = tuple(one * 1e-4 for one in inlets)
    small = {key: value * 1e-4 if key in WHATEVER_THE_CHARGE else value for key, value in settings.items()}
    whole, part = kind.works(inlets, settings), kind.works(tiny, small)

    for large, little in zip(
        (*whole.outlets, *whole.losses.values()), (*part.outlets, *part.losses.values()), strict=True
    ):
        assert little == pytest.approx(1e-4 * large, rel=1e-9, abs=1e-15)
    heat, less = kind.asks(inlets, whole.outlets, settings), kind.asks(tiny, part.outlets, small)
    assert less.heat_kwh == pytest.approx(1e-4 * np.asarray(heat.heat_kwh), rel=1e-9)
    assert less.cooling_j == pytest.approx(1e-4 * np.asarray(heat.cooling_j), rel=1e-9)


@pytest.mark.parametrize("name", KINDS)
def test_inlets_are_left_as_they_were(name):
    inlets, settings = case(name)
    before = [one.copy() for one in inlets]
    KINDS[name].works(inlets, settings)

    assert all(np.array_equal(one, other) for one, other in zip(before, inlets, strict=True))


@pytest.mark.parametrize("code", ["bark-extract", "hair-tonic"])
def test_every_step_of_the_practice_procedures_fits_its_kind(code):
    for step in procedure(code).steps:
        kind = kind_of(step)

        assert set(step.cautions) <= set(cautions())
        assert set(step.weighs) <= {*step.takes, *step.gives}
        assert len(step.ticks) <= 3
        assert set(kind.cautions) <= set(step.cautions), f"{step.name} leaves out a caution"


@pytest.mark.parametrize("code", ["bark-extract", "hair-tonic"])
def test_every_assumed_setting_names_its_range_or_its_reason(code):
    for step in procedure(code).steps:
        for one in step.settings:
            assert one.because, f"{step.name}/{one.name}"
            assert (one.origin == "chosen") <= (one.spread == "fixed")
            if one.because.startswith("parameter_ranges,"):
                key = one.because.removeprefix("parameter_ranges,").split(":")[0].strip()
                limits = row("parameter_ranges", key)
                scale = 100.0 if limits.words("unit").startswith("%") else 1.0

                assert limits.number("low") <= scale * one.value <= limits.number("high"), one.name


def test_a_step_of_an_unknown_kind_offers_the_nearest():
    from dataclasses import replace

    step = replace(procedure("bark-extract").step("percolate"), kind="percolat")
    with pytest.raises(UnknownName, match="percolate"):
        kind_of(step)


def test_a_misspelt_setting_offers_the_nearest():
    from dataclasses import replace

    step = procedure("bark-extract").step("dry")
    extra = replace(step.settings[0], name="flim_g")
    with pytest.raises(UnknownName, match="film_g"):
        kind_of(replace(step, settings=(*step.settings, extra)))


def test_a_missing_setting_is_named():
    from dataclasses import replace

    step = procedure("bark-extract").step("dry")
    with pytest.raises(BadEntry, match="no water_mass_fraction"):
        kind_of(replace(step, settings=step.settings[1:]))


def test_a_step_that_takes_too_little_is_told():
    from dataclasses import replace

    step = procedure("bark-extract").step("percolate")
    with pytest.raises(BadEntry, match="takes moist plant, liquid, pushing water"):
        kind_of(replace(step, takes=("moist bark",)))


def test_sentences_of_kinds_are_their_own():
    says = [kind.says for kind in KINDS.values()]

    assert len(set(says)) == len(says)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_every_setting_is_called_by_the_trade_s_words(kind):
    assert [name for name in kind.known_settings if name not in SETTINGS] == []


def test_no_room_asks_a_step_for_the_name_of_its_kind() -> None:
    # A starter is told for a marker by the steps of its own file, in a room that stands under the kinds.
    asked = {
        (path.relative_to(HOUSE).as_posix(), name)
        for path in HOUSE.rglob("*.py")
        for name in re.findall(r"\.kind (?:==|!=) \"([a-z ]+)\"", path.read_text(encoding="utf-8"))
        if name in KINDS
    }

    assert asked == {("records/starters.py", "partition"), ("records/starters.py", "infuse")}
