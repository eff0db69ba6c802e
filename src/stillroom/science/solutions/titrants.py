"""Titrants: strength from a weighed primary standard, by volume or by weight, its spread, its drift, its life.

Promises the stoichiometry and the statistics. The end point is assumed to be right; a standard that was not dry makes
the titrant look weaker, and nothing here can see it.
"""

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import ArrayLike

from stillroom.errors import BadEntry
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import (
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)

BASE_TEMPERATURE_C = 20.0


@dataclass(frozen=True, slots=True)
class Drift:
    """A straight line through factors found on different days."""

    slope_per_d: float
    """Change of the factor in a day [1/d]."""
    standard_uncertainty_per_d: float
    """Of the slope, from the scatter about the line; not a number with two factors [1/d]."""
    degrees_of_freedom: int
    """Factors less two [1]."""


@formula("standard-amount")
def standard_amount_mmol(
    standard_mass_g: N | float,
    content_fraction: N | float,
    molar_mass_g_mol: N | float,
    equivalents: N | float,
) -> N:
    """Titrant, in millimoles of one equivalent, that a weighed primary standard takes.

    Parameters
    ----------
    standard_mass_g : float or array
        Standard weighed in [g].
    content_fraction : float or array
        Content of the standard by its certificate [1].
    molar_mass_g_mol : float or array
        Of the standard [g/mol].
    equivalents : float or array
        Protons a molecule of it gives or takes at the end point used [1].

    Returns
    -------
    float or array
        Amount [mmol].

    Raises
    ------
    BadEntry
        When a figure is not above zero.
    OutsideModel
        When the content is not between 0.5 and 1.01.

    Examples
    --------
    >>> standard_amount_mmol(0.0530, 1.0, 105.99, 2.0)  # ph-eur-primary-standards, from-memory
    1.000

    References
    ----------
    ph-eur-primary-standards
    """
    mass, content = array(standard_mass_g), array(content_fraction)
    molar_mass, number = array(molar_mass_g_mol), array(equivalents)
    refuse_not_positive("The standard", mass, "g")
    refuse_not_positive("The molar mass", molar_mass, "g/mol")
    refuse_not_positive("The equivalents", number, "1")
    refuse_outside("The content of the standard", content, 0.5, 1.01, "1", source="its certificate")
    return cast(N, like_given(np.asarray(1000.0 * mass * content * number / molar_mass)))


def volume_at_20c_ml(
    read_volume_ml: N | float,
    temperature_c: N | float,
    density_g_ml: N | float,
    density_20c_g_ml: N | float,
    cubic_expansion_per_k: N | float,
) -> N:
    """Volume a solution would have at 20 °C, read in glass that was marked at 20 °C.

    Parameters
    ----------
    read_volume_ml : float or array
        Read off the burette [mL].
    temperature_c : float or array
        Of solution and burette [°C].
    density_g_ml : float or array
        Of the solution at that temperature [g/mL].
    density_20c_g_ml : float or array
        Of the solution at 20 °C [g/mL].
    cubic_expansion_per_k : float or array
        Of the burette's material [1/K].

    Returns
    -------
    float or array
        Volume at 20 °C [mL].

    Raises
    ------
    BadEntry
        When the volume is negative or a density not above zero.
    OutsideModel
        When the temperature is not between 5 and 45 °C.

    Examples
    --------
    >>> volume_at_20c_ml(1000.0, 30.0, 0.99565, 0.99820, 9.9e-6)
    997.5

    References
    ----------
    iso-4787
    """
    volume, temperature = array(read_volume_ml), array(temperature_c)
    warm, cool = array(density_g_ml), array(density_20c_g_ml)
    refuse_negative("The volume", volume, "mL")
    refuse_outside("The temperature", temperature, 5.0, 45.0, "°C", source="a bench")
    refuse_not_positive("The density", warm, "g/mL")
    refuse_not_positive("The density", cool, "g/mL")
    glass = 1.0 + array(cubic_expansion_per_k) * (temperature - BASE_TEMPERATURE_C)
    return cast(N, like_given(np.asarray(volume * glass * warm / cool)))


