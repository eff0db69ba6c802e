"""When to stop a simple still: at a strength of the distillate, at a strength of the drip, at a boiling point.

Promises the share of the ethanol that is over at that moment, from which ``distilling`` tells the rest. Every one of
these falls or rises without turning while a still runs, so there is one such moment or none. Leaves out dissolved
extract, as ``boiling`` does.
"""

from collections.abc import Callable
from typing import cast

import numpy as np

from stillroom.errors import OutsideModel, Phrase, worded
from stillroom.science.arrays import Floats, N, array, like_given
from stillroom.science.liquids.boiling import (
    bubble_point_c,
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
    vapour_mole_fraction,
)
from stillroom.science.liquids.distilling import StillCurve, distil_to_residue, distil_to_share

LAST_SHARE = 0.9999
LEAST_LEFT = 1e-6
CLOSE = 1e-13
ROUNDS = 60


def boiling_of_spirit_c(ethanol_mass_fraction: N | float, curve: StillCurve) -> N:
    """Boiling point of spirit at the pressure of a still.

    Parameters
    ----------
    ethanol_mass_fraction : float or array
        Ethanol by mass in the liquid [1].
    curve : StillCurve
        Of the still, with its pressure [-].

    Returns
    -------
    float or array
        Boiling point [°C].

    Raises
    ------
    OutsideModel
        When the strength is not between 0 and 1.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> boiling_of_spirit_c(0.956, spirit_still())  # azeotrope-1916 (78.17), second-hand
    78.2

    References
    ----------
    ethanol-water-nrtl-vle-ig, perry-8-dippr101
    """
    moles = array(mole_fraction_from_mass_fraction(array(ethanol_mass_fraction), curve.model))
    return cast(N, like_given(array(bubble_point_c(moles, curve.pressure_pa, curve.model))))


def drip_mass_fraction(ethanol_mass_fraction: N | float, curve: StillCurve) -> N:
    """Strength of what drips from the condenser while a liquid boils.

    Parameters
    ----------
    ethanol_mass_fraction : float or array
        Ethanol by mass in the liquid [1].
    curve : StillCurve
        Of the still, with its pressure [-].

    Returns
    -------
    float or array
        Ethanol by mass in the drip [1].

    Raises
    ------
    OutsideModel
        When the strength is not between 0 and 1.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> drip_mass_fraction(0.956, spirit_still())  # azeotrope-1916, second-hand
    0.956

    References
    ----------
    ethanol-water-nrtl-vle-ig
    """
    moles = array(mole_fraction_from_mass_fraction(array(ethanol_mass_fraction), curve.model))
    vapour = array(vapour_mole_fraction(moles, curve.pressure_pa, curve.model))
    return cast(N, like_given(array(mass_fraction_from_mole_fraction(vapour, curve.model))))


def share_at_distillate(
    start_mass_fraction: N | float, distillate_mass_fraction: N | float, curve: StillCurve
) -> N:
    """Share of the ethanol that is over when all the distillate so far has come down to a strength.

    Parameters
    ----------
    start_mass_fraction : float or array
        Ethanol by mass in the still at the start [1].
    distillate_mass_fraction : float or array
        Ethanol by mass in the distillate, all of it together [1].
    curve : StillCurve
        Rayleigh's integral at the still's pressure [-].

    Returns
    -------
    float or array
        Share of the ethanol [1].

    Raises
    ------
    OutsideModel
        The first drop is weaker than that, or the last is stronger.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> share = share_at_distillate(0.30, 0.60, spirit_still())
    >>> distil_to_share(1.0, 0.30, share, spirit_still()).distillate_mass_fraction
    0.6

    References
    ----------
    rayleigh-1902
    """
    start, wanted = np.broadcast_arrays(array(start_mass_fraction), array(distillate_mass_fraction))

    def strength(shares: Floats) -> Floats:
        return array(distil_to_share(1.0, start, shares, curve).distillate_mass_fraction)

    _refuse_never(wanted, array(drip_mass_fraction(start, curve)), "the distillate")
    return cast(N, like_given(_falls_to(strength, wanted)))


def share_at_residue(
    start_mass_fraction: N | float, residue_mass_fraction: N | float, curve: StillCurve
) -> N:
    """Share of the ethanol that is over when the liquid in the still is down to a strength.

    Parameters
    ----------
    start_mass_fraction : float or array
        Ethanol by mass in the still at the start [1].
    residue_mass_fraction : float or array
        Ethanol by mass in what is left [1].
    curve : StillCurve
        Rayleigh's integral at the still's pressure [-].

    Returns
    -------
    float or array
        Share of the ethanol [1].

    Raises
    ------
    OutsideModel
        What is left would be stronger than the start.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> share = share_at_residue(0.30, 0.05, spirit_still())
    >>> distil_to_share(1.0, 0.30, share, spirit_still()).residue_mass_fraction
    0.05

    References
    ----------
    rayleigh-1902
    """
    found = distil_to_residue(1.0, array(start_mass_fraction), array(residue_mass_fraction), curve)
    return cast(N, like_given(array(found.ethanol_share)))


