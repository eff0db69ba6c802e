"""The watch of a batch: taps, what was looked at, cuts, taking back; what the page says of them."""

import math
from datetime import datetime, timedelta

import pytest

from stillroom.actions.bench.outages import end_outage, note_outage
from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.describing import describe_house
from stillroom.actions.house.equipment_and_people import add_instrument
from stillroom.actions.house.pricing import note_price
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.making.what_it_gave import what_it_gave
from stillroom.actions.orders import remembering
from stillroom.actions.watching.after_the_run import check_marc, enter_log, log_of, marc_checked
from stillroom.actions.watching.before_the_run import prior
from stillroom.actions.watching.run_watched import RunWatched, run_watched
from stillroom.actions.watching.siphonings_noted import look_at, measure_extractor, take_back, tap
from stillroom.answers import soxhlet_watched as names
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotEnough
from stillroom.evidence.answer import Answer
from stillroom.pages.batches import show_batch
from stillroom.pages.watch import noticed, show_watch
from tests.practice import later

BEGINS = later(0) - timedelta(hours=6)


def minute(one: float) -> datetime:
    """So many minutes after the first siphoning."""
    return BEGINS + timedelta(minutes=one)


def soxhlet(lab: Laboratory, code: str = "S1") -> None:
    copy_procedure(lab, "soxhlet", "cinchona bark", "quinine", "bark-soxhlet", by="TO", at=minute(-200))
    begin_batch(lab, code, "bark-soxhlet", "12 g", by="TO", at=minute(-90))


def taps(lab: Laboratory, times: list[float], **said: str) -> None:
    for one in times:
        tap(lab, "S1", by="TO", at=minute(one), **said)


def run(lab: Laboratory) -> RunWatched:
    with lab.look() as look:
        return run_watched(look, "S1")


def says(lab: Laboratory) -> str:
    return " ".join(page_text(show_watch(lab, "S1")).split())


def test_before_the_first_tap_the_page_says_what_to_do(lab: Laboratory) -> None:
    soxhlet(lab)

    assert "Nothing siphoned yet" in says(lab)


def test_taps_alone_give_advice_by_the_plan_and_say_so(lab: Laboratory) -> None:
    soxhlet(lab)
    tap(lab, "S1", what="heat on", by="TO", at=minute(-40))
    taps(lab, [12.0 * one for one in range(9)])
    found = run(lab)

    assert found.found is not None
    assert found.found.taps.minutes.size == 9
    assert found.found.advice.by_plan_alone
    assert found.minutes == pytest.approx(136.0)
    assert found.next_at == minute(108)
    assert "By the plan alone" in says(lab)


def test_where_the_best_stop_is_not_known_it_says_what_stopping_now_loses(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [12.0 * one for one in range(18)])
    early = run(lab).found
    assert early is not None
    assert "Stopping now loses" in says(lab)
    taps(lab, [12.0 * one for one in range(18, 30)])
    late = run(lab).found

    assert late is not None
    assert late.advice.verdict == "stop"
    assert late.advice.stop_loses.high < early.advice.stop_loses.high < early.advice.inside.high


def test_a_forgotten_tap_and_a_cut_that_was_noted_are_said_and_not_read_as_slow(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [0.0, 12.0, 24.0, 48.0, 60.0])
    note_outage(lab, "power", by="TO", at=minute(65))
    end_outage(lab, "power", by="TO", at=minute(125))
    taps(lab, [133.0, 145.0, 157.0])
    found = run(lab)

    assert found.found is not None
    assert found.found.taps.forgotten == (4,)
    assert found.found.taps.cuts == ((6, 60.0),)
    assert found.found.taps.cycle_min == pytest.approx(12.0, abs=0.5)
    assert "Not tapped, but counted: siphoning 4" in says(lab)
    assert "After siphoning 6 it stood 60 min" in says(lab)


def test_what_is_looked_at_narrows_what_is_still_inside(lab: Laboratory) -> None:
    soxhlet(lab)
    measure_extractor(lab, "S1", crest="85 mL", heel="25 mL", by="TO", at=minute(-5))
    taps(lab, [12.0 * one for one in range(8)])
    bare = run(lab).found
    for number, mg in ((1, 412.0), (3, 60.2), (5, 22.1), (6, 17.0), (7, 14.2), (8, 12.0)):
        look_at(lab, "S1", siphoning=str(number), residue=f"{mg} mg", volume="10 mL", by="TO", at=minute(200))
    look_at(lab, "S1", siphoning="8", vial="6", by="TO", at=minute(200))
    found = run(lab)

    assert bare is not None
    assert found.found is not None
    before, after = bare.advice.inside, found.found.advice.inside
    assert math.log(after.high / after.low) < 0.75 * math.log(before.high / before.low)
    assert found.measured == "S1"
    assert [one.says for one in found.rows][7] == ("12 mg", "1:64")


