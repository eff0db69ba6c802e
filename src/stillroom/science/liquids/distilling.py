"""Simple distillation of spirit: how much comes over, how strong, and how much of the ethanol it carries.

One still, no column, no reflux: the vapour leaves as it rises. What stays behind follows Rayleigh's balance.
Promises that mass and ethanol close; leaves out losses to the room (a named loss of the step) and dissolved
extract. The boiling is worked once per pressure into a curve; after that thousands of draws take
milliseconds.
"""

from dataclasses import dataclass
from typing import Generic, cast

import numpy as np

from stillroom.errors import OutsideModel
from stillroom.science.arrays import Floats, N, array, like_given, refuse_not_positive, refuse_outside
from stillroom.science.liquids.boiling import (
    BoilingModel,
    azeotrope_mole_fraction,
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
    vapour_mole_fraction,
)

WEAKEST, STRONGEST, POINTS = -22.0, 9.0, 3101


@dataclass(frozen=True, slots=True, eq=False)
class StillCurve:
    """Rayleigh's integral at one pressure, on an even grid of ``u = ln(p / (p_azeotrope - p))``.

    ``log_mass`` is the integral of dp/(y - p): the logarithm of the liquid left falls by its difference; that of the
    ethanol left falls by the difference of ``log_ethanol``. ``grid`` holds the places u.
    """

    pressure_pa: float
    azeotrope_mass_fraction: float
    first_u: float
    step_u: float
    grid: Floats
    log_mass: Floats
    log_mass_slope: Floats
    log_ethanol: Floats
    model: BoilingModel


@dataclass(frozen=True, slots=True)
class Distilled(Generic[N]):
    """What came over and what stayed."""

    distillate_mass_g: N
    distillate_mass_fraction: N
    residue_mass_g: N
    residue_mass_fraction: N
    ethanol_share: N
    first_vapour_mass_fraction: N


def still_curve(pressure_pa: float, model: BoilingModel) -> StillCurve:
    """Work Rayleigh's integral once for a pressure.

    Parameters
    ----------
    pressure_pa : float
        Pressure over the still [Pa].
    model : BoilingModel
        Boiling of ethanol-water [-].

    Returns
    -------
    StillCurve
        The curve every distillation at that pressure uses.

    Raises
    ------
    OutsideModel
        Outside the model's pressures.

    Notes
    -----
    d ln W / dp = 1 / (y - p), by mass. With u = ln(p/(a - p)) the integrand p (a - p) / (a (y - p)) stays
    smooth both at water and at the azeotrope a; Simpson's rule on half steps.

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling
    >>> still_curve(101325.0, ethanol_water_boiling()).azeotrope_mass_fraction  # azeotrope-1916, second-hand
    0.956

    References
    ----------
    rayleigh-1902, ethanol-water-nrtl-vle-ig
    """
    in_moles = azeotrope_mole_fraction(pressure_pa, model)
    azeotrope: float = mass_fraction_from_mole_fraction(in_moles, model)
    fine = np.linspace(WEAKEST, STRONGEST, 2 * POINTS - 1)
    liquid = azeotrope / (1.0 + np.exp(-fine))
    in_liquid = array(mole_fraction_from_mass_fraction(liquid, model))
    in_vapour = array(vapour_mole_fraction(in_liquid, pressure_pa, model))
    vapour = array(mass_fraction_from_mole_fraction(in_vapour, model))
    slope = liquid * (azeotrope - liquid) / (azeotrope * (vapour - liquid))
    step = float(fine[2] - fine[0])
    pieces = step / 6.0 * (slope[:-2:2] + 4.0 * slope[1:-1:2] + slope[2::2])
    log_mass = np.concatenate(([0.0], np.cumsum(pieces)))
    grid = WEAKEST + step * np.arange(POINTS, dtype=np.float64)
    log_ethanol = log_mass + np.log(azeotrope / (1.0 + np.exp(-grid)))
    slopes = slope[::2].copy()
    return StillCurve(pressure_pa, azeotrope, WEAKEST, step, grid, log_mass, slopes, log_ethanol, model)


