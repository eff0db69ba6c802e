"""The Soxhlet: a thimble that fills, empties itself and fills again; when to stop it.

Each siphoning leaves a heel behind, so the washable matter falls by the same ratio every time; a slow rest
inside the plant leaves with time, not with siphonings. A clear return proves only the first. A watery spirit
boils off stronger than it was poured: the thimble is washed by that vapour. The split leaves out what is
dissolved and what is lost to the room.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from stillroom.errors import BadEntry, NotEnough, OutsideModel, worded
from stillroom.science.arrays import (
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)
from stillroom.science.extraction.uptake import share_not_yet_out
from stillroom.science.liquids.boiling import (
    BoilingModel,
    mass_fraction_from_mole_fraction,
    mole_fraction_from_mass_fraction,
    vapour_mole_fraction,
)
from stillroom.science.liquids.density import DensityTable, density_kg_m3

FEWEST_RESIDUES = 3


@dataclass(frozen=True, slots=True)
class SoxhletTail:
    """What the last siphonings say of the rest."""

    ratio: float
    """By which the residue falls from one siphoning to the next. [1]"""
    remaining_mass_mg: float
    """What further siphonings would still bring. [mg]"""
    remaining_share: float
    """That, of all that can be washed out. [1]"""
    more_cycles: int
    """Siphonings until no more than the wanted share remains. [1]"""
    more_minutes: float
    """The time they take. [min]"""


@dataclass(frozen=True, slots=True)
class SoxhletSplit:
    """Strengths by mass in a running Soxhlet: flask, thimble, and the first vapour of what was poured."""

    flask_mass_fraction: float
    thimble_mass_fraction: float
    first_vapour_mass_fraction: float


def siphon_ratio(siphon_ml: N | float, heel_ml: N | float, sorption_ml: N | float = 0.0) -> N:
    """By which the washable matter falls at each siphoning.

    Parameters
    ----------
    siphon_ml : float or array
        Liquid in the extractor when it siphons [mL].
    heel_ml : float or array
        Liquid that stays in bed and crest [mL].
    sorption_ml : float or array
        Hold of the plant, as liquid that would hold as much [mL].

    Returns
    -------
    float or array
        Ratio, 0 to below 1 [1].

    Raises
    ------
    BadEntry
        When a volume is out of range.
    NotEnough
        When the heel is all that fits.

    Notes
    -----
    r = (V_heel + K') / (V_siphon + K').

    Examples
    --------
    >>> siphon_ratio(80.0, 20.0)
    0.25

    References
    ----------
    extraction-practice
    """
    full, heel, sorption = array(siphon_ml), array(heel_ml), array(sorption_ml)
    refuse_not_positive("The liquid at siphoning", full, "mL")
    refuse_negative("The heel", heel, "mL")
    refuse_negative("The adsorption on the plant", sorption, "mL")
    if (heel >= full).any():
        must = "The extractor must empty more than it keeps"
        raise NotEnough(must, "a heel as large as the siphon", "Measure both volumes with water")
    return cast(N, like_given(np.asarray((heel + sorption) / (full + sorption))))


def siphonings_needed(left_share: float, ratio: float) -> float:
    """Siphonings until only a wanted share of the washable matter is left, before rounding up.

    Parameters
    ----------
    left_share : float
        Share that may stay, above 0 and below 1 [1].
    ratio : float
        Fall at each siphoning, above 0 and below 1 [1].

    Returns
    -------
    float
        Number of siphonings [1].

    Raises
    ------
    OutsideModel
        When the share or the ratio lies outside its range.

    Examples
    --------
    >>> siphonings_needed(0.01, 0.1)
    2.0

    References
    ----------
    extraction-practice
    """
    for name, figure in (("The share that may stay", left_share), ("The ratio", ratio)):
        refuse_outside(name, array(figure), 1e-9, 1.0 - 1e-9, "1", source="extraction-practice")
    return math.log(left_share) / math.log(ratio)


def left_in_thimble_share(
    cycles: N | float, ratio: N | float, cycle_min: N | float, washed_share: N | float, slow_min: N | float
) -> N:
    """Share of what is within reach that is still in the thimble.

    Parameters
    ----------
    cycles : float or array
        Siphonings so far [1].
    ratio : float or array
        Fall of the washable share at each siphoning [1].
    cycle_min : float or array
        Time of one cycle [min].
    washed_share : float or array
        Share that can be washed out at once [1].
    slow_min : float or array
        Time in which all but 1/e of the slow rest has left [min].

    Returns
    -------
    float or array
        Share still inside, 0 to 1 [1].

    Raises
    ------
    BadEntry, OutsideModel
        When a figure is out of range.

    Notes
    -----
    left = F r^n + (1 - F) exp(-n t_cycle / slow).

    Examples
    --------
    >>> left_in_thimble_share(2.0, 0.25, 15.0, 1.0, 600.0)
    0.0625

    References
    ----------
    extraction-practice
    """
    number, fall, washed = array(cycles), array(ratio), array(washed_share)
    refuse_negative("The number of siphonings", number, "1")
    refuse_outside("The ratio", fall, 0.0, 1.0, "1", source="extraction-practice")
    slow = array(share_not_yet_out(number * array(cycle_min), 0.0, 0.0, array(slow_min)))
    refuse_outside("The washed share", washed, 0.0, 1.0, "1", source="extraction-practice")
    return cast(N, like_given(np.asarray(washed * fall**number + (1.0 - washed) * slow)))


def soxhlet_tail(
    residues_mg: Sequence[float], collected_g: float, cycle_min: float, target_remaining_share: float
) -> SoxhletTail:
    """What the dry residues of the last siphonings say: how much is left, how many more siphonings.

    Parameters
    ----------
    residues_mg : sequence of float
        Dry residue of each of the last siphonings, in order, at least three [mg].
    collected_g : float
        Collected so far, these siphonings included [g].
    cycle_min : float
        Time of one cycle [min].
    target_remaining_share : float
        Share of all that can be washed out that may remain [1].

    Returns
    -------
    SoxhletTail
        Ratio, what remains, further siphonings and minutes [record].

    Raises
    ------
    NotEnough
        When fewer than three residues are given.
    BadEntry
        When a residue, the collected mass or the time is not above zero.
    OutsideModel
        When the residues do not fall, or the target is out of range.

    Notes
    -----
    A straight line through the logarithms of the residues gives r; what remains is the fitted last residue
    times r / (1 - r). It says nothing of a slow rest, which leaves with time.

    Examples
    --------
    >>> soxhlet_tail([400.0, 200.0, 100.0], 10.0, 15.0, 0.005).remaining_mass_mg
    100.0

    References
    ----------
    extraction-practice
    """
    residues = array(residues_mg)
    if residues.size < FEWEST_RESIDUES:
        must = f"A tail needs the residues of at least {FEWEST_RESIDUES} siphonings in a row"
        raise NotEnough(must, str(residues.size), "Dry and weigh the next one too")
    refuse_not_positive("Each residue", residues, "mg")
    refuse_not_positive("What was collected", array(collected_g), "g")
    refuse_not_positive("The time of a cycle", array(cycle_min), "min")
    target = array(target_remaining_share)
    refuse_outside("The share that may remain", target, 1e-6, 0.5, "1", source="extraction-practice")
    if residues.sum() > 1000.0 * collected_g:
        raise BadEntry("What was collected includes these residues", f"{collected_g:g} g", "Check the masses")
    numbers = np.arange(residues.size, dtype=np.float64)
    middle, logs = numbers - numbers.mean(), np.log(residues)
    slope = float((middle * logs).sum() / (middle * middle).sum())
    if slope >= 0.0:
        must = "The residues must fall from one siphoning to the next"
        raise OutsideModel(must, "residues that do not", "Go on, and weigh again")
    ratio = math.exp(slope)
    last = math.exp(float(logs.mean()) + slope * float(middle[-1]))
    remaining_mg = last * ratio / (1.0 - ratio)
    whole_mg = 1000.0 * collected_g + remaining_mg
    share = remaining_mg / whole_mg
    further = 0.0 if share <= target_remaining_share else math.log(target_remaining_share / share) / slope
    more = math.ceil(further - 1e-9)
    return SoxhletTail(ratio, remaining_mg, share, more, more * cycle_min)


def soxhlet_split(
    poured_mass_g: float,
    poured_mass_fraction: float,
    held_ml: float,
    table: DensityTable,
    model: BoilingModel,
    pressure_pa: float = 101325.0,
) -> SoxhletSplit:
    """Strengths in flask and thimble once condensate stands in the extractor.

    Parameters
    ----------
    poured_mass_g : float
        Spirit poured in [g].
    poured_mass_fraction : float
        Its strength by mass [1].
    held_ml : float
        Condensate in the extractor, at 20 °C [mL].
    table : DensityTable
        Density of spirit [-].
    model : BoilingModel
        Boiling of spirit [-].
    pressure_pa : float
        Pressure of the air [Pa].

    Returns
    -------
    SoxhletSplit
        Strengths by mass [1].

    Raises
    ------
    NotEnough
        When the extractor holds more than was poured.
    OutsideModel
        Outside the models' ranges.

    Notes
    -----
    The extractor holds condensate of the vapour over the flask: m p = (m - h) x + h y(x), solved by halving.

    Examples
    --------
    >>> from stillroom.substances.spirits import ethanol_water_boiling, oiml_r22
    >>> soxhlet_split(250.0, 0.50, 0.0, oiml_r22(), ethanol_water_boiling()).flask_mass_fraction
    0.5

    References
    ----------
    ethanol-water-nrtl-vle-ig, oiml-r22-1975
    """

    def vapour(fraction: float) -> float:
        moles = mole_fraction_from_mass_fraction(fraction, model)
        return float(mass_fraction_from_mole_fraction(vapour_mole_fraction(moles, pressure_pa, model), model))

    def held_g(strength: float) -> float:
        return held_ml * float(density_kg_m3(strength, 20.0, table)) / 1000.0

    low, high = 1e-9, poured_mass_fraction
    if held_g(vapour(high)) >= poured_mass_g:
        got = worded("{poured_mass_g:g} g for {held_ml:g} mL", poured_mass_g=poured_mass_g, held_ml=held_ml)
        raise NotEnough("More must be poured than the extractor holds", got, "Pour more")
    for _ in range(60):
        flask = 0.5 * (low + high)
        above = vapour(flask)
        caught_g = held_g(above)
        found = ((poured_mass_g - caught_g) * flask + caught_g * above) / poured_mass_g
        low, high = (flask, high) if found < poured_mass_fraction else (low, flask)
    return SoxhletSplit(flask, vapour(flask), vapour(poured_mass_fraction))


def condensate_ml_per_min(
    power_w: N | float,
    efficiency: N | float,
    lost_w: N | float,
    latent_j_g: N | float,
    density_g_ml: N | float,
) -> N:
    """How fast condensate drips into the thimble.

    Parameters
    ----------
    power_w : float or array
        Electric power of the heater [W].
    efficiency : float or array
        Share of the power that reaches the liquid [1].
    lost_w : float or array
        Lost from flask and arm before the condenser [W].
    latent_j_g : float or array
        Latent heat of the vapour [J/g].
    density_g_ml : float or array
        Density of the condensate at 20 °C [g/mL].

    Returns
    -------
    float or array
        Condensate [mL/min].

    Raises
    ------
    BadEntry
        When a figure is out of range.
    NotEnough
        When no heat is left for boiling.

    Examples
    --------
    >>> condensate_ml_per_min(150.0, 0.6, 10.0, 1000.0, 0.8)
    6.0

    References
    ----------
    extraction-practice
    """
    power, share, lost = array(power_w), array(efficiency), array(lost_w)
    latent, density = array(latent_j_g), array(density_g_ml)
    refuse_not_positive("The power", power, "W")
    refuse_not_positive("The share that reaches the liquid", share, "1")
    refuse_negative("The heat lost", lost, "W")
    refuse_not_positive("The latent heat", latent, "J/g")
    refuse_not_positive("The density", density, "g/mL")
    net = power * share - lost
    if not (net > 0).all():
        raise NotEnough(
            "Heat must be left for boiling", f"{float(net.min()):.3g} W", "Heat more, or lag the arm"
        )
    return cast(N, like_given(np.asarray(60.0 * net / latent / density)))
