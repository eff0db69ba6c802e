"""Latent heat of a liquid that boils colder than usual: under a vacuum, or high up.

Promises the law of corresponding states as Watson wrote it, within some 2 % far from the critical point.
"""

from typing import cast

from stillroom.science.arrays import N, array, like_given, refuse_not_positive, refuse_outside

KELVIN = 273.15
EXPONENT = 0.38


def latent_heat_at_j_g(
    known_j_g: float,
    known_c: float,
    temperature_c: N | float,
    critical_k: float,
    *,
    exponent: float = EXPONENT,
) -> N:
    """Latent heat at one temperature from that at another.

    Parameters
    ----------
    known_j_g : float
        Latent heat at a temperature where it is known [J/g].
    known_c : float
        That temperature [°C].
    temperature_c : float or array
        Temperature it boils at [°C].
    critical_k : float
        Critical temperature [K].
    exponent : float
        Of the distance to the critical point [1].

    Returns
    -------
    float or array
        Latent heat [J/g].

    Raises
    ------
    BadEntry
        When the known latent heat is not above zero.
    OutsideModel
        At or above the critical temperature, or below 0 °C.

    Notes
    -----
    L(T) = L(T0) ((Tc - T) / (Tc - T0))^0.38.

    Examples
    --------
    >>> latent_heat_at_j_g(35.3, 64.75, 199.85, 513.2)  # Felder and Rousseau, methanol in kJ/mol, from-memory
    20.2

    References
    ----------
    watson-1943
    """
    temperature = array(temperature_c)
    refuse_not_positive("A latent heat", array(known_j_g), "J/g")
    refuse_outside(
        "The temperature of a boiling liquid", temperature, 0.0, critical_k - KELVIN - 1.0, "°C",
        source="the critical point ends it",
    )  # fmt: skip
    far = (critical_k - KELVIN - temperature) / (critical_k - KELVIN - known_c)
    return cast(N, like_given(known_j_g * far**exponent))
