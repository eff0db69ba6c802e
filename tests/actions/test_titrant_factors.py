"""The factor of a titrant: replicates that agree are released, others are kept and not used; warmth, weight, drift."""

from datetime import date, timedelta

import pytest

from stillroom.actions.correcting.entries import put_right
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.releasing.deciding import release
from stillroom.actions.shelf.titrants_in_date import FACTOR, STRENGTH, last_set
from stillroom.actions.testing.titrant_factors import find_factor
from stillroom.actions.testing.titration import titrate
from stillroom.answers.titrant_factor import (
    Replicate,
    burette_volume_at_20c_ml,
    days_it_serves,
    drift_told,
    factor_of,
)
from stillroom.answers.titrant_words import nominal_strength
from stillroom.errors import BadEntry, UnknownName
from stillroom.evidence.answer import reading
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.substances.titrants import titrant_life
from tests.practice import later, noon

PHTHALATE = "potassium hydrogen phthalate"
GOOD = (("0.4085 g", "20.06 mL"), ("0.4120 g", "20.22 mL"), ("0.4061 g", "19.94 mL"))
ASKED = {
    "standard": PHTHALATE, "strength": "0.1000 mol/L", "blank": "0.04 mL", "scale": "SCALE-3", "burette": "BUR-1",
    "by": "TO",
}  # fmt: skip


def found(replicates=GOOD, nominal=(0.1, "mol/L"), blank=0.04, temperature=None, content=1.0, unit="mL"):
    return factor_of(
        PHTHALATE,
        [
            Replicate(
                reading("standard", float(mass.split()[0]), "g", "weighed", standard_uncertainty=0.0002),
                reading("titre", float(titre.split()[0]), unit, "read", standard_uncertainty=0.02),
            )
            for mass, titre in replicates
        ],
        nominal=reading("nominal", *nominal, "label"),
        content=reading("content", content, "", "certificate"),
        blank=reading("blank", blank, unit, "read", standard_uncertainty=0.02),
        temperature=reading("temperature", temperature, "°C", "read") if temperature else None,
    )


def test_the_factor_is_the_pharmacopoeias_sum():
    # each mL of 0.1 M alkali takes 20.42 mg of phthalate (pharmacopoeias, from memory): 408.5 / (20.42 x 20.02)
    one = found(replicates=GOOD[:1])

    assert one.factor.answer.value == pytest.approx(408.5 / (20.42 * 20.02), abs=0.0001)


@pytest.mark.parametrize("said", ["0.05 mol/L", "0.1 N", "N/10", "0,1 normal"])
def test_a_titrant_of_two_protons_has_its_factor_however_its_strength_is_said(said):
    # each mL of 0.05 M sulfuric acid, of 0.1 N, takes 5.300 mg of sodium carbonate (pharmacopoeias, from memory)
    found = factor_of(
        "sodium carbonate",
        [Replicate(reading("standard", 0.2650, "g", "weighed"), reading("titre", 50.02, "mL", "read"))],
        nominal=nominal_strength(said, "strength", of="sulfuric acid"),
        content=reading("content", 1.0, "", "certificate"),
        blank=reading("blank", 0.02, "mL", "read"),
        titrant="sulfuric acid 0.05 mol/L",
    )

    assert found.factor.answer.value == pytest.approx(1.0, abs=0.0002)
    assert found.strength.answer.value == pytest.approx(0.05, abs=0.00001)


@pytest.mark.parametrize("of", ["phosphoric acid", "iodine", ""])
def test_a_normality_of_what_hangs_on_the_reaction_is_asked_back(of):
    with pytest.raises(BadEntry, match="hangs on the reaction"):
        nominal_strength("0.1 N", "strength", of=of)


def test_one_replicate_is_not_released():
    one = found(replicates=GOOD[:1])

    assert not one.released
    assert "1 of at least 3 replicates" in one.because


def test_three_that_agree_are_released_with_their_spread():
    three = found()

    assert three.released
    assert three.spread < 0.002
    assert three.factor.answer.standard_uncertainty > three.spread / 3**0.5


