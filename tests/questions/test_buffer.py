"""A buffer weighed: standard buffers lead to their printed pH, the pair's own range, strips told apart from meters."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.asking.question import answer
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Numbers
from stillroom.errors import StillroomError
from stillroom.questions import declared

ASKED = {"pair": "phosphate", "ph": "7.0", "total": "0.05 mol/L", "amount": "1 L"}


def mix_buffer(fields):
    return answer(declared("buffer"), fields, date(2026, 11, 29)).page


def numbers(**fields):
    page = mix_buffer({**ASKED, **fields})
    return [one for block in page.blocks if isinstance(block, Numbers) for one in block.items]


def told(**fields):
    return " ".join(page_text(mix_buffer({**ASKED, **fields})).split())


def test_the_equimolal_phosphate_standard_is_weighed_from_its_printed_masses():
    # 0.025 molal each: 3.388 g KH2PO4 and 3.533 g Na2HPO4 in a litre give pH 6.865 (NIST, from memory).
    # Asked for 6.865 the reckoning, good to 0.02, gives masses within 3 %.
    acid, base = (one.exact for one in numbers(ph="6.865")[:2])

    assert acid == pytest.approx(3.388, rel=0.03)
    assert base == pytest.approx(3.533, rel=0.03)


@settings(deadline=None, max_examples=25)
@given(st.floats(5.2, 8.6), st.floats(0.005, 0.1))
def test_both_salts_together_are_the_moles_asked_for(ph, total):
    acid, base = (one.exact for one in numbers(ph=f"{ph:.3f}", total=f"{total:.5f} mol/L")[:2])

    assert acid / 136.086 + base / 141.96 == pytest.approx(round(total, 5), rel=1e-9)
    assert acid > 0.0
    assert base > 0.0


@settings(deadline=None, max_examples=15)
@given(st.floats(5.2, 8.4))
def test_a_higher_ph_takes_more_of_the_base_form(ph):
    low, high = (numbers(ph=f"{one:.3f}")[1].exact for one in (ph, ph + 0.1))

    assert high > low


def test_the_ph_to_expect_is_the_one_asked_for():
    assert numbers()[2].exact == pytest.approx(7.0, abs=1e-6)


def test_a_strip_is_not_a_meter():
    strip = told(**{"read-by": "strip"})
    meter = told(**{"read-by": "meter", "meter-buffers": "6.86, 9.18"})
    outside = told(**{"read-by": "meter", "meter-buffers": "9.18, 10.01"})

    assert "does not confirm a pH" in strip
    assert "7.0 ± 0.58 (k = 2)" in strip
    assert "calibrated with 6.86 and 9.18" in meter
    assert "± 0.062" in meter
    assert "does not reach around 7" in outside
    assert "± 0.23" in outside


def test_a_warm_room_moves_tromethamine_by_its_shift():
    at_room = numbers(pair="tromethamine", ph="8.0", at="31 °C")[3]

    # -0.028 per kelvin, common handbook figure, from memory
    assert at_room.exact == pytest.approx(8.0 - 0.028 * 6.0, abs=1e-6)


def test_the_ph_of_a_mixture_of_acid_and_lye():
    # acetic acid half neutralised at 0.1 mol/L: pH near pKa less the activity term, 4.65 (Davies by hand:
    # 4.757 + log gamma(0.05) = 4.757 - 0.509 (0.1827 - 0.015) = 4.672)
    page = mix_buffer({"holds": "acetic acid 0.1 mol/L; sodium hydroxide 0.05 mol/L"})

    assert page.title == "pH 4.67"


@pytest.mark.parametrize(
    ("fields", "where", "says"),
    [
        ({"ph": "3"}, "ph", "between pH 4.54 and 9.27"),
        ({"ph": "15"}, "ph", "between 0 and 14"),
        ({"pair": "phosfate"}, "pair", "Did you mean 'phosphate'"),
        ({"total": "2 mol/L"}, "total", "up to 0.5 mol/L"),
        ({"total": "5 %"}, "total", "concentration"),
        ({"amount": "0 L"}, "amount", "above zero"),
        ({"read-by": "nose"}, "read-by", "strip or meter"),
        ({"at": "80"}, "at", "from 0 to 50 °C"),
        ({"holds": "citric acid"}, "holds", "Each part has its strength"),
        ({"holds": "citrus 1 mol/L"}, "holds", "not a weak acid"),
        ({"holds": "acetic acid 0.1 mol/L; sodium 1.5 mol/L"}, "holds", "between 0 and 0.5 mol/L"),
    ],
)
def test_bad_input_gets_one_sentence_at_its_field(fields, where, says):
    with pytest.raises(StillroomError) as caught:
        mix_buffer(fields if "holds" in fields else {**ASKED, **fields})

    assert caught.value.where == where
    assert says in caught.value.sentence


def test_a_temperature_that_a_mixture_does_not_use_is_not_dropped_in_silence():
    holds = {"holds": "citric acid 10 mmol/L"}
    with pytest.raises(StillroomError, match="calculated at 25 °C"):
        mix_buffer({**holds, "at": "31 °C"})

    assert mix_buffer({**holds, "at": "77 °F"}).title == mix_buffer(holds).title


@pytest.mark.parametrize("said", [{"ph": "9"}, {"amount": "1 L"}])
def test_what_only_the_other_way_of_asking_would_use_is_asked_about_not_dropped(said):
    with pytest.raises(StillroomError, match="two ways of asking") as caught:
        mix_buffer({"holds": "citric acid 10 mmol/L; sodium 12 mmol/L", **said})
    assert caught.value.where == next(iter(said))