def distil_to_share(
    start_mass_g: N | float, start_mass_fraction: N | float, ethanol_share: N | float, curve: StillCurve
) -> Distilled[N]:
    """Distil until a wanted share of the ethanol has come over.

    Parameters
    ----------
    start_mass_g : float or array
        Ethanol and water in the still [g].
    start_mass_fraction : float or array
        Ethanol by mass in the still [1].
    ethanol_share : float or array
        Share of the ethanol to be brought over, 0 to 0.9999 [1].
    curve : StillCurve
        Rayleigh's integral at the still's pressure [-].

    Returns
    -------
    Distilled
        Distillate and residue.

    Raises
    ------
    OutsideModel
        When the spirit is at or above the azeotrope, or the share is outside its range.
    BadEntry
        When the mass is not above zero.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> distil_to_share(1000.0, 0.30, 0.90, spirit_still()).ethanol_share
    0.9

    References
    ----------
    rayleigh-1902
    """
    mass, start, share = np.broadcast_arrays(
        array(start_mass_g), array(start_mass_fraction), array(ethanol_share)
    )
    at = _started(mass, start, curve)
    refuse_outside("The share of the ethanol", share, 0.0, 0.9999, "1", source="rayleigh-1902")
    wanted = _log_mass(at, curve) + np.log(start) + np.log1p(-share)
    end = _solve_log_ethanol(wanted, curve)
    return _distilled(mass, start, end, curve)


def distil_to_residue(
    start_mass_g: N | float,
    start_mass_fraction: N | float,
    residue_mass_fraction: N | float,
    curve: StillCurve,
) -> Distilled[N]:
    """Distil until the liquid left in the still is down to a strength.

    Parameters
    ----------
    start_mass_g : float or array
        Ethanol and water in the still [g].
    start_mass_fraction : float or array
        Ethanol by mass in the still [1].
    residue_mass_fraction : float or array
        Ethanol by mass in what stays, above 0 [1].
    curve : StillCurve
        Rayleigh's integral at the still's pressure [-].

    Returns
    -------
    Distilled
        Distillate and residue.

    Raises
    ------
    OutsideModel
        When the spirit is at or above the azeotrope, or the residue would be stronger than the start.
    BadEntry
        When the mass is not above zero.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> left_g = distil_to_residue(2306.5, 0.35952, 0.14032, spirit_still()).residue_mass_g
    >>> left_g / 19.70  # a handbook of distillation (100 mol of 18 mol% to 70.0 of 6 mol%), second-hand
    70.

    References
    ----------
    rayleigh-1902
    """
    given = array(start_mass_g), array(start_mass_fraction), array(residue_mass_fraction)
    mass, start, residue = np.broadcast_arrays(*given)
    _started(mass, start, curve)
    refuse_outside("The strength of what stays", residue, 1e-6, 1.0, "1", source="rayleigh-1902")
    if (residue > start).any():
        raise OutsideModel(
            "What stays in a simple still gets weaker", "a stronger residue", "Name a weaker one"
        )
    return _distilled(mass, start, _place(residue, curve), curve)


def distil_to_mass(
    start_mass_g: N | float, start_mass_fraction: N | float, distillate_mass_g: N | float, curve: StillCurve
) -> Distilled[N]:
    """Distil until a wanted mass has come over.

    Parameters
    ----------
    start_mass_g : float or array
        Ethanol and water in the still [g].
    start_mass_fraction : float or array
        Ethanol by mass in the still [1].
    distillate_mass_g : float or array
        Mass to be brought over, at most 99 % of the start [g].
    curve : StillCurve
        Rayleigh's integral at the still's pressure [-].

    Returns
    -------
    Distilled
        Distillate and residue.

    Raises
    ------
    OutsideModel
        When the spirit is at or above the azeotrope, the still would run dry, or no ethanol is left before
        the end.
    BadEntry
        When the mass in the still is not above zero.

    Examples
    --------
    >>> from stillroom.substances.spirits import spirit_still
    >>> distil_to_mass(1000.0, 0.30, 400.0, spirit_still()).residue_mass_g
    600.0

    References
    ----------
    rayleigh-1902
    """
    mass, start, over = np.broadcast_arrays(
        array(start_mass_g), array(start_mass_fraction), array(distillate_mass_g)
    )
    at = _started(mass, start, curve)
    do = "Never to dryness: leave liquid in the still"
    refuse_outside("Distillate per start mass", over / mass, 0.0, 0.99, "1", source="rayleigh-1902", do=do)
    wanted = _log_mass(at, curve) + np.log1p(-over / mass)
    if (wanted < curve.log_mass[0]).any():
        raise OutsideModel("Ethanol must be left in the still", "a cut after the last of it", "Cut earlier")
    return _distilled(mass, start, _solve_log_mass(wanted, curve), curve)


