"""Water between melting and boiling, with its published coefficients."""

from functools import cache

from stillroom.reference.tables import row
from stillroom.science.arrays import N
from stillroom.science.liquids import water as formulas

TABLE = "water_formulas"
TERMS = range(6)


@cache
def _coefficients(formula: str) -> tuple[float, ...]:
    found = row(TABLE, formula)
    return tuple(found.number(f"c{at}") for at in TERMS)


@cache
def _powers(formula: str) -> tuple[float, ...]:
    found = row(TABLE, formula)
    return (0.0, *(found.number(f"p{at}") for at in TERMS if at))


def density_of_water_kg_m3(temperature_c: N | float) -> N:
    """Density of water from 0 to 100 °C.

    Parameters
    ----------
    temperature_c : float or array
        [°C]

    Returns
    -------
    float or array
        [kg/m3]

    Raises
    ------
    OutsideModel
        Below 0 or above 100 °C.

    References
    ----------
    kell-1975
    """
    above, below = _coefficients("density above the line"), _coefficients("density below the line")
    return formulas.water_density_kg_m3(temperature_c, above, below)


def heat_capacity_of_water_j_g_k(temperature_c: N | float) -> N:
    """Heat capacity of water from 0 to 100 °C.

    Parameters
    ----------
    temperature_c : float or array
        [°C]

    Returns
    -------
    float or array
        [J/(g K)]

    Raises
    ------
    OutsideModel
        Below 0 or above 100 °C.

    References
    ----------
    popiel-wojtkowiak-1998
    """
    one = "heat capacity"
    return formulas.water_heat_capacity_j_g_k(temperature_c, _coefficients(one), _powers(one))


def latent_heat_of_water_kj_kg(temperature_c: N | float) -> N:
    """Latent heat of water from 0 to 100 °C.

    Parameters
    ----------
    temperature_c : float or array
        [°C]

    Returns
    -------
    float or array
        [kJ/kg]

    Raises
    ------
    OutsideModel
        Below 0 or above 100 °C.

    References
    ----------
    popiel-wojtkowiak-1998
    """
    one = "latent heat"
    return formulas.water_latent_heat_kj_kg(temperature_c, _coefficients(one), _powers(one))
