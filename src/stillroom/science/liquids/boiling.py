"""Boiling of ethanol-water: at what temperature, and how much stronger the vapour is than the liquid.

NRTL activities in the liquid, an ideal vapour, and the vapour pressures the parameters were found with.
Promises the azeotrope of the published data; single points agree with print to about 0.01 in the vapour mole
fraction and 0.3 K. Dissolved extract is left out: it raises the boiling point by less than half a kelvin
below 200 g/L.
"""

from dataclasses import dataclass
from typing import cast

import numpy as np

from stillroom.science.arrays import Floats, N, array, like_given, refuse_outside

KELVIN = 273.15


@dataclass(frozen=True, slots=True)
class LiquidVapour:
    """Vapour pressure coefficients of one pure liquid: ln(p/Pa) = C1 + C2/T + C3 ln T + C4 T^C5."""

    substance: str
    molar_mass_g_mol: float
    coefficients: tuple[float, float, float, float, float]
    lowest_temperature_c: float
    highest_temperature_c: float
    source: str


@dataclass(frozen=True, slots=True)
class BoilingModel:
    """Two pure liquids and the NRTL parameters of their mixture; 1 is ethanol, 2 is water."""

    ethanol: LiquidVapour
    water: LiquidVapour
    a12: float
    a21: float
    b12_k: float
    b21_k: float
    alpha: float
    lowest_pressure_pa: float
    highest_pressure_pa: float
    source: str


def vapour_pressure_pa(temperature_c: N | float, liquid: LiquidVapour) -> N:
    """Vapour pressure of a pure liquid.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C].
    liquid : LiquidVapour
        Coefficients and their range [-].

    Returns
    -------
    float or array
        Pressure [Pa].

    Raises
    ------
    OutsideModel
        Outside the temperatures the coefficients hold for.

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling
    >>> vapour_pressure_pa(22.0, ethanol_water_boiling().water) / 1000.0  # iapws-95 (2.64534), second-hand
    2.645

    References
    ----------
    perry-8-dippr101
    """
    temperature = array(temperature_c)
    low, high = liquid.lowest_temperature_c, liquid.highest_temperature_c
    refuse_outside(
        f"The temperature of {liquid.substance}", temperature, low, high, "°C", source=liquid.source
    )
    return cast(N, like_given(np.exp(_log_pressure(temperature + KELVIN, liquid))))


def activity_coefficients(
    ethanol_mole_fraction: N | float, temperature_c: N | float, model: BoilingModel
) -> tuple[N, N]:
    """How much more volatile ethanol and water are in each other's company than alone.

    Parameters
    ----------
    ethanol_mole_fraction : float or array
        Ethanol in the liquid by moles [1].
    temperature_c : float or array
        Temperature [°C].
    model : BoilingModel
        NRTL parameters [-].

    Returns
    -------
    tuple of float or array
        Activity coefficients of ethanol and of water [1].

    Raises
    ------
    OutsideModel
        When the mole fraction is not between 0 and 1.

    Notes
    -----
    NRTL with tau_ij = a_ij + b_ij/T and G_ij = exp(-alpha tau_ij).

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling
    >>> activity_coefficients(0.0, 25.0, ethanol_water_boiling())[0]  # a public unit test, second-hand
    4.557085

    References
    ----------
    ethanol-water-nrtl-vle-ig
    """
    ethanol = array(ethanol_mole_fraction)
    _refuse_no_fraction(ethanol, model)
    first, second = _log_activities(ethanol, array(temperature_c) + KELVIN, model)
    return cast(N, like_given(np.exp(first))), cast(N, like_given(np.exp(second)))


def bubble_point_c(ethanol_mole_fraction: N | float, pressure_pa: N | float, model: BoilingModel) -> N:
    """Temperature at which ethanol-water boils.

    Parameters
    ----------
    ethanol_mole_fraction : float or array
        Ethanol in the liquid by moles [1].
    pressure_pa : float or array
        Pressure over the liquid [Pa].
    model : BoilingModel
        Vapour pressures, activities and the pressures they were checked for [-].

    Returns
    -------
    float or array
        Boiling point [°C].

    Raises
    ------
    OutsideModel
        Outside the model's pressures, or when the mole fraction is not between 0 and 1.

    Notes
    -----
    Solves x gamma1 p1(T) + (1-x) gamma2 p2(T) = P for T.

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling
    >>> bubble_point_c(0.8943, 101325.0, ethanol_water_boiling())  # carey-lewis-1932, second-hand
    78.15

    References
    ----------
    ethanol-water-nrtl-vle-ig, perry-8-dippr101
    """
    ethanol, pressure = array(ethanol_mole_fraction), array(pressure_pa)
    _refuse_no_fraction(ethanol, model)
    _refuse_pressure(pressure, model)
    temperature, _ = _boil(ethanol, pressure, model)
    return cast(N, like_given(temperature - KELVIN))


def vapour_mole_fraction(ethanol_mole_fraction: N | float, pressure_pa: N | float, model: BoilingModel) -> N:
    """Ethanol in the vapour that rises from boiling ethanol-water.

    Parameters
    ----------
    ethanol_mole_fraction : float or array
        Ethanol in the liquid by moles [1].
    pressure_pa : float or array
        Pressure over the liquid [Pa].
    model : BoilingModel
        Vapour pressures, activities and the pressures they were checked for [-].

    Returns
    -------
    float or array
        Ethanol in the vapour by moles [1].

    Raises
    ------
    OutsideModel
        Outside the model's pressures, or when the mole fraction is not between 0 and 1.

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling
    >>> vapour_mole_fraction(0.914, 101300.0, ethanol_water_boiling())  # kamihama-2012, second-hand
    0.912

    References
    ----------
    ethanol-water-nrtl-vle-ig, perry-8-dippr101
    """
    ethanol, pressure = array(ethanol_mole_fraction), array(pressure_pa)
    _refuse_no_fraction(ethanol, model)
    _refuse_pressure(pressure, model)
    _, vapour = _boil(ethanol, pressure, model)
    return cast(N, like_given(vapour))