@formula("titrant-strength")
def titrant_strength(amount_mmol: N | float, titre: N | float, blank: N | float) -> N:
    """Strength of a titrant: mol/L from a titre in mL, mol/kg from one in g.

    Parameters
    ----------
    amount_mmol : float or array
        What the standard takes [mmol].
    titre : float or array
        Titrant used [mL or g].
    blank : float or array
        Titrant used without the standard [mL or g].

    Returns
    -------
    float or array
        Strength [mol/L or mol/kg].

    Raises
    ------
    BadEntry
        When the amount is not above zero, the blank is negative, or the titre not above the blank.

    Examples
    --------
    >>> amount_mmol = standard_amount_mmol(0.3888, 1.0, 204.2212, 1.0)
    >>> titrant_strength(amount_mmol, 18.64, 0.0)  # quam-2012, A2, page-opened
    0.10214

    References
    ----------
    ph-eur-primary-standards
    """
    amount, used, empty = array(amount_mmol), array(titre), array(blank)
    refuse_not_positive("The standard", amount, "mmol")
    refuse_negative("The blank", empty, "mL or g")
    refuse_not_positive("The titre less the blank", used - empty, "mL or g")
    return cast(N, like_given(np.asarray(amount / (used - empty))))


def relative_spread(replicates: ArrayLike) -> float:
    """Relative standard deviation of replicates.

    Parameters
    ----------
    replicates : array
        Factors or strengths found one after the other [-].

    Returns
    -------
    float
        Standard deviation of one over their mean [1].

    Raises
    ------
    BadEntry
        When there are fewer than two, or one is not above zero.

    Examples
    --------
    >>> readings = [5.007, 4.994, 5.005, 4.990, 4.999]
    >>> 4.9990 * relative_spread(readings) / 5**0.5  # jcgm-100, H.2, second-hand
    0.0032
    """
    values = array(replicates)
    if values.ndim != 1 or values.size < 2:
        raise BadEntry("A spread needs at least two replicates", f"{values.size}", "Titrate once more")
    refuse_not_positive("A factor", values, "1")
    return float(values.std(ddof=1) / values.mean())


def drift_of(days: ArrayLike, factors: ArrayLike) -> Drift:
    """How a factor moves with time: least squares through factors of different days.

    Parameters
    ----------
    days : array
        When each was found [d].
    factors : array
        Factors [1].

    Returns
    -------
    Drift
        Slope with its standard uncertainty [1/d].

    Raises
    ------
    BadEntry
        When there are fewer than two days, or as many of the one as not of the other.

    Examples
    --------
    >>> found = drift_of([0.0, 0.1, 0.2, 0.3, 0.4, 0.5], [0.0, 12.36, 24.83, 35.91, 48.79, 60.42])
    >>> found.slope_per_d  # Harvey, Modern analytical chemistry, 2000, page 120, second-hand
    120.706
    """
    when, found = array(days), array(factors)
    if when.shape != found.shape or when.ndim != 1 or np.unique(when).size < 2:
        raise BadEntry(
            "A drift needs factors of at least two days", f"{np.unique(when).size}", "Set the factor again"
        )
    centred = when - when.mean()
    spread = float((centred**2).sum())
    slope = float((centred * found).sum()) / spread
    free = int(when.size) - 2
    left = found - found.mean() - slope * centred
    uncertainty = float(np.sqrt((left**2).sum() / free / spread)) if free > 0 else float("nan")
    return Drift(slope, uncertainty, free)


@formula("life-when-warmer")
def life_at_d(
    life_d: N | float, stated_at_c: N | float, temperature_c: N | float, factor_per_10k: N | float
) -> N:
    """How long a solution keeps in a warmer room, by a rule of thumb.

    Parameters
    ----------
    life_d : float or array
        How long it keeps at the temperature it is stated for [d].
    stated_at_c : float or array
        That temperature [°C].
    temperature_c : float or array
        Of the room [°C].
    factor_per_10k : float or array
        How many times faster it spoils in a room ten kelvin warmer [1].

    Returns
    -------
    float or array
        Life, never longer than stated [d].

    Raises
    ------
    BadEntry
        When the life is negative or the factor not above zero.

    Notes
    -----
    L = L0 f^(-(T - T0)/10) above T0; a cooler room is not credited. The solution's own log replaces it.

    Examples
    --------
    >>> life_at_d(30.0, 20.0, 30.0, 2.0)
    15.0

    References
    ----------
    common-practice
    """
    life, factor = array(life_d), array(factor_per_10k)
    refuse_negative("The life", life, "d")
    refuse_not_positive("The factor", factor, "1")
    warmer = np.maximum(array(temperature_c) - array(stated_at_c), 0.0)
    return cast(N, like_given(np.asarray(life * factor ** (-warmer / 10.0))))
