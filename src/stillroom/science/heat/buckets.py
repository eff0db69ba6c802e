"""A bucket and a pump in place of a tap: how it warms, how long it lasts, what ice buys.

Promises the heat balance of well stirred water. The pump's watts end in the water. Heat lost to the room is what the
caller says, nothing when in doubt: the time is then a lower bound.
"""

from typing import cast

import numpy as np

from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given, refuse_negative, refuse_not_positive
from stillroom.science.heat.distilling import WATER_CAPACITY_J_G_K

ICE_MELTING_KJ_KG = 333.6
"""Latent heat of melting ice, from memory. [kJ/kg]"""
J_PER_L_K = 1000.0 * WATER_CAPACITY_J_G_K


def bucket_temperature_c(
    minutes: N | float,
    start_c: N | float,
    water_l: N | float,
    heat_w: N | float,
    room_c: N | float = 20.0,
    loss_to_room: N | float = 0.0,
) -> N:
    """Temperature of a bucket after a time.

    Parameters
    ----------
    minutes : float or array
        Time since the heat came on [min].
    start_c : float or array
        Water at the start [°C].
    water_l : float or array
        Water in it [L].
    heat_w : float or array
        Heat of the condensers and of the pump [W].
    room_c : float or array
        Of the air around it; matters only with a loss [°C].
    loss_to_room : float or array
        Heat lost to the room for each kelvin it is warmer [W/K].

    Returns
    -------
    float or array
        Temperature [°C].

    Raises
    ------
    BadEntry
        When time, heat or loss is negative, or the water not above zero.

    Notes
    -----
    m c dT/dt = Q - k (T - room), solved in closed form; without loss a straight line.

    Examples
    --------
    >>> bucket_temperature_c(1.0, 20.0, 6.0, 4186.0)
    30.0
    """
    time, start, litres = array(minutes), array(start_c), array(water_l)
    heat, room, loss = array(heat_w), array(room_c), array(loss_to_room)
    refuse_negative("The time", time, "min")
    refuse_not_positive("The water in the bucket", litres, "L")
    refuse_negative("The heat", heat, "W")
    refuse_negative("The loss", loss, "W/K")
    seconds = 60.0 * time
    share = loss * seconds / (litres * J_PER_L_K)
    # (1 - exp(-x)) / x goes to 1 without loss.
    eased = np.where(share > 1e-12, -np.expm1(-share) / np.where(share > 1e-12, share, 1.0), 1.0)
    rise = (heat - loss * (start - room)) * seconds / (litres * J_PER_L_K) * eased
    return cast(N, like_given(np.asarray(start + rise)))


@formula("iced-bucket")
def iced_bucket_c(
    minutes: N | float, start_c: N | float, water_l: N | float, heat_w: N | float, ice_kg: N | float
) -> N:
    """Temperature of a bucket with ice in it after a time; nothing lost to the room.

    Parameters
    ----------
    minutes : float or array
        Time since the heat came on [min].
    start_c : float or array
        Water at the start, before the ice [°C].
    water_l : float or array
        Water in it, without the ice [L].
    heat_w : float or array
        Heat of the condensers and of the pump [W].
    ice_kg : float or array
        Ice added, at 0 °C [kg].

    Returns
    -------
    float or array
        Temperature, 0 while ice is left [°C].

    Raises
    ------
    BadEntry
        When time, heat or ice is negative, or the water not above zero.

    Notes
    -----
    Ice melts before the water warms: T = (W c start + Q t - m L) / ((W + m) c), not below 0.

    Examples
    --------
    >>> iced_bucket_c(1.0, 10.0, 6.0, 4186.0, ice_kg=3.0)
    0.0
    """
    time, litres, heat, ice = array(minutes), array(water_l), array(heat_w), array(ice_kg)
    refuse_negative("The time", time, "min")
    refuse_not_positive("The water in the bucket", litres, "L")
    refuse_negative("The heat", heat, "W")
    refuse_negative("The ice", ice, "kg")
    held_j = litres * J_PER_L_K * array(start_c) + 60.0 * time * heat - ice * 1000.0 * ICE_MELTING_KJ_KG
    return cast(N, like_given(np.asarray(np.maximum(held_j, 0.0) / ((litres + ice) * J_PER_L_K))))