def test_three_that_fall_apart_are_not_released():
    apart = found(replicates=(*GOOD[:2], ("0.4061 g", "20.30 mL")))

    assert not apart.released
    assert "at most 0.2 % is allowed" in apart.because


def test_a_titrant_far_from_its_name_is_not_released():
    far = found(nominal=(0.12, "mol/L"))

    assert not far.released
    assert "off its nominal strength" in far.because


def test_a_volume_read_at_31_degrees_is_smaller_at_20():
    # Water: 0.99820 g/mL at 20 °C, 0.99534 at 31 °C (handbook, from memory); the glass gives back a little
    at_20 = burette_volume_at_20c_ml(20.0, 31.0, 9.9e-6)

    assert at_20 == pytest.approx(20.0 * 0.99534 / 0.99820 * (1 + 9.9e-6 * 11), abs=0.002)
    assert found(temperature=31.0).factor.answer.value > found().factor.answer.value


def test_a_weighed_titrant_needs_no_temperature():
    weighed = found(nominal=(0.1, "mol/kg"), unit="g", temperature=31.0)

    assert weighed.strength.answer.unit == "mol/kg"
    assert weighed.factor.answer.value == pytest.approx(found().factor.answer.value)


def test_titres_in_millilitres_do_not_go_with_moles_in_a_kilogram():
    with pytest.raises(BadEntry, match="titres in g with one in mol/kg"):
        found(nominal=(0.1, "mol/kg"))


@pytest.mark.parametrize(
    ("days", "factors", "says"),
    [
        ([0.0], [1.0], "No drift can be told"),
        ([0.0, 7.0], [1.004, 1.002], "a third tells"),
        ([0.0, 7.0, 14.0, 21.0], [1.0040, 1.0031, 1.0019, 1.0011], "It drifts by -0.099 ±"),
        ([0.0, 7.0, 14.0, 21.0], [1.0040, 1.0045, 1.0035, 1.0044], "No drift beyond its scatter"),
    ],
)
def test_a_drift_is_told_only_when_it_is_one(days, factors, says):
    assert says in drift_told(days, factors)[1]


def days(titrant, room_c, which="life"):
    return days_it_serves(reading("room", room_c, "°C", "noted"), titrant_life(titrant), which).value


def test_a_room_ten_kelvin_warmer_halves_the_days_of_a_titrant_nobody_measured_warm():
    assert days("a solution of something", 35.0) == pytest.approx(15.0)
    assert days("a solution of something", 20.0) == pytest.approx(30.0)


def test_sodium_hydroxide_keeps_eighteen_days_at_35_degrees_as_measured():
    # stable for 30 d at room light or dark; at 35 °C drifts from day 18 (Kumar & Ram 2019, second-hand)
    assert days("sodium hydroxide 0.02 mol/L", 35.0) == pytest.approx(18.0)
    assert days("NaOH", 25.0) == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("titrant", "keeps", "serves"),
    [("0.1 N iodine", 7, 1), ("sodium thiosulfate", 7, 1), ("perchloric acid", 7, 1), ("thiocyanate", 30, 7)],
)
def test_each_titrant_has_the_days_of_its_own_rule(titrant, keeps, serves):
    # 0.1 N: seven days, set daily; thiocyanate one month, set weekly (quality-control SOP, second-hand)
    assert (days(titrant, 22.0), days(titrant, 22.0, "factor")) == (keeps, serves)


def test_a_released_factor_stands_in_the_book_and_says_how_long_it_serves(lab):
    note_condition(lab, "room temperature", "35 °C", by="TO")
    done = find_factor(lab, "NAOH-01", GOOD, **ASKED, temperature="31 °C")
    with lab.look() as look:
        factor = look.readings("NAOH-01", FACTOR)[-1].body
        strength = look.readings("NAOH-01", STRENGTH)[-1].body
    until = date(2026, 11, 4) + timedelta(days=18)
    again = (noon() + timedelta(days=4)).date().isoformat()

    assert "Released: 3 replicates" in done.says
    assert factor.value == pytest.approx(1.0, abs=0.02)
    assert factor.standard_uncertainty > 0.0
    assert (strength.value, strength.unit) == (0.1, "mol/L")
    assert f"use it by {until.isoformat()}" in done.says
    assert f"again by {again}" in done.says


