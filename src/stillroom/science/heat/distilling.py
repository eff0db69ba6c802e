"""Heat and cooling water of a distillation, and the minutes it takes.

Latent heats and heat capacities of the pure liquids are shared by mass. The heat of mixing is left out, and the heat
capacity of a half-and-half mixture is in truth some tenth higher: the sum is good to about 5 %, better than anyone
knows how much of a heater's power reaches the liquid. Stopwatch and thermometer come first.
"""

from dataclasses import dataclass
from typing import cast

from stillroom.science.arrays import (
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)

WATER_CAPACITY_J_G_K = 4.186


@dataclass(frozen=True, slots=True)
class PureHeats:
    """Latent heats and heat capacities of pure ethanol and water."""

    ethanol_latent_j_g: float
    water_latent_j_g: float
    ethanol_capacity_j_g_k: float
    water_capacity_j_g_k: float


def latent_heat_j_g(vapour_ethanol_mass_fraction: N | float, heats: PureHeats) -> N:
    """Heat to boil off a gram of vapour of a given composition, and to be taken back by the condenser.

    Parameters
    ----------
    vapour_ethanol_mass_fraction : float or array
        Ethanol by mass in the vapour [1].
    heats : PureHeats
        Latent heats of the pure liquids [-].

    Returns
    -------
    float or array
        Latent heat [J/g].

    Raises
    ------
    OutsideModel
        When the strength is not between 0 and 1.

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_heats
    >>> latent_heat_j_g(0.0, ethanol_water_heats())  # steam tables, from-memory
    2257.

    References
    ----------
    chemicals-1.5.2
    """
    vapour = array(vapour_ethanol_mass_fraction)
    refuse_outside("Ethanol by mass in the vapour", vapour, 0.0, 1.0, "1", source="a share of the whole")
    mixed = vapour * heats.ethanol_latent_j_g + (1.0 - vapour) * heats.water_latent_j_g
    return cast(N, like_given(mixed))


def heat_to_warm_j(
    mass_g: N | float, ethanol_mass_fraction: N | float, from_c: N | float, to_c: N | float, heats: PureHeats
) -> N:
    """Heat to bring spirit from one temperature to another.

    Parameters
    ----------
    mass_g : float or array
        Mass of the spirit [g].
    ethanol_mass_fraction : float or array
        Its strength by mass [1].
    from_c : float or array
        Temperature at the start [°C].
    to_c : float or array
        Temperature at the end [°C].
    heats : PureHeats
        Heat capacities of the pure liquids [-].

    Returns
    -------
    float or array
        Heat; negative when it cools [J].

    Raises
    ------
    BadEntry
        When the mass is negative.
    OutsideModel
        When the strength is not between 0 and 1.

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_heats
    >>> heat_to_warm_j(1.0, 0.0, 20.0, 21.0, ethanol_water_heats())  # iapws-95 (4.18405), second-hand
    4.184

    References
    ----------
    chemicals-1.5.2
    """
    mass, fraction = array(mass_g), array(ethanol_mass_fraction)
    refuse_negative("The mass", mass, "g")
    refuse_outside("Ethanol by mass", fraction, 0.0, 1.0, "1", source="a share of the whole")
    capacity = fraction * heats.ethanol_capacity_j_g_k + (1.0 - fraction) * heats.water_capacity_j_g_k
    return cast(N, like_given(mass * capacity * (array(to_c) - array(from_c))))


def heat_to_distil_j(
    start_mass_g: N | float,
    start_mass_fraction: N | float,
    distillate_mass_g: N | float,
    distillate_mass_fraction: N | float,
    from_c: N | float,
    boiling_c: N | float,
    heats: PureHeats,
) -> N:
    """Heat to bring spirit to the boil and distil part of it.

    Parameters
    ----------
    start_mass_g : float or array
        Mass in the still [g].
    start_mass_fraction : float or array
        Ethanol by mass in the still [1].
    distillate_mass_g : float or array
        Mass that comes over [g].
    distillate_mass_fraction : float or array
        Ethanol by mass in what comes over [1].
    from_c : float or array
        Temperature of the spirit at the start [°C].
    boiling_c : float or array
        Boiling point, first or mean [°C].
    heats : PureHeats
        Latent heats and heat capacities [-].

    Returns
    -------
    float or array
        Heat that must reach the liquid [J].

    Raises
    ------
    BadEntry
        When a mass is negative.
    OutsideModel
        When a strength is not between 0 and 1.

    Notes
    -----
    The whole charge is warmed to boiling_c, then the distillate is boiled off at its mean composition.

    Examples
    --------
    >>> heats = PureHeats(850.0, 2250.0, 2.4, 4.2)
    >>> heat_to_distil_j(1000.0, 0.0, 100.0, 0.0, 20.0, 100.0, heats)
    561000.0

    References
    ----------
    chemicals-1.5.2
    """
    refuse_negative("The distillate", array(distillate_mass_g), "g")
    warming = array(
        heat_to_warm_j(
            array(start_mass_g), array(start_mass_fraction), array(from_c), array(boiling_c), heats
        )
    )
    boiling = array(distillate_mass_g) * array(latent_heat_j_g(array(distillate_mass_fraction), heats))
    return cast(N, like_given(warming + boiling))


def minutes_at_power(heat_j: N | float, power_w: N | float, efficiency: N | float) -> N:
    """Time for a heater to deliver heat into the liquid.

    Parameters
    ----------
    heat_j : float or array
        Heat that must reach the liquid [J].
    power_w : float or array
        Electric power of the heater [W].
    efficiency : float or array
        Share of it that reaches the liquid [1].

    Returns
    -------
    float or array
        Time [min].

    Raises
    ------
    BadEntry
        When heat is negative or the power is not above zero.
    OutsideModel
        When the efficiency is not above 0 and at most 1.

    Examples
    --------
    >>> minutes_at_power(180e3, 300.0, 0.5)
    20.0

    References
    ----------
    extraction-practice
    """
    heat, power, share = array(heat_j), array(power_w), array(efficiency)
    refuse_negative("The heat", heat, "J")
    refuse_not_positive("The heater's power", power, "W")
    source = "extraction-practice: a mantle gives 0.4 to 0.7, a water bath 0.2 to 0.4"
    refuse_outside("The share of the power that arrives", share, 0.01, 1.0, "1", source=source)
    return cast(N, like_given(heat / (power * share) / 60.0))


def cooling_water_l(heat_j: N | float, rise_k: N | float) -> N:
    """Cooling water that carries heat away.

    Parameters
    ----------
    heat_j : float or array
        Heat to be carried away [J].
    rise_k : float or array
        How much warmer the water may leave than it came [K].

    Returns
    -------
    float or array
        Water, a litre taken as a kilogram [L].

    Raises
    ------
    BadEntry
        When heat is negative or the rise is not above zero.

    Examples
    --------
    >>> cooling_water_l(3.80e6, 9.0)  # steam-condenser-web, second-hand
    101.
    """
    heat, rise = array(heat_j), array(rise_k)
    refuse_negative("The heat", heat, "J")
    refuse_not_positive("The rise in temperature", rise, "K")
    return cast(N, like_given(heat / (WATER_CAPACITY_J_G_K * rise) / 1000.0))
