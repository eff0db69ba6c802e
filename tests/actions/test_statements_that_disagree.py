"""Two statements about one bottle: what agrees within its doubts is used, what does not is asked about.

Densities and strengths at 20 °C: CRC Handbook, 102nd ed., concentrative properties (second-hand), 10 % w/w hydrochloric
acid 1.0474 g/mL, 20 % 1.0980 g/mL; labels of trade bottles (37 %, 1.18 to 1.19 g/mL) recalled from memory.
"""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.answers.acid_strength import density_of_solution_g_ml, mass_percent_from_moles
from stillroom.asking.question import answer
from stillroom.errors import BadEntry
from stillroom.questions import declared

ASKED = {"want": "1 mol/L", "amount": "1 L"}
HCL_G_MOL = 36.46


def mix_acid(fields):
    return answer(declared("acid"), fields, date(2026, 11, 29)).found


@pytest.mark.parametrize(
    ("of", "said", "must"),
    [
        ("hydrochloric acid 37 %", {"density": "1.10 g/mL"}, "37 %, which weighs .* 1.1 g/mL, which is 20 %"),
        ("hydrochloric acid 37 %", {"titrated": "9.0 mol/L"}, r"37 % on the label, 28\.\d+ % by titration"),
        ("hydrochloric acid", {"titrated": "12.0 mol/L", "density": "1.10 g/mL"}, "strength and the density"),
        ("sulfuric acid 96 %", {"density": "1.40 g/mL"}, "strength and the density"),
        ("ammonia 25 %", {"density": "0.98 g/mL"}, "strength and the density"),
        ("sodium hydroxide pellets", {"density": "1.1 g/mL"}, "A solid has neither"),
    ],
)
def test_statements_that_disagree_are_asked_about(of: str, said: dict[str, str], must: str) -> None:
    with pytest.raises(BadEntry, match=must):
        mix_acid({**ASKED, "of": of, **said})


@pytest.mark.parametrize(
    ("of", "said"),
    [
        ("hydrochloric acid 37 %", {"density": "1.19 g/mL"}),
        ("hydrochloric acid 37 %", {"density": "1.18 g/mL"}),
        ("hydrochloric acid 37 %", {"density": "1184 kg/m³"}),
        ("hydrochloric acid 37 %", {"titrated": "12.0 mol/L"}),
        ("hydrochloric acid 10 %", {"density": "1.0474 g/mL"}),
        ("sulfuric acid 96 %", {"density": "1.84 g/mL"}),
        ("ammonia 25 %", {"density": "0.91 g/mL"}),
        ("nitric acid 65 %", {"density": "1.40 g/mL"}),
        ("phosphoric acid 85 %", {"density": "1.69 g/mL"}),
    ],
)
def test_what_stands_on_a_real_bottle_is_taken(of: str, said: dict[str, str]) -> None:
    assert mix_acid({**ASKED, "of": of, **said}).found


@settings(deadline=None, max_examples=60)
@given(st.floats(2.0, 36.0), st.floats(-8.0, 8.0))
def test_a_density_is_asked_about_exactly_when_it_is_of_another_strength(percent: float, off: float) -> None:
    other = percent + off
    if not 1.0 < other < 37.0:
        return
    density = density_of_solution_g_ml(other, solute="hydrochloric acid")
    fields = {
        **ASKED,
        "want": "0.1 mol/L",
        "of": f"hydrochloric acid {percent:.2f} %",
        "density": f"{density:.4f} g/mL",
    }
    if abs(off) > 3.0:
        with pytest.raises(BadEntry, match="strength and the density"):
            mix_acid(fields)
    elif abs(off) < 0.5 * min(1.0, percent / 2.0):
        assert mix_acid(fields).found


@settings(deadline=None, max_examples=40)
@given(st.floats(1.0, 12.0), st.floats(0.5, 1.5))
def test_a_titre_is_asked_about_when_it_is_not_the_label(moles: float, times: float) -> None:
    percent = mass_percent_from_moles(moles, HCL_G_MOL, solute="hydrochloric acid")
    said = mass_percent_from_moles(min(moles * times, 12.0), HCL_G_MOL, solute="hydrochloric acid")
    fields = {
        "want": "0.1 mol/L", "amount": "1 L", "titrated": f"{moles:.4f} mol/L",
        "of": f"hydrochloric acid {said:.2f} %",
    }  # fmt: skip
    if abs(percent - said) > 1.5:
        with pytest.raises(BadEntry, match="label and the titration"):
            mix_acid(fields)
    elif abs(percent - said) < 0.5:
        assert mix_acid(fields).found


# By hand: 49.81 g of water at 20 °C fill 49.900 mL; 40.29 g of spirit in it are 0.80742 g/mL, so 96.0 % v/v.
WEIGHED = {"bottle-empty": "24.31", "bottle-water": "74.12", "bottle-spirit": "64.60", "known-by": "bottle"}


def diluted(fields):
    return answer(declared("dilute"), fields, date(2026, 11, 29)).found.found


DILUTED = {"want": "70 % v/v", "amount": "1 L", "amount-as": "wanted", "temperature": "20 °C"}


@pytest.mark.parametrize("have", ["", "96 % v/v", "93.84 % w/w"])
def test_a_label_that_the_weighed_bottle_bears_out_is_taken(have: str) -> None:
    found = diluted({**DILUTED, **WEIGHED, "have": have})

    assert found.have.answer.value == pytest.approx(96.0, abs=0.1)


@pytest.mark.parametrize("known_by", ["label", "certificate", "bottle", ""])
def test_a_bottle_that_was_weighed_counts_whatever_its_label_is_said_to_be(known_by: str) -> None:
    said = {**DILUTED, **WEIGHED, "known-by": known_by}
    found = diluted({**said, "have": "96.0 % v/v"})

    assert found.have.answer.value == pytest.approx(96.0, abs=0.1)
    with pytest.raises(BadEntry, match="must agree within their doubts"):
        diluted({**said, "have": "90 % v/v"})


@pytest.mark.parametrize("have", ["90 % v/v", "96 % w/w"])
def test_a_label_that_the_weighed_bottle_belies_is_asked_about(have: str) -> None:
    with pytest.raises(BadEntry, match="must agree within their doubts"):
        diluted({**DILUTED, **WEIGHED, "have": have})