def test_replicates_that_fall_apart_are_kept_and_no_factor_is_written(lab):
    with lab.look() as look:
        before = len(look.readings("NAOH-01", FACTOR))
    bad = [*GOOD[:2], ("0.4061 g", "20.90 mL")]
    done = find_factor(lab, "NAOH-01", bad, **ASKED)
    with lab.look() as look:
        after = len(look.readings("NAOH-01", FACTOR))

    assert after == before
    assert len(done.entries) == 8  # the readings, and what it was set with
    assert "No factor was written" in done.says
    assert "never noted" not in done.says


def test_where_the_room_was_never_noted_the_days_are_not_guessed(lab):
    done = find_factor(lab, "NAOH-01", GOOD, **ASKED)

    assert "How warm the room is was never noted" in done.says
    assert "taken as read" in done.says


@pytest.mark.parametrize(
    ("fields", "kind", "says"),
    [
        ({"standard": "table salt"}, UnknownName, "not a row"),
        ({"strength": "0.1 oz"}, BadEntry, "one thing"),
        ({"strength": "5 % w/w"}, BadEntry, "mol/L, or in mol/kg"),
        ({"temperature": "90 °C"}, BadEntry, "between 5 and 45 °C"),
        ({"content": "50 %"}, BadEntry, "between 90 and 101 %"),
        ({"standard": "sodium carbonate"}, BadEntry, "weighed for an acid"),
    ],
)
def test_bad_input_leaves_the_book_as_it_was(lab, fields, kind, says):
    with lab.look() as look:
        before = len(look.entries())
    with pytest.raises(kind, match=says):
        find_factor(lab, "NAOH-01", GOOD, **{**ASKED, **fields})
    with lab.look() as look:
        after = len(look.entries())

    assert after == before


@pytest.mark.parametrize(
    ("fields", "replicates", "says"),
    [
        ({"strength": "1.0000 mol/L"}, GOOD, "lies near 1"),
        ({}, [(mass, "2.006 mL") for mass, _ in GOOD], "lies near 1"),
        ({"blank": "21.00 mL"}, GOOD, "uses more titrant than the blank"),
    ],
)
def test_replicates_from_which_no_factor_follows_are_kept_without_one(lab, fields, replicates, says):
    with lab.look() as look:
        before = [one.entry_no for one in look.readings("NAOH-01", "titrant factor")]
    done = find_factor(lab, "NAOH-01", replicates, **{**ASKED, **fields})
    with lab.look() as look:
        after = [one.entry_no for one in look.readings("NAOH-01", "titrant factor")]

    assert says in done.says
    assert "The readings are kept" in done.says
    assert len(done.entries) == 2 * len(replicates) + 2  # a blank, and what it was set with
    assert after == before


FIFTH = (("0.08170 g", "20.06 mL"), ("0.08240 g", "20.22 mL"), ("0.08122 g", "19.94 mL"))
WEAK = {**ASKED, "strength": "0.0200 mol/L"}


def assayed(lab, on, **more):
    asked = {
        "blank": "20.06 mL",
        "titrant": "NAOH-01",
        "scale": "SCALE-3",
        "burette": "BUR-1",
        "by": "TO",
        **more,
    }
    done = titrate(lab, "E1", portions=[("0.2000 g", "8.42 mL"), ("0.2000 g", "8.16 mL")], **asked, at=on)
    with lab.look() as look:
        results = [one.body for one in look.results("E1") if one.entry_no in done.entries]
    return done, results


def test_a_titration_with_a_factor_that_no_longer_serves_is_no_result(lab):
    # the practice factor is of 2026-11-04 and serves a week; nobody noted the room
    done, results = assayed(lab, noon())

    assert done.says.startswith(
        "No result: the factor of NAOH-01 served until 2026-11-11 at 25 °C, since nobody noted the room: set it again"
    )
    assert results
    assert not any(one.counts for one in results)
    assert all("No result" in one.because for one in results)


def test_a_factor_set_again_the_same_day_gives_a_result(lab):
    find_factor(lab, "NAOH-01", FIFTH, **WEAK)
    done, results = assayed(lab, noon())

    assert "No result" not in done.says
    assert any(one.counts for one in results)


