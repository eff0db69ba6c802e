"""Water between melting and boiling: density, heat capacity, latent heat, each by a short published formula.

Promises air-free water at the pressure of the air. The coefficients are arguments; their table is ``water_formulas``.
"""

from typing import cast

import numpy as np

from stillroom.science.arrays import N, array, like_given, refuse_outside

LOWEST_C, HIGHEST_C = 0.0, 100.0


def _inside(temperature_c: N | float) -> np.ndarray:
    temperature = array(temperature_c)
    refuse_outside(
        "The temperature of liquid water", temperature, LOWEST_C, HIGHEST_C, "°C", source="water_formulas",
        do="Below it is ice, above it is steam",
    )  # fmt: skip
    return temperature


def water_density_kg_m3(
    temperature_c: N | float, numerator: tuple[float, ...], denominator: tuple[float, ...]
) -> N:
    """Density of water, as a quotient of two polynomials.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C].
    numerator : tuple of float
        Coefficients above the line, of kg/m3 and °C, the constant first [-].
    denominator : tuple of float
        Coefficients below the line, of °C, the constant first [-].

    Returns
    -------
    float or array
        Density [kg/m3].

    Raises
    ------
    OutsideModel
        Below 0 or above 100 °C.

    Examples
    --------
    >>> above = 999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12
    >>> water_density_kg_m3(0.1, above, (1.0, 16.879850e-3))  # iapws-95, second-hand
    999.85

    References
    ----------
    kell-1975
    """
    at = _inside(temperature_c)
    return cast(
        N, like_given(np.polynomial.Polynomial(numerator)(at) / np.polynomial.Polynomial(denominator)(at))
    )


def water_heat_capacity_j_g_k(
    temperature_c: N | float, coefficients: tuple[float, ...], powers: tuple[float, ...]
) -> N:
    """Heat capacity of water.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C].
    coefficients : tuple of float
        Of each power, for J/(g K) and °C [-].
    powers : tuple of float
        Of the temperature [-].

    Returns
    -------
    float or array
        Heat capacity [J/(g K)].

    Raises
    ------
    OutsideModel
        Below 0 or above 100 °C.

    Examples
    --------
    >>> c = 4.2174356, -0.0056181625, 0.0012992528, -0.00011535353, 4.14964e-6
    >>> water_heat_capacity_j_g_k(70.0, c, (0.0, 1.0, 1.5, 2.0, 2.5))  # iapws-95 (4.19007), second-hand
    4.190

    References
    ----------
    popiel-wojtkowiak-1998
    """
    return _of_powers(temperature_c, coefficients, powers)


def water_latent_heat_kj_kg(
    temperature_c: N | float, coefficients: tuple[float, ...], powers: tuple[float, ...]
) -> N:
    """Latent heat of water at a temperature.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C].
    coefficients : tuple of float
        Of each power, for kJ/kg and °C [-].
    powers : tuple of float
        Of the temperature [-].

    Returns
    -------
    float or array
        Latent heat [kJ/kg].

    Raises
    ------
    OutsideModel
        Below 0 or above 100 °C.

    Examples
    --------
    >>> c = 2500.304, -2.2521025, -0.021465847, 3.1750136e-4, -2.8607959e-5
    >>> water_latent_heat_kj_kg(10.0, c, (0.0, 1.0, 1.5, 2.5, 3.0))  # iapws-95 (2477.19), second-hand
    2477.2

    References
    ----------
    popiel-wojtkowiak-1998
    """
    return _of_powers(temperature_c, coefficients, powers)


def _of_powers(temperature_c: N | float, coefficients: tuple[float, ...], powers: tuple[float, ...]) -> N:
    at = _inside(temperature_c)
    terms = [one * at**power for one, power in zip(coefficients, powers, strict=True)]
    return cast(N, like_given(np.asarray(sum(terms))))