def test_a_signal_with_no_number_belongs_to_the_last_tap_before_it(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [0.0, 12.0])
    look_at(lab, "S1", vial="1", by="TO", at=minute(13))
    taps(lab, [24.0], vial="2")

    assert [one.says for one in run(lab).rows] == [(), ("1:2",), ("1:4",)]


def test_the_last_tap_is_taken_back_and_stays_to_be_read(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [0.0, 12.0, 17.0])
    done = take_back(lab, "S1", by="TO", at=minute(200))
    found = run(lab).found
    with lab.look() as look:
        entry = look.entry(done.entry_no)

    assert found is not None
    assert found.taps.minutes.size == 2
    assert entry.corrects is not None
    assert entry.why == "tapped by mistake"


def test_with_nothing_tapped_there_is_nothing_to_take_back(lab: Laboratory) -> None:
    soxhlet(lab)

    with pytest.raises(NotEnough, match="a tap to take back"):
        take_back(lab, "S1", by="TO", at=minute(200))


def test_a_tap_entered_late_takes_its_place_by_its_time(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [0.0, 12.0, 36.0, 24.0])
    found = run(lab).found

    assert found is not None
    assert found.taps.forgotten == ()
    assert found.taps.minutes.size == 4


def test_a_refractometer_waits_for_fresh_condensate(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [0.0, 12.0], refractometer="6.4 %")
    waiting = noticed(run(lab))
    look_at(lab, "S1", blank="0.9 %", by="TO", at=minute(200))
    after = run(lab)

    assert any("waits for its blank" in one for one in waiting)
    assert not any("waits for its blank" in one for one in noticed(after))
    assert not after.blank_waits


def test_a_residue_without_its_volume_is_asked_for(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [0.0])

    with pytest.raises(BadEntry, match="stands beside the volume"):
        look_at(lab, "S1", residue="12 mg", by="TO", at=minute(200))


def test_colour_that_is_gone_with_much_inside_is_said(lab: Laboratory) -> None:
    soxhlet(lab)
    measure_extractor(lab, "S1", crest="85 mL", heel="25 mL", by="TO", at=minute(-5))
    taps(lab, [12.0 * one for one in range(11)])
    for number in (1, 3, 5, 7, 8, 9, 10, 11):
        mg = 380 * 0.3 ** (number - 1) + 14.0 * 0.93**number
        said = {"vial": str(min(2 * (number - 1), 8)), "residue": f"{mg:.1f} mg", "volume": "10 mL"}
        look_at(lab, "S1", siphoning=str(number), by="TO", at=minute(200), **said)
    text = says(lab)

    assert "Colour is gone," in text
    assert "is still inside" in text
    assert "The colour leaves before what dissolves" in text


def test_every_figure_is_data_too(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [12.0 * one for one in range(7)])
    data = str(page_json(show_watch(lab, "S1")))

    assert "watched-soxhlet.inside_percent" in data
    assert "watched-soxhlet.more" in data


def test_a_batch_with_no_soxhlet_may_be_tapped_all_the_same(lab: Laboratory) -> None:
    begin_batch(lab, "E9", "bark-extract", "100 g", by="TO", at=minute(-90))
    tap(lab, "E9", by="TO", at=minute(-5))
    text = page_text(show_watch(lab, "E9"))

    assert "has no Soxhlet" in text


def test_a_fresh_filling_begins_the_watch_anew(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [12.0 * one for one in range(6)])
    tap(lab, "S1", what="fresh filling", by="TO", at=minute(100))
    taps(lab, [140.0, 152.0])
    found = run(lab).found

    assert found is not None
    assert found.taps.minutes.size == 2


def test_the_marc_is_checked_against_what_the_watch_said(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [12.0 * one for one in range(12)])
    done = check_marc(
        lab,
        "S1",
        portion="2.00 g",
        residue="20 mg",
        marc="9.0 g",
        collected="1.71 g",
        by="TO",
        at=minute(300),
    )

    # by hand: 20 mg / 2 g * 9 g = 90 mg; 0.090 / (0.090 + 1.710) = 5.0 %
    assert done.says.startswith("5.0 % was still inside. The watch said")
    assert done.says in " ".join(page_text(show_batch(lab, "S1")).split())