def test_a_titrant_past_its_use_by_is_no_result_however_fresh_its_factor(lab):
    note_condition(lab, "room temperature", "35 °C", by="TO")
    find_factor(lab, "NAOH-01", FIFTH, **WEAK)
    done, results = assayed(lab, noon())

    assert "NAOH-01 was past its use-by, 2026-11-22 at 35 °C in the room: make it fresh" in done.says
    assert not any(one.counts for one in results)


def test_a_titrant_without_a_factor_keeps_the_readings_and_gives_no_result(lab):
    receive_lot(lab, Lot("KOH-01", LotKind.REAGENT, "potassium hydroxide", "titrant"), "500 g", by="TO")
    release(lab, "KOH-01", meaning="made today", by="MA")
    done, results = assayed(lab, noon(), titrant="KOH-01")

    assert done.says == (
        "No result: KOH-01 has no factor: weigh its primary standard and set it. The readings are kept."
    )
    assert len(done.entries) == 6  # the readings, and what it was titrated with
    assert results == []


def entry_of(lab, done, shown):
    with lab.look() as look:
        return next(
            one.entry_no for one in look.entries()
            if one.entry_no in done.entries and getattr(one.body, "as_written", "") == shown
        )  # fmt: skip


def factor_now(lab):
    with lab.look() as look:
        return last_set(look, "NAOH-01", FACTOR).body.value


def test_a_titre_put_right_moves_the_factor_and_every_assay_that_rests_on_it(lab):
    slip = (GOOD[0], ("0.4120 g", "20.24 mL"), GOOD[2])
    done = find_factor(lab, "NAOH-01", slip, **ASKED, at=later(0))
    titrated = {
        "portions": [("0.2000 g", "3.20 mL"), ("0.2000 g", "3.18 mL")], "blank": "10.06 mL", "titrant": "NAOH-01",
        "scale": "SCALE-3", "burette": "BUR-1", "by": "TO",
    }  # fmt: skip
    titrate(lab, "E1", **titrated, at=later(1))
    with lab.look() as look:
        before = look.results("E1")[-1]
    old = factor_now(lab)
    told = put_right(
        lab, entry_of(lab, done, "20.24 mL"), {"reading": "20.22 mL"}, why="misread", by="TO", at=later(2)
    )
    with lab.look() as look:
        after = look.results("E1")[-1]

    # By hand, each 1000 m / 204.22 / (V - 0.04) / 0.1, the mean of three.
    weighed = ((0.4085, 20.06), (0.4120, 20.22), (0.4061, 19.94))
    by_hand = [1000 * grams / 204.22 / (titre - 0.04) / 0.1 for grams, titre in weighed]
    assert factor_now(lab) == pytest.approx(sum(by_hand) / 3, abs=1e-6)
    assert factor_now(lab) > old
    assert "calculated again" in told.says
    assert after.body.value / before.body.value == pytest.approx(factor_now(lab) / old, rel=1e-9)
    assert lab.book.verify().troubles == ()


def test_a_factor_that_follows_no_more_is_void_with_every_assay_and_both_come_back_once_it_follows(lab):
    done = find_factor(lab, "NAOH-01", GOOD, **ASKED, at=later(0))
    assay = titrate(
        lab, "E1", portions=[("0.2000 g", "3.20 mL"), ("0.2000 g", "3.18 mL")], blank="10.06 mL", titrant="NAOH-01",
        scale="SCALE-3", burette="BUR-1", by="TO", at=later(1),
    )  # fmt: skip

    def assayed():
        with lab.look() as look:
            return [one.body for one in look.results("E1") if set(one.body.readings) <= set(assay.entries)]

    before = assayed()
    old, read = factor_now(lab), entry_of(lab, done, "20.22 mL")
    told = []
    for shown in ("25.22 mL", "0.01 mL", "20.22 mL"):
        told.append(put_right(lab, read, {"reading": shown}, why="looked again", by="TO", at=later(2)))
        read = told[-1].entries[0]
        with lab.look() as look:
            last = last_set(look, "NAOH-01", FACTOR)
        after, follows = assayed(), shown == "20.22 mL"
        assert (last is not None and last.body.value == old) is follows
        assert [one.counts for one in after] == [one.counts and follows for one in before]
        assert all("no factor of NAOH-01 follows" in one.because for one in after) is not follows

    assert [one.value for one in after] == pytest.approx([one.value for one in before], rel=1e-9)
    assert lab.book.verify().troubles == ()