def residue_at_boiling(boiling_c: N | float, curve: StillCurve) -> N:
    """Strength of the liquid that boils at a temperature, weaker than the azeotrope.

    Parameters
    ----------
    boiling_c : float or array
        Temperature of the boiling liquid [°C].
    curve : StillCurve
        Of the still, with its pressure [-].

    Returns
    -------
    float or array
        Ethanol by mass [1].

    Raises
    ------
    OutsideModel
        No spirit boils at that temperature under that pressure.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> still = spirit_still()
    >>> residue = residue_at_boiling(80.30, still)
    >>> mole_fraction_from_mass_fraction(residue, still.model)  # kamihama-2012, second-hand
    0.425

    References
    ----------
    ethanol-water-nrtl-vle-ig, perry-8-dippr101
    """
    wanted = array(boiling_c)
    strongest = curve.azeotrope_mass_fraction * (1.0 - LEAST_LEFT)
    coldest, hottest = (float(boiling_of_spirit_c(one, curve)) for one in (strongest, LEAST_LEFT))
    if (wanted < coldest).any() or (wanted > hottest).any():
        raise OutsideModel(
            worded(
                "Spirit boils between {coldest:.1f} and {hottest:.1f} °C at {pressure_pa:.1f} kPa",
                coldest=coldest,
                hottest=hottest,
                pressure_pa=curve.pressure_pa / 1000.0,
            ),
            f"{float(wanted.min() if (wanted < coldest).any() else wanted.max()):g} °C",
            "Stop between the two, or say at which pressure",
        )
    falling = _falls_to(
        lambda parts: array(
            boiling_of_spirit_c(LEAST_LEFT + (strongest - LEAST_LEFT) * parts / LAST_SHARE, curve)
        ),
        wanted,
    )
    return cast(N, like_given(LEAST_LEFT + (strongest - LEAST_LEFT) * falling / LAST_SHARE))


def residue_at_drip(drip_mass_fraction_wanted: N | float, curve: StillCurve) -> N:
    """Strength of the liquid whose vapour has a strength.

    Parameters
    ----------
    drip_mass_fraction_wanted : float or array
        Ethanol by mass in what drips [1].
    curve : StillCurve
        Of the still, with its pressure [-].

    Returns
    -------
    float or array
        Ethanol by mass in the liquid [1].

    Raises
    ------
    OutsideModel
        A simple still never drips that strong.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> still = spirit_still()
    >>> residue = residue_at_drip(mass_fraction_from_mole_fraction(0.733, still.model), still)
    >>> mole_fraction_from_mass_fraction(residue, still.model)  # beebe-1942, second-hand
    0.663

    References
    ----------
    ethanol-water-nrtl-vle-ig
    """
    wanted = array(drip_mass_fraction_wanted)
    strongest = curve.azeotrope_mass_fraction * (1.0 - LEAST_LEFT)
    _refuse_never(wanted, array(drip_mass_fraction(strongest, curve)), "the drip")
    falling = _falls_to(
        lambda parts: (
            -array(drip_mass_fraction(LEAST_LEFT + (strongest - LEAST_LEFT) * parts / LAST_SHARE, curve))
        ),
        -wanted,
    )
    return cast(N, like_given(LEAST_LEFT + (strongest - LEAST_LEFT) * falling / LAST_SHARE))


def _falls_to(falling: Callable[[Floats], Floats], wanted: Floats) -> Floats:
    """Where on 0 to ``LAST_SHARE`` a falling curve meets a value, the nearer end where it does not (chandrupatla-1997).

    Between two places on either side, by the inverse parabola through the last three where that is safe, else half way.
    """
    new, other = np.full(wanted.shape, LAST_SHARE), np.zeros(wanted.shape)
    at_new, at_other = falling(new) - wanted, falling(other) - wanted
    done = (at_new >= 0.0) | (at_other <= 0.0)
    ends = np.where(at_new >= 0.0, new, other)
    third, at_third, part = other, at_other, np.full(wanted.shape, 0.5)
    for _ in range(ROUNDS):
        place = new + part * (other - new)
        at_place = falling(place) - wanted
        same = np.sign(at_place) == np.sign(at_new)
        third, at_third = np.where(same, new, other), np.where(same, at_new, at_other)
        other, at_other = np.where(same, other, new), np.where(same, at_other, at_new)
        new, at_new = place, at_place
        width = np.abs(other - new)
        if ((width <= CLOSE) | (at_new == 0.0) | done).all():
            break
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            along, down = (new - other) / (third - other), (at_new - at_other) / (at_third - at_other)
            safe = (down**2 < along) & ((1.0 - down) ** 2 < 1.0 - along)
            parabola = at_new / (at_other - at_new) * at_third / (at_other - at_third) + (third - new) / (
                other - new
            ) * at_new / (at_third - at_new) * at_other / (at_third - at_other)
            least = np.minimum(0.5 * CLOSE / np.maximum(width, CLOSE), 0.5)
        part = np.clip(np.where(safe, parabola, 0.5), least, 1.0 - least)
    best = np.where(np.abs(at_new) <= np.abs(at_other), new, other)
    return np.where(done, ends, best)


def _refuse_never(wanted: Floats, most: Floats, what: str) -> None:
    if (wanted > most).any():
        raise OutsideModel(
            worded(
                "In a simple still {what} is at most {min:.1f} % ethanol by mass",
                what=Phrase(what),
                min=100.0 * float(most.min()),
            ),
            f"{100.0 * float(wanted.max()):.1f} %",
            "Ask for less, or begin with stronger spirit",
        )
