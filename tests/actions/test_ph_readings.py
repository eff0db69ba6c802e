"""A pH is entered with how it was read; a strip decides no narrow band and says so, a calibrated meter may."""

from dataclasses import replace

import pytest

from stillroom.actions.correcting.entries import correct_entry
from stillroom.actions.products.formula_made import formula_of_batch
from stillroom.actions.testing.ph import read_ph
from stillroom.answers.budget import stated
from stillroom.answers.ph_read import read_ph_with
from stillroom.answers.ph_words import band_in, ph_in, read_with
from stillroom.errors import BadEntry, UnknownName
from stillroom.evidence.answer import reading
from stillroom.products.formula_facts import Share
from stillroom.products.formula_lines import formula_lines


def read(value, read_by, band=None, limits=None):
    return read_ph_with(reading("pH as read", value, "", "read"), read_by, limits, band)


@pytest.mark.parametrize(
    ("value", "read_by", "band", "decided"),
    [
        (5.2, "strip", (4.8, 5.6), "cannot decide"),
        (5.2, "strip", (4.0, 6.5), "inside"),
        (5.2, "strip", (6.0, 7.0), "outside"),
        (5.2, "strip", (5.0, 9.0), "cannot decide"),
        (5.2, "meter", (4.8, 5.6), "inside"),
        (5.58, "meter", (4.8, 5.6), "cannot decide"),
        (5.7, "meter", (4.8, 5.6), "outside"),
        (5.2, "meter, not calibrated here", (5.1, 5.4), "cannot decide"),
        (5.2, "strip", None, ""),
    ],
)
def test_a_reading_decides_only_where_its_whole_doubt_lies_on_one_side(value, read_by, band, decided):
    assert read(value, read_by, band).decided == decided


def test_a_strip_says_that_a_narrow_band_is_not_for_it():
    because = read(5.2, "strip", (4.8, 5.6)).because

    assert "no reading that may be off by 0.5 decides a band 0.8 wide" in because
    assert "Measure it with a meter" in because


@pytest.mark.parametrize(
    ("read_by", "limits", "half"),
    [
        ("strip", None, 0.5),
        ("strip", 0.3, 0.3),
        ("meter", None, 0.05),
        ("meter, not calibrated here", None, 0.2),
    ],
)
def test_the_doubt_of_the_instrument_is_carried(read_by, limits, half):
    # half a unit either way, any value as likely: its standard uncertainty is that over the root of three
    found = read(5.2, read_by, limits=limits)

    assert found.limits == half
    assert stated(found.answer).answer.standard_uncertainty == pytest.approx(half / 3**0.5)


def test_a_reading_stands_in_the_book_with_how_it_was_read(lab):
    strip = read_ph(lab, "T1", ph="5.2", read_by="strip", band="4.8 to 5.6", by="TO")
    meter = read_ph(
        lab, "T1", ph="pH 5.21", read_by="meter", meter_buffers="4.01, 6.86", band="4.8 to 5.6", by="TO"
    )
    with lab.look() as look:
        readings = [one.body for one in look.readings("T1", "pH")]
        results = [one.body for one in look.results("T1", "pH")]

    assert [one.apparatus for one in readings] == ["strip", "meter"]
    assert [round(one.standard_uncertainty, 4) for one in readings] == [
        round(0.5 / 3**0.5, 4),
        round(0.05 / 3**0.5, 4),
    ]
    assert [one.counts for one in results] == [False, True]
    assert "cannot decide" in strip.says
    assert meter.says.endswith("The meter was calibrated with 4.01 and 6.86.")


def test_a_meter_that_was_calibrated_elsewhere_is_told_apart():
    assert read_with("meter", (4.01, 6.86), 5.0)[0] == "meter"
    assert read_with("meter", (4.01, 6.86), 9.5)[0] == "meter, not calibrated here"
    assert read_with("meter", (), 5.0)[0] == "meter, not calibrated here"


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"read_by": ""}, "How a pH was read is asked"),
        ({"read_by": "tongue"}, "by strip or meter"),
        ({"ph": "15"}, "between 0 and 14"),
        ({"band": "5"}, "has two ends"),
        ({"band": "6 to 5"}, "from the lower to the higher"),
    ],
)
def test_bad_entries_leave_the_book_as_it_was(lab, asked, says):
    before = lab.book.digest()
    fields = {"ph": "5.2", "read_by": "strip", "band": "", **asked}
    with pytest.raises(BadEntry, match=says):
        read_ph(lab, "T1", ph=fields.pop("ph"), **fields, by="TO")

    assert lab.book.digest() == before


def test_an_unknown_lot_is_told(lab):
    with pytest.raises(UnknownName, match="T9"):
        read_ph(lab, "T9", ph="5.2", read_by="strip", by="TO")


def test_bands_and_readings_are_read_as_people_write_them():
    assert band_in("4.5–5.5") == (4.5, 5.5)
    assert band_in("") is None
    assert ph_in("pH 7.4", "ph") == 7.4


@pytest.mark.parametrize(
    ("ph", "read_by", "standing"),
    [
        ("4.6", "strip", "undecided"),
        ("4.5", "strip", "within"),
        ("4.6", "meter", "within"),
        ("5.8", "strip", "over"),
    ],
)
def test_the_release_list_weighs_a_strip_with_its_half_unit(lab, ph, read_by, standing):
    read_ph(
        lab, "T1", ph=ph, read_by=read_by, meter_buffers="4.01, 6.86" if read_by == "meter" else "", by="TO"
    )
    with lab.look() as look:
        made = formula_of_batch(look, "T1")
    preserved = replace(made, shares=(Share("water", 99.5), Share("sodium benzoate", 0.5)))
    (found,) = [one for one in formula_lines(preserved) if one.key == "ph/benzoic acid"]

    assert found.standing == standing


def _results(lab):
    with lab.look() as look:
        return [one.body for one in look.results("T1", "pH")]


def test_a_corrected_reading_is_held_against_its_band_again_in_words_of_its_own(lab):
    wanted = {"read_by": "meter", "meter_buffers": "4.01, 6.86", "band": "4.8 to 5.6"}
    read_no = read_ph(lab, "T1", ph="5.21", **wanted, by="TO").entries[0]
    now = correct_entry(lab, read_no, "6.21", why="read the wrong line", by="TO").entries[0]
    (outside,) = _results(lab)
    correct_entry(lab, now, "8.21", why="the other wrong line", by="TO")
    (unsure,) = _results(lab)

    assert outside.because.startswith("pH 6.21 does not lie between 4.8 and 5.6")
    assert "5.21" not in outside.because
    # 8.21 lies outside the buffers of 4.01 and 6.86: no meter that was calibrated around it.
    assert "which does not reach around 8.21" in unsure.because
    assert unsure.standard_uncertainty > outside.standard_uncertainty


def test_a_slip_of_the_point_put_right_keeps_the_band_it_was_read_for(lab):
    wanted = {"read_by": "strip", "band": "4.5 to 5.5", "note": "it showed so"}
    read_no = read_ph(lab, "T1", ph="50", **wanted, by="TO").entries[0]
    before = _results(lab)
    correct_entry(lab, read_no, "5.0", why="the point", by="TO")
    (found,) = _results(lab)

    assert before == []
    assert "between 4.5 and 5.5" in found.because
