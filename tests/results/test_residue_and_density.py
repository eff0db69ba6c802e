"""Solvent residue against its limit, and density with a bottle."""

from dataclasses import replace

import pytest

from stillroom.answers.density_by_bottle import density, water_density_g_ml
from stillroom.answers.solvent_residue import by_outside_laboratory, not_tested
from stillroom.errors import BadEntry, NotAllowed, OutsideModel, UnknownName
from stillroom.evidence.answer import Answer, reading, rerun
from stillroom.evidence.trails import from_trail, trail


def _read(name: str, value: float, unit: str, u: float | None = None) -> Answer:
    return reading(name, value, unit, f"entry 1, {name}", entry_no=1, standard_uncertainty=u)


FOUND = _read("residue, outside laboratory", 850.0, "mg/kg", 60.0)


def test_nobody_measured_is_told_on_the_certificate():
    found = not_tested("ethyl acetate")

    assert found.status == "not tested"
    assert found.certificate_says == "Residue of ethyl acetate: not tested"
    # Class 3 solvents, 5000 ppm without justification: ICH Q3C, from-memory.
    assert found.limit.value == 5000.0


def test_an_outside_figure_is_held_by_its_upper_bound():
    within = by_outside_laboratory("ethyl acetate", FOUND)
    over = by_outside_laboratory("ethyl acetate", replace(FOUND, value=4950.0))

    assert within.status == "within"
    assert within.upper.value == pytest.approx(850.0 + 1.6449 * 60.0, abs=0.01)
    assert over.status == "over"


def test_less_than_can_be_seen_is_judged_by_what_can_be_seen():
    found = by_outside_laboratory(
        "ethyl acetate", replace(FOUND, value=50.0, standard_uncertainty=None), below=True
    )

    assert found.status == "within"
    assert found.certificate_says == "Residue of ethyl acetate: below 50 mg/kg"


def test_a_refused_or_unknown_solvent_has_no_residue_to_speak_of():
    with pytest.raises(NotAllowed, match="Use ethyl acetate"):
        not_tested("chloroform")
    with pytest.raises(UnknownName, match="ethyl acetate"):
        not_tested("ethyl acetat")
    with pytest.raises(BadEntry, match="in mg/kg"):
        by_outside_laboratory("ethyl acetate", replace(FOUND, unit="%"))
    with pytest.raises(BadEntry, match="needs its uncertainty"):
        by_outside_laboratory("ethyl acetate", replace(FOUND, standard_uncertainty=None))


@pytest.mark.parametrize(("temperature_c", "printed"), [(10.0, 0.99970), (20.0, 0.99820), (30.0, 0.99565)])
def test_the_water_in_the_bottle_has_its_handbook_density(temperature_c, printed):
    # Density of water, handbook values to five figures; from-memory.
    assert water_density_g_ml(temperature_c) == pytest.approx(printed, abs=0.00002)


def test_a_bottle_gives_the_density_worked_by_hand():
    found = density(
        _read("bottle, empty", 30.000, "g", 0.005),
        _read("bottle with water", 130.000, "g", 0.005),
        _read("bottle with tonic", 125.000, "g", 0.005),
        _read("temperature", 20.0, "°C", 0.2),
    )

    assert found.answer.value == pytest.approx(0.95 * (0.99820 - 0.0012) + 0.0012, abs=0.00001)
    assert found.serves_filling
    assert found.answer.standard_uncertainty > 0
    assert rerun(from_trail(trail(found.answer))) == found.answer.value


def test_a_bottle_that_is_not_at_twenty_degrees_does_not_serve_a_filling():
    found = density(
        _read("bottle, empty", 30.0, "g"),
        _read("bottle with water", 130.0, "g"),
        _read("bottle with tonic", 125.0, "g"),
        _read("temperature", 27.0, "°C"),
    )

    assert not found.serves_filling
    assert "20 °C" in found.says


def test_bottles_that_cannot_be_right_are_asked_back():
    with pytest.raises(OutsideModel, match="weigh more than the empty one"):
        density(
            _read("a", 130.0, "g"),
            _read("b", 30.0, "g"),
            _read("c", 125.0, "g"),
            _read("temperature", 20.0, "°C"),
        )
    with pytest.raises(BadEntry, match="in °C"):
        density(_read("a", 30.0, "g"), _read("b", 130.0, "g"), _read("c", 125.0, "g"), _read("t", 293.0, "K"))
    with pytest.raises(BadEntry, match="in grams"):
        density(
            _read("a", 30.0, "mL"), _read("b", 130.0, "g"), _read("c", 125.0, "g"), _read("t", 20.0, "°C")
        )