def _started(mass: Floats, start: Floats, curve: StillCurve) -> Floats:
    refuse_not_positive("The mass in the still", mass, "g")
    strongest = curve.azeotrope_mass_fraction * (1.0 - 2.0 * np.exp(-STRONGEST))
    do = "A simple still cannot strengthen it further: it distils unchanged"
    source = curve.model.source
    refuse_outside("Ethanol by mass in the still", start, 1e-6, float(strongest), "1", source=source, do=do)
    return _place(start, curve)


def _distilled(mass: Floats, start: Floats, end: Floats, curve: StillCurve) -> Distilled[N]:
    at = _place(start, curve)
    residue = mass * np.exp(np.minimum(_log_mass(end, curve) - _log_mass(at, curve), 0.0))
    fraction = np.minimum(_fraction(end, curve), start)
    over = mass - residue
    ethanol_over = mass * start - residue * fraction
    first = _vapour(start, curve)
    mean = np.divide(ethanol_over, over, out=first.copy(), where=over > 1e-9 * mass)
    return Distilled(
        distillate_mass_g=cast(N, like_given(over)),
        distillate_mass_fraction=cast(N, like_given(mean)),
        residue_mass_g=cast(N, like_given(residue)),
        residue_mass_fraction=cast(N, like_given(fraction)),
        ethanol_share=cast(N, like_given(ethanol_over / (mass * start))),
        first_vapour_mass_fraction=cast(N, like_given(first)),
    )


def _vapour(fraction: Floats, curve: StillCurve) -> Floats:
    """Strength of the vapour, from the curve: d ln W / dp = 1 / (y - p)."""
    azeotrope = curve.azeotrope_mass_fraction
    return np.asarray(
        fraction + fraction * (azeotrope - fraction) / (azeotrope * _slope(_place(fraction, curve), curve))
    )


def _place(fraction: Floats, curve: StillCurve) -> Floats:
    return np.asarray(np.log(fraction / (curve.azeotrope_mass_fraction - fraction)))


def _fraction(u: Floats, curve: StillCurve) -> Floats:
    return np.asarray(curve.azeotrope_mass_fraction / (1.0 + np.exp(-u)))


def _cell(u: Floats, curve: StillCurve) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.intp]], Floats]:
    along = (u - curve.first_u) / curve.step_u
    cell = np.minimum(np.maximum(along.astype(np.intp), 0), curve.log_mass.size - 2)
    return cell, along - cell


def _log_mass(u: Floats, curve: StillCurve) -> Floats:
    """Cubic between grid points, with the known slopes."""
    cell, part = _cell(u, curve)
    here, there = curve.log_mass[cell], curve.log_mass[cell + 1]
    leaving, arriving = (
        curve.log_mass_slope[cell] * curve.step_u,
        curve.log_mass_slope[cell + 1] * curve.step_u,
    )
    rest = 1.0 - part
    return np.asarray(
        here * (1.0 + 2.0 * part) * rest**2
        + there * part**2 * (3.0 - 2.0 * part)
        + part * rest * (leaving * rest - arriving * part)
    )


def _slope(u: Floats, curve: StillCurve) -> Floats:
    cell, part = _cell(u, curve)
    return np.asarray(curve.log_mass_slope[cell] * (1.0 - part) + curve.log_mass_slope[cell + 1] * part)


def _solve_log_mass(wanted: Floats, curve: StillCurve) -> Floats:
    u = np.asarray(np.interp(wanted, curve.log_mass, curve.grid))
    for _ in range(4):
        u = np.asarray(u - (_log_mass(u, curve) - wanted) / _slope(u, curve))
    return u


def _solve_log_ethanol(wanted: Floats, curve: StillCurve) -> Floats:
    u = np.asarray(np.interp(wanted, curve.log_ethanol, curve.grid))
    for _ in range(4):
        fraction = _fraction(u, curve)
        excess = _log_mass(u, curve) + np.log(fraction) - wanted
        steepness = _slope(u, curve) + 1.0 - fraction / curve.azeotrope_mass_fraction
        u = np.asarray(u - excess / steepness)
    return u