def test_the_marc_that_was_only_weighed_is_told_beside_the_plant_of_its_batch(lab: Laboratory) -> None:
    check_marc(lab, "E1", marc="168.0 g", by="TO", at=later(1))
    with lab.look() as look:
        gave, checked, kept = (
            what_it_gave(look, "E1"),
            marc_checked(look, "E1"),
            remembering._finished(look, "E1"),
        )
    page = page_text(show_batch(lab, "E1"))

    assert gave is not None
    assert gave.given is not None
    assert checked is not None
    assert kept is not None
    # by hand: extract over extract of 100 g is the dry plant; what it weighs more than its marc went out of it
    dry_g = 100.0 * gave.given.extract.answer.value / gave.given.per_100_g.answer.value
    assert checked.gone is not None
    assert checked.gone.answer.value == pytest.approx(dry_g - 168.0)
    assert checked.left is None
    # at least the 2 % of a dried marc, twice
    assert (checked.gone.expanded_uncertainty or 0.0) > 0.04 * 168.0 - 0.1
    assert (kept.dry_marc_g, kept.left_share) == (168.0, 0.0)
    assert f"By its weight {dry_g - 168.0:.1f} g" in page
    assert "The watch said" not in page


def test_a_marc_extracted_again_needs_all_its_figures(lab: Laboratory) -> None:
    with pytest.raises(BadEntry, match="three figures"):
        check_marc(lab, "E1", marc="168.0 g", portion="5.00 g", by="TO", at=later(1))


def test_a_log_goes_out_and_comes_in_as_it_was(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [0.0, 12.0, 24.0, 48.0, 60.0], vial="2", residue="31 mg", volume="10 mL")
    look_at(lab, "S1", siphoning="2", drop="yes", by="TO", at=minute(70))
    with lab.look() as look:
        out = log_of(look, "S1")
    before = run(lab).found
    tap(lab, "S1", what="fresh filling", by="TO", at=minute(-1))
    begin_batch(lab, "S2", "bark-soxhlet", "12 g", by="TO", at=minute(90))
    enter_log(lab, "S2", log=out, by="TO", at=minute(100))
    with lab.look() as look:
        again = log_of(look, "S2")
        after = run_watched(look, "S2").found

    assert again == out
    assert before is not None
    assert after is not None
    assert after.taps.forgotten == before.taps.forgotten == (4,)


def test_a_log_with_minutes_of_another_laboratory_is_watched_too(lab: Laboratory) -> None:
    soxhlet(lab)
    table = "minutes,residue_mg,sample_ml\n0,380,10\n12,110,10\n24,40,10\n36,22,10\n"
    enter_log(lab, "S1", log=table, by="TO", at=minute(100))
    found = run(lab).found

    assert found is not None
    first, *others = found.taps.minutes.tolist()
    assert first > 12.0  # dry plant and an empty extractor fill more slowly
    assert [one - first for one in others] == pytest.approx([12.0, 24.0, 36.0])
    assert not found.advice.by_plan_alone


def test_a_log_with_a_strange_head_is_told(lab: Laboratory) -> None:
    soxhlet(lab)

    with pytest.raises(BadEntry, match="head of a log"):
        enter_log(lab, "S1", log="when,colour\n1,2\n", by="TO", at=minute(100))


def test_the_watch_takes_the_extractor_in_use_as_the_plan_does(lab: Laboratory) -> None:
    add_instrument(lab, "extractors", "190 mL when it siphons", by="MA", at=minute(-300))
    soxhlet(lab)
    taps(lab, [0.0, 12.0, 24.0, 36.0])
    before = crest(lab)

    assert before.value == 190.0
    assert before.leaf is not None
    assert before.leaf.kind == "reading"
    measure_extractor(lab, "S1", crest="185 mL", heel="60 mL", by="TO", at=minute(40))
    assert crest(lab).value == 185.0


def crest(lab: Laboratory) -> Answer:
    with lab.look() as look:
        step = look.procedure("bark-soxhlet").steps[0]
        return prior(look, "S1", step)[names.CREST]


def test_power_is_never_priced_in_a_currency_the_laboratory_does_not_count_in(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [12.0 * one for one in range(6)])
    assert "Power, EUR" in says(lab)
    describe_house(lab, {"currency": "CHF"}, by="MA", at=minute(80))

    assert "Power," not in says(lab)
    note_price(lab, "electricity", "0.30 CHF/kWh", by="TO", at=minute(90))
    assert "Power, CHF" in says(lab)


def test_heat_noted_after_the_siphonings_makes_no_time_below_nothing(lab: Laboratory) -> None:
    soxhlet(lab)
    taps(lab, [0, 20, 40, 60])
    tap(lab, "S1", what="heat on", by="TO", at=minute(70))

    assert run(lab).minutes == pytest.approx(60.0)