@formula("minutes-until-warm")
def minutes_until_warm(
    start_c: N | float,
    warmest_c: N | float,
    water_l: N | float,
    heat_w: N | float,
    ice_kg: N | float = 0.0,
) -> N:
    """Minutes until a bucket is as warm as it may be, with ice in it or without; nothing lost to the room.

    Parameters
    ----------
    start_c : float or array
        Water at the start [°C].
    warmest_c : float or array
        As warm as it may become [°C].
    water_l : float or array
        Water in it, without the ice [L].
    heat_w : float or array
        Heat of the condensers and of the pump [W].
    ice_kg : float or array
        Ice added, at 0 °C [kg].

    Returns
    -------
    float or array
        Time; 0 when it is too warm from the start [min].

    Raises
    ------
    BadEntry
        When ice is negative, or water or heat not above zero.

    Notes
    -----
    The heat that fits: water from its start to the warmest, ice melted and warmed to the warmest.

    Examples
    --------
    >>> minutes_until_warm(20.0, 30.0, 6.0, 4186.0)
    1.0
    """
    litres, heat, ice = array(water_l), array(heat_w), array(ice_kg)
    refuse_not_positive("The water in the bucket", litres, "L")
    refuse_not_positive("The heat", heat, "W")
    refuse_negative("The ice", ice, "kg")
    warmest = array(warmest_c)
    fits_j = litres * J_PER_L_K * (warmest - array(start_c)) + ice * (
        1000.0 * ICE_MELTING_KJ_KG + J_PER_L_K * warmest
    )
    return cast(N, like_given(np.asarray(np.maximum(fits_j, 0.0) / heat / 60.0)))


@formula("ice-needed")
def ice_needed_kg(
    minutes: N | float, start_c: N | float, warmest_c: N | float, water_l: N | float, heat_w: N | float
) -> N:
    """Ice that lets a bucket last for a time; nothing lost to the room.

    Parameters
    ----------
    minutes : float or array
        Time it must last [min].
    start_c : float or array
        Water at the start [°C].
    warmest_c : float or array
        As warm as it may become [°C].
    water_l : float or array
        Water in it, without the ice [L].
    heat_w : float or array
        Heat of the condensers and of the pump [W].

    Returns
    -------
    float or array
        Ice at 0 °C, by and by or at once; none when the water alone lasts [kg].

    Raises
    ------
    BadEntry
        When time or heat is negative, water not above zero, or the warmest not above freezing.

    Examples
    --------
    >>> minutes_until_warm(20.0, 30.0, 6.0, 4186.0, ice_needed_kg(5.0, 20.0, 30.0, 6.0, 4186.0))
    5.0
    """
    time, litres, heat, warmest = array(minutes), array(water_l), array(heat_w), array(warmest_c)
    refuse_negative("The time", time, "min")
    refuse_not_positive("The water in the bucket", litres, "L")
    refuse_negative("The heat", heat, "W")
    refuse_not_positive("The warmest it may be", warmest, "°C")
    over_j = 60.0 * time * heat - litres * J_PER_L_K * (warmest - array(start_c))
    return cast(
        N,
        like_given(np.asarray(np.maximum(over_j, 0.0) / (1000.0 * ICE_MELTING_KJ_KG + J_PER_L_K * warmest))),
    )


@formula("minutes-of-still-water")
def minutes_of_still_water(water_ml: N | float, rise_k: N | float, heat_w: N | float) -> N:
    """Minutes until the water that stands in a condenser is too warm, once it has stopped and the heat has not.

    Parameters
    ----------
    water_ml : float or array
        Water in the jacket [mL].
    rise_k : float or array
        How much warmer it may still grow [K].
    heat_w : float or array
        Heat of the vapour [W].

    Returns
    -------
    float or array
        Time [min].

    Raises
    ------
    BadEntry
        When water or rise is negative, or the heat not above zero.

    Examples
    --------
    >>> minutes_of_still_water(100.0, 40.0, 279.0)
    1.0
    """
    water, rise, heat = array(water_ml), array(rise_k), array(heat_w)
    refuse_negative("The water in the jacket", water, "mL")
    refuse_negative("The rise in temperature", rise, "K")
    refuse_not_positive("The heat", heat, "W")
    return cast(N, like_given(np.asarray(water * WATER_CAPACITY_J_G_K * rise / heat / 60.0)))
