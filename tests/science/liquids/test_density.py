"""Density and back: the inverse returns, the range is refused in words, water and ethanol are the ends."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutsideModel
from stillroom.science.liquids.density import density_kg_m3, mass_fraction_from_density
from stillroom.substances.spirits import OIML_R22, oiml_r22

TABLE = oiml_r22()
fractions = st.floats(0.0, 1.0)
temperatures = st.floats(-20.0, 40.0)


@given(fractions, temperatures)
def test_the_strength_read_back_from_a_density_is_the_strength_it_came_from(fraction, temperature):
    density = density_kg_m3(fraction, temperature, TABLE)

    assert mass_fraction_from_density(density, temperature, TABLE) == pytest.approx(fraction, abs=1e-10)


@given(fractions, temperatures)
def test_one_mixture_by_itself_gives_the_very_bits_of_an_array_of_one(fraction, temperature):
    density = density_kg_m3(fraction, temperature, TABLE)
    (many,) = density_kg_m3(np.array([fraction]), np.array([temperature]), TABLE)
    (back,) = mass_fraction_from_density(np.array([density]), np.array([temperature]), TABLE)

    assert many == density
    assert back == mass_fraction_from_density(density, temperature, TABLE)


@pytest.mark.parametrize("temperature", range(-20, 41))
def test_at_any_one_temperature_stronger_spirit_is_lighter(temperature):
    # also below 4 °C: what turns there is density against temperature
    density = density_kg_m3(np.linspace(0.0, 1.0, 20_001), float(temperature), TABLE)

    assert (np.diff(density) < 0).all()


def test_water_is_heaviest_near_4_c():
    # common knowledge; IAPWS-95 puts it at 3.98 °C
    temperatures = np.linspace(0.0, 10.0, 1001)
    density = density_kg_m3(0.0, temperatures, TABLE)

    assert temperatures[density.argmax()] == pytest.approx(3.98, abs=0.05)


def test_arrays_give_what_single_numbers_give():
    fraction, temperature = np.array([0.0, 0.3, 0.7, 1.0]), np.array([-20.0, 5.0, 20.0, 40.0])
    density = density_kg_m3(fraction, temperature, TABLE)

    single = [density_kg_m3(float(p), float(t), TABLE) for p, t in zip(fraction, temperature, strict=True)]

    assert isinstance(single[0], float)
    assert density == pytest.approx(single, abs=1e-9)
    assert mass_fraction_from_density(density, temperature, TABLE) == pytest.approx(fraction, abs=1e-10)


def test_the_joined_table_holds_all_54_coefficients():
    assert len(OIML_R22.a) + len(OIML_R22.b) + sum(map(len, OIML_R22.c)) == 54
    assert [len(line) for line in OIML_R22.c] == [11, 10, 9, 4, 2]


def test_a_temperature_beyond_the_table_is_refused_with_its_range_and_source():
    with pytest.raises(OutsideModel, match=r"between -20 and 40 °C \(oiml-r22-1975\)\. Got 55 °C"):
        density_kg_m3(0.7, 55.0, TABLE)


def test_a_strength_written_in_per_cent_is_refused_with_how_to_write_it():
    with pytest.raises(OutsideModel, match=r"Got 70\. Write 40 % as 0\.40"):
        density_kg_m3(70.0, 20.0, TABLE)


@pytest.mark.parametrize("density", [1001.0, 780.0, float("nan")])
def test_a_density_no_spirit_has_is_refused_with_what_is_possible_there(density):
    with pytest.raises(OutsideModel, match=r"at 20 °C weighs between 789\.24 and 998\.20 kg/m3"):
        mass_fraction_from_density(density, 20.0, TABLE)


def test_not_a_number_is_refused():
    with pytest.raises(OutsideModel, match="Got nan"):
        density_kg_m3(float("nan"), 20.0, TABLE)
