"""Air pressure from altitude, against the standard atmosphere's own table."""

import pytest

from stillroom.errors import OutsideModel
from stillroom.science.liquids.air import air_pressure_pa


@pytest.mark.parametrize(
    ("altitude_m", "printed_pa"), [(0.0, 101325.0), (1000.0, 89876.0), (2000.0, 79501.0), (3000.0, 70121.0)]
)
def test_pressure_is_that_of_the_standard_atmosphere(altitude_m, printed_pa):
    # U.S. Standard Atmosphere 1976, table by geometric altitude; from memory, five digits
    assert air_pressure_pa(altitude_m) == pytest.approx(printed_pa, abs=0.6)


def test_a_mountain_beyond_the_range_is_refused():
    with pytest.raises(OutsideModel, match="The altitude must lie between -500 and 5000 m"):
        air_pressure_pa(8000.0)