def test_readings_that_gave_no_factor_give_it_once_one_is_put_right(lab):
    for shown, right in (("0 g", "0.4085 g"), ("0.01 mL", "20.06 mL")):
        slip = ((shown, "20.06 mL") if shown.endswith("g") else ("0.4085 g", shown), *GOOD[1:])
        done = find_factor(lab, "NAOH-01", slip, **ASKED, at=later(0))
        before = factor_now(lab)
        put_right(lab, entry_of(lab, done, shown), {"reading": right}, why="misread", by="TO", at=later(0))

        assert done.says.startswith("No result: ")
        assert factor_now(lab) == pytest.approx(0.9994, abs=5e-5)
        assert factor_now(lab) != before or shown != "0 g"


def test_a_burette_warmer_than_a_room_is_asked_about_once_and_counts_once_it_is_put_right(lab):
    warm = {**ASKED, "temperature": "310 °C"}
    with pytest.raises(BadEntry, match=r"between 5 and 45 °C.*say in the note"):
        find_factor(lab, "NAOH-01", GOOD, **warm)
    with lab.look() as look:
        before = last_set(look, "NAOH-01", FACTOR)
    done = find_factor(lab, "NAOH-01", GOOD, **warm, note="it showed so")
    with lab.look() as look:
        assert last_set(look, "NAOH-01", FACTOR) == before
    put_right(lab, entry_of(lab, done, "310 °C"), {"reading": "31 °C"}, why="misread", by="TO", at=later(0))

    expected = found(nominal=(0.1, "mol/L"), temperature=31.0).factor.answer.value
    assert factor_now(lab) == pytest.approx(expected, abs=1e-4)


def test_an_older_factor_put_right_does_not_take_the_place_of_the_newest(lab):
    first = find_factor(lab, "NAOH-01", GOOD, **ASKED, at=later(0))
    other = [(f"{float(mass.split()[0]) * 0.995:.4f} g", titre) for mass, titre in GOOD]
    find_factor(lab, "NAOH-01", other, **ASKED, at=later(1))
    newest = factor_now(lab)
    put_right(
        lab, entry_of(lab, first, "20.06 mL"), {"reading": "20.07 mL"}, why="misread", by="TO", at=later(2)
    )

    assert factor_now(lab) == newest


def test_a_portion_of_nothing_brings_its_assay_once_it_is_put_right(lab):
    find_factor(lab, "NAOH-01", FIFTH, **WEAK, at=later(0))
    titrated = {"blank": "20.06 mL", "titrant": "NAOH-01", "scale": "SCALE-3", "burette": "BUR-1", "by": "TO"}
    whole = [("0.2000 g", "8.20 mL"), ("0.2004 g", "8.16 mL")]
    titrate(lab, "E1", portions=whole, **titrated, at=later(1))
    with lab.look() as look:
        right = {one.body.what: one.body.value for one in look.results("E1") if one.body.counts}
    done = titrate(lab, "E1", portions=[("0 g", "8.20 mL"), whole[1]], **titrated, at=later(1))
    last = done.entries[-1]
    put_right(lab, entry_of(lab, done, "0 g"), {"reading": "0.2000 g"}, why="misread", by="TO", at=later(2))
    with lab.look() as look:
        now = {one.body.what: one.body.value for one in look.results("E1") if one.entry_no > last}

    assert now
    assert all(right[what] == pytest.approx(value, rel=1e-12) for what, value in now.items())


def test_bottles_of_the_same_titrant_in_the_same_room_serve_as_long_by_one_calculation() -> None:
    def days(room_c: float):
        room = reading("room", room_c, "°C", "noted")
        return days_it_serves(room, titrant_life("sodium hydroxide 0.1 mol/L"), "life")

    assert days(31.0) is days(31.0)
    assert days(31.0).value < days(25.0).value
