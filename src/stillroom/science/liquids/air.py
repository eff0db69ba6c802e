"""Air pressure where the laboratory stands, from its altitude.

A standard day: the weather moves the true pressure by some ± 3 kPa. A barometer reading at the bench is
better.
"""

from typing import cast

from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given, refuse_outside

SEA_LEVEL_PRESSURE_PA = 101325.0
SEA_LEVEL_TEMPERATURE_K = 288.15
LAPSE_K_PER_M = 0.0065
EXPONENT = 5.255877
EARTH_RADIUS_M = 6356766.0


@formula("air-pressure")
def air_pressure_pa(altitude_m: N | float) -> N:
    """Air pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float or array
        Height above sea level [m].

    Returns
    -------
    float or array
        Pressure [Pa].

    Raises
    ------
    OutsideModel
        Below -500 m or above 5000 m.

    Notes
    -----
    p = 101325 (1 - 0.0065 h / 288.15)^5.255877, exponent g M / (R L), with h = r z / (r + z) the geopotential
    height of altitude z and r = 6356766 m.

    Examples
    --------
    >>> air_pressure_pa(1000.0) / 1000.0  # us-standard-atmosphere-1976, from-memory
    89.876

    References
    ----------
    us-standard-atmosphere-1976
    """
    altitude = array(altitude_m)
    source = "us-standard-atmosphere-1976"
    do = "Read a barometer and enter its pressure"
    refuse_outside("The altitude", altitude, -500.0, 5000.0, "m", source=source, do=do)
    height = EARTH_RADIUS_M * altitude / (EARTH_RADIUS_M + altitude)
    ratio = 1.0 - LAPSE_K_PER_M * height / SEA_LEVEL_TEMPERATURE_K
    return cast(N, like_given(SEA_LEVEL_PRESSURE_PA * ratio**EXPONENT))
