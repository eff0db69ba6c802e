"""Titration: the worked bark, by volume and by weight, and readings that were exchanged."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, OutsideModel
from stillroom.science.measuring.titration import (
    back_titrated_mass_mg,
    content_fraction,
    dried_basis_fraction,
    restated_fraction,
    titrated_mass_mg,
)
from stillroom.science.measuring.uncertainty import expanded, propagate

BARK = {"mass": 1.015, "lod": 0.095, "blank": 20.06, "sample": 8.42, "factor": 1.004}
MEAN, QUININE = 309.405, 324.42


def content(values, molar_mass=MEAN):
    found = back_titrated_mass_mg(values["blank"], values["sample"], 0.02, values["factor"], molar_mass)
    return dried_basis_fraction(content_fraction(found, values["mass"]), values["lod"])


def test_the_worked_bark():
    # mean of quinine and cinchonine; worked by hand, 0.005 %
    found = back_titrated_mass_mg(20.06, 8.42, 0.02, 1.004, MEAN)

    assert found == pytest.approx(72.32, abs=0.005)
    assert 100 * content_fraction(found, 1.015) == pytest.approx(7.125, abs=0.005)
    assert 100 * content(BARK) == pytest.approx(7.873, abs=0.005)
    assert 100 * content({**BARK, "blank": 20.00}) == pytest.approx(7.832, abs=0.005)
    assert 100 * content(BARK, QUININE) == pytest.approx(8.255, abs=0.005)


def test_the_worked_bark_with_its_uncertainty():
    # readings 0.02 mL, titre 0.2 %, mass 0.3 mg, loss on drying 0.3 %: ± 0.07 % at k = 2
    budget = propagate(
        content, BARK, {"blank": 0.02, "sample": 0.02, "factor": 0.002 * 1.004, "mass": 0.0003, "lod": 0.003}
    )
    stated = expanded(budget)

    assert stated.k == 2
    assert 100 * stated.expanded_uncertainty == pytest.approx(0.07, abs=0.005)
    assert budget.contributions[0].name == "lod"


def test_as_the_mean_and_as_quinine_are_the_same_moles():
    assert restated_fraction(content(BARK), MEAN, QUININE) == pytest.approx(content(BARK, QUININE))


@given(st.floats(0.0, 30.0), st.floats(0.0, 30.0))
def test_direct_and_back_titration_count_the_same_moles(smaller, more):
    direct = titrated_mass_mg(smaller + more, smaller, 0.02, 1.0, MEAN)

    assert direct == pytest.approx(back_titrated_mass_mg(smaller + more, smaller, 0.02, 1.0, MEAN))


@given(st.floats(0.0, 30.0), st.floats(0.0, 30.0))
def test_exchanged_readings_give_as_much_less_than_nothing(one, other):
    for way in (back_titrated_mass_mg, titrated_mass_mg):
        assert way(one, other, 0.02, 1.004, MEAN) == -way(other, one, 0.02, 1.004, MEAN)
    assert content_fraction(back_titrated_mass_mg(8.42, 20.06, 0.02, 1.004, MEAN), 1.015) < 0.0


def test_a_negative_reading_is_refused():
    with pytest.raises(BadEntry, match="The titre"):
        back_titrated_mass_mg(20.06, -0.1, 0.02, 1.004, MEAN)


def test_a_loss_on_drying_in_per_cent_is_refused():
    with pytest.raises(OutsideModel, match=r"The loss on drying must lie between 0 and 0\.999"):
        dried_basis_fraction(0.07, 9.5)
