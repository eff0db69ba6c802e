"""By volume and by mass: there and back, and the base temperature matters."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import OutsideModel
from stillroom.science.liquids.strength import (
    mass_fraction_from_volume_fraction,
    volume_fraction_from_mass_fraction,
)
from stillroom.substances.spirits import oiml_r22, spirit_mass_fraction, spirit_volume_fraction_20c

TABLE = oiml_r22()


@given(st.floats(0.0, 1.0), st.sampled_from([15.0, 15.56, 20.0]))
def test_by_mass_to_by_volume_and_back_is_the_same_spirit(fraction, base):
    volume = volume_fraction_from_mass_fraction(fraction, TABLE, base_temperature_c=base)

    assert mass_fraction_from_volume_fraction(volume, TABLE, base_temperature_c=base) == pytest.approx(
        fraction, abs=1e-12
    )


@given(st.floats(0.001, 0.999))
def test_spirit_is_always_stronger_by_volume_than_by_mass(fraction):
    assert spirit_volume_fraction_20c(fraction) > fraction


def test_arrays_keep_their_shape():
    strengths = np.array([[0.1, 0.4], [0.7, 0.96]])

    assert spirit_mass_fraction(strengths).shape == (2, 2)


def test_a_strength_in_per_cent_is_refused():
    with pytest.raises(OutsideModel, match=r"Write 70 % v/v as 0\.70"):
        spirit_mass_fraction(70.0)
