"""Cooling water through condensers, one after the other or side by side, and what each may leave at.

Promises the heat balance of the water: every condenser takes back all of its vapour's heat, none is lost to the room,
so outlets are upper bounds. Says nothing about whether a condenser is long enough.
"""

from typing import cast

import numpy as np
from numpy.typing import ArrayLike

from stillroom.errors import OutsideModel, worded
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import (
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)
from stillroom.science.heat.distilling import WATER_CAPACITY_J_G_K
from stillroom.science.liquids.antoine import antoine_boiling_c

STANDARD_PRESSURE_PA = 101325.0
GRAMS_PER_S = 1000.0 / 60.0
"""One litre a minute, in grams a second: a litre of cooling water is taken as a kilogram."""


@formula("boil-up-heat")
def boil_up_heat_w(boil_up_ml_min: N | float, density_g_ml: N | float, latent_heat_kj_kg: N | float) -> N:
    """Heat a condenser takes back from what boils up.

    Parameters
    ----------
    boil_up_ml_min : float or array
        Liquid that drips back, at its boiling point [mL/min].
    density_g_ml : float or array
        Of that liquid, at its boiling point [g/mL].
    latent_heat_kj_kg : float or array
        Latent heat [kJ/kg].

    Returns
    -------
    float or array
        Heat [W].

    Raises
    ------
    BadEntry
        When the boil-up is negative, or density or latent heat not above zero.

    Examples
    --------
    >>> boil_up_heat_w(60.0 * 1650.0, 1.0, 2305.0) / 1e6  # steam-condenser-web, second-hand
    3.80

    References
    ----------
    condenser-problem-web
    """
    volume, density, latent = array(boil_up_ml_min), array(density_g_ml), array(latent_heat_kj_kg)
    refuse_negative("The boil-up", volume, "mL/min")
    refuse_not_positive("The density", density, "g/mL")
    refuse_not_positive("The latent heat", latent, "kJ/kg")
    return cast(N, like_given(np.asarray(volume * density * latent / 60.0)))


@formula("cooling-outlet")
def outlet_c(inlet_c: N | float, heat_w: N | float, flow_l_min: N | float) -> N:
    """Temperature at which cooling water leaves.

    Parameters
    ----------
    inlet_c : float or array
        Water coming in [°C].
    heat_w : float or array
        All the heat it has taken up on its way [W].
    flow_l_min : float or array
        Water through the condenser [L/min].

    Returns
    -------
    float or array
        Water going out [°C].

    Raises
    ------
    BadEntry
        When heat is negative or the flow not above zero.

    Notes
    -----
    The rise is the heat over flow times 4.186 J/(g K).

    Examples
    --------
    >>> outlet_c(18.0, 3.80e6, 60.0 * 101.0)  # steam-condenser-web, second-hand
    27.0

    References
    ----------
    condenser-problem-web
    """
    inlet, heat, flow = array(inlet_c), array(heat_w), array(flow_l_min)
    refuse_negative("The heat", heat, "W")
    refuse_not_positive("The flow", flow, "L/min")
    return cast(N, like_given(np.asarray(inlet + heat / (flow * GRAMS_PER_S * WATER_CAPACITY_J_G_K))))


def outlets_in_series_c(inlet_c: ArrayLike, loads_w: ArrayLike, flow_l_min: ArrayLike) -> np.ndarray:
    """Temperatures at which the water leaves each condenser of a chain.

    Parameters
    ----------
    inlet_c : float or array
        Water coming in [°C].
    loads_w : array
        Heat of each condenser, in the order of the water; the last axis runs along the chain [W].
    flow_l_min : float or array
        Water through the chain [L/min].

    Returns
    -------
    array
        Outlet of each [°C].

    Raises
    ------
    BadEntry
        When a load is negative or the flow not above zero.

    Examples
    --------
    >>> outlets_in_series_c(15.0, [418.6, 209.3], 0.6)
    array([25.0, 30.0])
    """
    loads = array(loads_w)
    refuse_negative("A load", loads, "W")
    return np.asarray(
        outlet_c(array(inlet_c)[..., None], np.cumsum(loads, axis=-1), array(flow_l_min)[..., None])
    )