def mole_fraction_from_mass_fraction(ethanol_mass_fraction: N | float, model: BoilingModel) -> N:
    """Ethanol by moles from ethanol by mass.

    Parameters
    ----------
    ethanol_mass_fraction : float or array
        Ethanol by mass [1].
    model : BoilingModel
        Molar masses [-].

    Returns
    -------
    float or array
        Ethanol by moles [1].

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling
    >>> mole_fraction_from_mass_fraction(0.956, ethanol_water_boiling())  # carey-lewis-1932 (0.8943), second-hand
    0.894
    """
    fraction = array(ethanol_mass_fraction)
    ethanol = fraction / model.ethanol.molar_mass_g_mol
    return cast(N, like_given(ethanol / (ethanol + (1.0 - fraction) / model.water.molar_mass_g_mol)))


def mass_fraction_from_mole_fraction(ethanol_mole_fraction: N | float, model: BoilingModel) -> N:
    """Ethanol by mass from ethanol by moles.

    Parameters
    ----------
    ethanol_mole_fraction : float or array
        Ethanol by moles [1].
    model : BoilingModel
        Molar masses [-].

    Returns
    -------
    float or array
        Ethanol by mass [1].

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling
    >>> mass_fraction_from_mole_fraction(0.8943, ethanol_water_boiling())  # azeotrope-1916, second-hand
    0.956
    """
    fraction = array(ethanol_mole_fraction)
    ethanol = fraction * model.ethanol.molar_mass_g_mol
    return cast(N, like_given(ethanol / (ethanol + (1.0 - fraction) * model.water.molar_mass_g_mol)))


def azeotrope_mole_fraction(pressure_pa: float, model: BoilingModel) -> float:
    """The strength at which vapour and liquid are alike: no simple still gets past it.

    Parameters
    ----------
    pressure_pa : float
        Pressure over the liquid [Pa].
    model : BoilingModel
        Vapour pressures, activities and the pressures they were checked for [-].

    Returns
    -------
    float
        Ethanol by moles [1].

    Raises
    ------
    OutsideModel
        Outside the model's pressures.

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling
    >>> azeotrope_mole_fraction(101325.0, ethanol_water_boiling())  # carey-lewis-1932 (0.8943), second-hand
    0.89

    References
    ----------
    ethanol-water-nrtl-vle-ig
    """
    low, high = 0.5, 1.0 - 1e-9
    for _ in range(60):
        middle = 0.5 * (low + high)
        vapour: float = vapour_mole_fraction(middle, pressure_pa, model)
        low, high = (middle, high) if vapour > middle else (low, middle)
    return 0.5 * (low + high)


def _log_pressure(kelvin: Floats, liquid: LiquidVapour) -> Floats:
    c1, c2, c3, c4, c5 = liquid.coefficients
    return c1 + c2 / kelvin + c3 * np.log(kelvin) + c4 * kelvin**c5


def _log_pressure_slope(kelvin: Floats, liquid: LiquidVapour) -> Floats:
    _, c2, c3, c4, c5 = liquid.coefficients
    return -c2 / kelvin**2 + c3 / kelvin + c4 * c5 * kelvin ** (c5 - 1.0)


def _log_activities(ethanol: Floats, kelvin: Floats, model: BoilingModel) -> tuple[Floats, Floats]:
    water = 1.0 - ethanol
    tau12, tau21 = model.a12 + model.b12_k / kelvin, model.a21 + model.b21_k / kelvin
    g12, g21 = np.exp(-model.alpha * tau12), np.exp(-model.alpha * tau21)
    beside_ethanol, beside_water = ethanol + water * g21, water + ethanol * g12
    first = water**2 * (tau21 * (g21 / beside_ethanol) ** 2 + tau12 * g12 / beside_water**2)
    second = ethanol**2 * (tau12 * (g12 / beside_water) ** 2 + tau21 * g21 / beside_ethanol**2)
    return first, second


def _boil(ethanol: Floats, pressure: Floats, model: BoilingModel) -> tuple[Floats, Floats]:
    kelvin = np.full(np.broadcast_shapes(ethanol.shape, pressure.shape), 355.0)
    for _ in range(50):
        first, second = _log_activities(ethanol, kelvin, model)
        from_ethanol = ethanol * np.exp(first + _log_pressure(kelvin, model.ethanol))
        from_water = (1.0 - ethanol) * np.exp(second + _log_pressure(kelvin, model.water))
        total = from_ethanol + from_water
        steepness = (
            from_ethanol * _log_pressure_slope(kelvin, model.ethanol)
            + from_water * _log_pressure_slope(kelvin, model.water)
        ) / total
        step = np.log(total / pressure) / steepness
        kelvin = kelvin - step
        if np.abs(step).max(initial=0.0) < 1e-11:
            break
    return kelvin, from_ethanol / total


def _refuse_no_fraction(ethanol: Floats, model: BoilingModel) -> None:
    refuse_outside("Ethanol by moles", ethanol, 0.0, 1.0, "1", source=model.source)


def _refuse_pressure(pressure: Floats, model: BoilingModel) -> None:
    low, high = model.lowest_pressure_pa, model.highest_pressure_pa
    do = "Work at air pressure, or find data for that vacuum"
    refuse_outside("The pressure over the still", pressure, low, high, "Pa", source=model.source, do=do)
