"""A content by the light a solution absorbs, as a person enters it: against standards, or by a printed absorptivity."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.results_kept import latest_result
from stillroom.actions.correcting.entries import correct_reading
from stillroom.actions.testing.absorbance import measure_absorbance, times_diluted
from stillroom.actions.testing.extractive import weigh_extractive
from stillroom.errors import BadEntry
from tests.practice import copied, extracted_folder, opened

STANDARDS = (
    ("10 mg/L", "0.120"), ("20 mg/L", "0.232"), ("30 mg/L", "0.344"), ("40 mg/L", "0.456"), ("50 mg/L", "0.568"),
)  # fmt: skip
"""On the line that an example of ISO 14502-1 is worked with: level 0.008, slope 0.0112 for 1 mg/L."""
PHENOLS = {
    "marker": "total phenols", "reckoned_as": "gallic acid", "scale": "SCALE-3", "made_up_to": "10 mL",
    "diluted": "100",
}  # fmt: skip
FOUND = "total phenols as gallic acid"


@pytest.fixture
def lab(tmp_path):
    with opened(copied(tmp_path, extracted_folder)) as found:
        yield found


def measure(lab: Laboratory, **said):
    said = {"portions": [("0.2000 g", "0.523")], "standards": STANDARDS, **PHENOLS, **said}
    return measure_absorbance(lab, "CIN-01", by="TO", **said)


def result(lab: Laboratory, matter="as is", what=FOUND):
    with lab.look() as look:
        return latest_result(look, "CIN-01", f"{what}, {matter}")


def reading(lab: Laboratory, what: str):
    with lab.look() as look:
        return next(one.entry_no for one in look.readings("CIN-01") if one.body.what == what)


def test_phenols_against_five_standards_as_is_and_dried(lab):
    # 24.459 % of the dried matter at 94.0 % of it: ISO 14502-1 clause 9, computed from its equation; here the bark
    # dried away 9.2 %.
    told = measure(lab).says
    as_is, dried = result(lab).body, result(lab, "dried").body

    assert as_is.value == pytest.approx(24.459 * 0.94, rel=1e-4)
    assert dried.value > as_is.value
    assert as_is.basis == "w/w total phenols as gallic acid, of bark, as is"
    assert told.startswith(
        "total phenols as gallic acid, as is: 23.0 % ± 1.7. It counts. One portion. By 5 standards."
    )


def test_what_the_sample_shows_without_the_reagent_is_taken_away(lab):
    measure(lab, without="0.056")

    assert result(lab).body.value == pytest.approx(24.459 * 0.94 * (0.523 - 0.008 - 0.056) / 0.515, rel=1e-4)


def test_a_printed_absorptivity_serves_in_place_of_standards(lab):
    # Birch leaf, flavonoids as hyperoside: A x 1.25 / m, A(1 %, 1 cm) 500 (European Pharmacopoeia, recalled)
    said = {"standards": (), "specific_absorbance": "500", "made_up_to": "100 mL", "marker": "flavonoids"}
    measure(
        lab,
        portions=[("0.200 g", "0.400")],
        diluted="20 mL to 50 mL, 10 mL to 25 mL",
        reckoned_as="hyperoside",
        **said,
    )

    assert result(lab, what="total flavonoids as hyperoside").body.value == pytest.approx(2.5, rel=1e-9)


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"portions": [("0.2000 g", "0.700")]}, "shows more than the highest standard: dilute it"),
        ({"portions": [("0.2000 g", "0.009")]}, "shows too little to be told from nothing"),
        (
            {"portions": [("0.2000 g", "0.523"), ("0.2000 g", "0.300")]},
            "take another portion and find the cause",
        ),
        ({"portions": [("0.0200 g", "0.523")], "diluted": "500"}, "It would be more than all there is"),
    ],
)
def test_what_cannot_be_read_off_the_line_is_kept_and_does_not_count(lab, said, why):
    told = measure(lab, **said).says

    assert told.startswith("It does not count.")
    assert why in told
    assert result(lab) is None


@pytest.mark.parametrize(
    "said",
    [
        {"portions": [("0 g", "0.523")]},
        {"standards": (("10 mg/L", "0.120"), ("10 mg/L", "0.121"))},
        {"standards": (("10 mg/L", "0.568"), ("50 mg/L", "0.120"))},
        {"standards": (("0 mg/L", "0.120"),)},
    ],
)
def test_readings_from_which_nothing_follows_are_kept(lab, said):
    done = measure(lab, **said)

    assert done.says.startswith("No result: ")
    assert len(done.entries) >= 5


def test_against_standards_or_by_an_absorptivity_and_never_both(lab):
    for said in ({"standards": ()}, {"specific_absorbance": "500"}):
        with pytest.raises(BadEntry, match="against standards, or by one printed absorptivity"):
            measure(lab, **said)


def test_a_figure_no_photometer_shows_is_asked_about_once_and_then_kept(lab):
    with pytest.raises(BadEntry, match="A photometer shows between"):
        measure(lab, portions=[("0.2000 g", "5.23")])

    assert (
        "shows more than the highest standard"
        in measure(lab, portions=[("0.2000 g", "5.23")], note="so it said").says
    )


def test_a_slip_put_right_gives_the_content_that_would_have_come(lab):
    measure(lab)
    right = result(lab).body
    measure(lab, portions=[("0.2000 g", "5.23")], note="so it said")
    with lab.look() as look:
        wrong = [one.entry_no for one in look.readings("CIN-01") if one.body.as_written == "5.23"]
    correct_reading(lab, wrong[-1], "0.523", why="the point", by="TO")

    assert result(lab).body.value == pytest.approx(right.value, rel=1e-12)
    assert result(lab).body.standard_uncertainty == pytest.approx(right.standard_uncertainty, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("6.25", 6.25),
        ("5 mL to 25 mL", 5.0),
        ("20 mL to 50 mL, 10 mL to 25 mL", 6.25),
        ("20 ml in 5 cL; 10 mL → 25 mL", 6.25),
    ],
)
def test_a_dilution_is_read_as_people_write_it(text, times):
    assert times_diluted(text, "diluted") == pytest.approx(times, rel=1e-12)


@pytest.mark.parametrize("text", ["25 mL to 5 mL", "5 mL", "0.5", "nan", "5 g to 25 g"])
def test_what_is_no_dilution_is_asked_back(text):
    with pytest.raises(BadEntry):
        times_diluted(text, "diluted")


def test_an_extractive_is_weighed_and_put_right(lab):
    # 5.00 g in 200 mL, 20 mL leave 0.112 g: 22.4 % (British Pharmacopoeia XI B 2, the same equation)
    said = {"liquid": "water", "scale": "SCALE-3", "sample": "5.00 g", "poured": "200 mL", "taken": "20 mL"}
    told = weigh_extractive(lab, "CIN-01", dish="31.2040 g", with_residue="31.2260 g", by="TO", **said).says
    assert told == "4.4 % of it goes into water."
    with lab.look() as look:
        slip = next(one.entry_no for one in look.readings("CIN-01") if one.body.as_written == "31.2260 g")
    correct_reading(lab, slip, "31.3160 g", why="misread", by="TO")
    with lab.look() as look:
        found = latest_result(look, "CIN-01", "extractive, water")

    assert found.body.value == pytest.approx(22.4, rel=1e-9)


def test_a_residue_below_nothing_is_kept_without_a_result(lab):
    said = {"liquid": "water", "scale": "SCALE-3", "sample": "5.00 g", "poured": "200 mL", "taken": "20 mL"}

    assert weigh_extractive(
        lab, "CIN-01", dish="31.2040 g", with_residue="31.1040 g", by="TO", **said
    ).says.startswith("No result: ")