@formula("least-flow")
def least_flow_l_min(heat_w: N | float, rise_k: N | float) -> N:
    """Least water that carries heat away within a rise.

    Parameters
    ----------
    heat_w : float or array
        Heat to be carried away [W].
    rise_k : float or array
        How much warmer the water may leave than it came [K].

    Returns
    -------
    float or array
        Water [L/min].

    Raises
    ------
    BadEntry
        When heat is negative or the rise not above zero.

    Examples
    --------
    >>> least_flow_l_min(3.80e6, 9.0) / 60.0  # steam-condenser-web, second-hand
    101.
    """
    heat, rise = array(heat_w), array(rise_k)
    refuse_negative("The heat", heat, "W")
    refuse_not_positive("The rise in temperature", rise, "K")
    return cast(N, like_given(np.asarray(heat / (rise * GRAMS_PER_S * WATER_CAPACITY_J_G_K))))


@formula("boiling-point-at-pressure")
def boiling_point_at_c(
    normal_boiling_c: N | float,
    antoine_a: float,
    antoine_b: float,
    antoine_c: float,
    pressure_pa: N | float,
) -> N:
    """Boiling point of a pure liquid at another pressure.

    Parameters
    ----------
    normal_boiling_c : float or array
        Boiling point at 101.325 kPa [°C].
    antoine_a : float
        First constant, of the decimal logarithm in mmHg [1].
    antoine_b : float
        Second constant [°C].
    antoine_c : float
        Third constant [°C].
    pressure_pa : float or array
        Air pressure [Pa].

    Returns
    -------
    float or array
        Boiling point [°C].

    Raises
    ------
    OutsideModel
        Below 40 or above 110 kPa, beyond the air of any laboratory.

    Notes
    -----
    Moved by as much as the boiling point of the equation of Antoine moves, so that it meets the printed boiling point
    at 101.325 kPa.

    Examples
    --------
    >>> boiling_point_at_c(99.97, 8.07131, 1730.63, 233.426, 84560.0)  # steam tables, from-memory
    95.0

    References
    ----------
    antoine-constants, chemicals-1.5.2
    """
    boiling, pressure = array(normal_boiling_c), array(pressure_pa)
    refuse_outside(
        "The air pressure", pressure, 40_000.0, 110_000.0, "Pa", source="the air of any laboratory",
        do="Read the boiling point in a table",
    )  # fmt: skip
    here, at_sea = (
        array(antoine_boiling_c(one, antoine_a, antoine_b, antoine_c))
        for one in (pressure, STANDARD_PRESSURE_PA)
    )
    return cast(N, like_given(np.asarray(boiling + here - at_sea)))


def first_to_fail(outlets_c: ArrayLike, limits_c: ArrayLike) -> int | None:
    """Which condenser of a chain is the first whose water leaves too warm.

    Parameters
    ----------
    outlets_c : array
        Outlet of each, in the order of the water [°C].
    limits_c : array
        Warmest each may leave at [°C].

    Returns
    -------
    int or None
        Its place, counted from 0; None when all are cool enough [1].

    Raises
    ------
    OutsideModel
        When the two are not of one length.

    Examples
    --------
    >>> first_to_fail([30.0, 37.0, 40.0], [58.0, 36.0, 36.0])
    1
    """
    outlets, limits = array(outlets_c), array(limits_c)
    if outlets.shape != limits.shape or outlets.ndim != 1:
        raise OutsideModel(
            "Each condenser has one outlet and one limit",
            worded("{size} and {size_two}", size=outlets.size, size_two=limits.size),
        )
    failing = np.flatnonzero(outlets > limits)
    return int(failing[0]) if failing.size else None
