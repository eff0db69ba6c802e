"""Strength of a solution of one substance in water: by mass, by volume, in moles, through its density.

Promises a monotone curve through the printed densities at the temperature of the table. Never reads beyond the
printed rows, nor across a gap wider than the table allows. Says nothing about any other temperature: volumes are those
at the table's.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import cast

import numpy as np

from stillroom.errors import OutsideModel, worded
from stillroom.science.arrays import Floats, N, array, like_given, refuse_negative, refuse_not_positive

HALVINGS = 60


@dataclass(frozen=True, slots=True)
class SolutionDensities:
    """Printed densities of one substance in water."""

    solute: str
    solute_mass_fractions: tuple[float, ...]
    """Rising [1]."""
    densities_g_ml: tuple[float, ...]
    """One for each [g/mL]."""
    temperature_c: float
    """Of the table [°C]."""
    widest_gap_fraction: float
    """Two rows further apart than this are not joined [1]."""
    source: str

    @property
    def stretches(self) -> tuple[tuple[int, int], ...]:
        """First and last row of each stretch that has no gap too wide."""
        shares = self.solute_mass_fractions
        begins = [0] + [
            at for at in range(1, len(shares)) if shares[at] - shares[at - 1] > self.widest_gap_fraction
        ]
        return tuple(zip(begins, [*(at - 1 for at in begins[1:]), len(shares) - 1], strict=True))

    def reach(self) -> str:
        """The ranges the table covers, in words."""
        shares = self.solute_mass_fractions
        parts = [
            f"{100 * shares[a]:g} to {100 * shares[b]:g} %" if a < b else f"{100 * shares[a]:g} %"
            for a, b in self.stretches
        ]
        return " and at ".join(parts)


def solution_density_g_ml(solute_mass_fraction: N | float, densities: SolutionDensities) -> N:
    """Density of a solution at the temperature of its table.

    Parameters
    ----------
    solute_mass_fraction : float or array
        Substance by mass of the solution [1].
    densities : SolutionDensities
        Printed rows [-].

    Returns
    -------
    float or array
        Density [g/mL].

    Raises
    ------
    OutsideModel
        Beyond the printed rows, or in a gap of them.

    Notes
    -----
    Piecewise cubic with the slopes of Fritsch and Carlson (PCHIP): it keeps every rise and fall of the rows and adds
    none.

    Examples
    --------
    >>> from stillroom.substances.acids import densities_of
    >>> solution_density_g_ml(0.10, densities_of("acetic acid"))  # crc-102, second-hand
    1.0121

    References
    ----------
    crc-102, perry-density
    """
    share = array(solute_mass_fraction)
    _refuse_outside(share, densities)
    return cast(N, like_given(_density(share, densities)))


def mass_concentration_g_ml(solute_mass_fraction: N | float, densities: SolutionDensities) -> N:
    """Grams of substance in a millilitre of its solution.

    Parameters
    ----------
    solute_mass_fraction : float or array
        Substance by mass of the solution [1].
    densities : SolutionDensities
        Printed rows [-].

    Returns
    -------
    float or array
        Substance in the volume of the solution [g/mL].

    Raises
    ------
    OutsideModel
        Beyond the printed rows, or in a gap of them.

    Examples
    --------
    >>> from stillroom.substances.acids import densities_of
    >>> mass_concentration_g_ml(0.10, densities_of("acetic acid")) / 0.060052  # crc-102, second-hand
    1.685

    References
    ----------
    crc-102, perry-density
    """
    share = array(solute_mass_fraction)
    _refuse_outside(share, densities)
    return cast(N, like_given(share * _density(share, densities)))


def solute_mass_fraction(mass_concentration_g_ml: N | float, densities: SolutionDensities) -> N:
    """Strength by mass from the grams in a millilitre.

    Parameters
    ----------
    mass_concentration_g_ml : float or array
        Substance in the volume of the solution [g/mL].
    densities : SolutionDensities
        Printed rows [-].

    Returns
    -------
    float or array
        Substance by mass of the solution [1].

    Raises
    ------
    BadEntry
        When it is negative.
    OutsideModel
        Stronger than the printed rows, or in a gap of them.

    Notes
    -----
    Strength by mass times density rises with strength in every table, so it is found by halving.

    Examples
    --------
    >>> from stillroom.substances.acids import densities_of
    >>> solute_mass_fraction(1.685 * 0.060052, densities_of("acetic acid"))  # crc-102, second-hand
    0.100

    References
    ----------
    crc-102, perry-density
    """
    wanted = array(mass_concentration_g_ml)
    refuse_negative("The strength", wanted, "g/mL")
    shares = densities.solute_mass_fractions
    first = np.full(wanted.shape, shares[densities.stretches[0][0]])
    low, high = first, np.full(wanted.shape, shares[-1])
    strongest = float((high * _density(high, densities)).max()) if wanted.size else 0.0
    if (wanted > strongest * (1.0 + 1e-12)).any():
        raise OutsideModel(
            worded(
                "{solute} must hold at most {strongest:.4g} g in 100 mL ({source}, {reach} by mass at "
                "{temperature_c:g} °C)",
                solute=densities.solute.capitalize(),
                strongest=100 * strongest,
                source=densities.source,
                reach=densities.reach(),
                temperature_c=densities.temperature_c,
            ),
            worded("{max:.4g} g in 100 mL", max=100 * float(wanted.max())),
            "Want less",
        )
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        short = middle * _density(middle, densities) < wanted
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    found = 0.5 * (low + high)
    _refuse_outside(found, densities)
    return cast(N, like_given(np.asarray(found)))


def moles_in_a_litre_mol_l(mass_concentration_g_ml: N | float, molar_mass_g_mol: N | float) -> N:
    """Moles in a litre from the grams in a millilitre.

    Parameters
    ----------
    mass_concentration_g_ml : float or array
        Substance in the volume of the solution [g/mL].
    molar_mass_g_mol : float or array
        Of the substance [g/mol].

    Returns
    -------
    float or array
        Strength [mol/L].

    Raises
    ------
    BadEntry
        When a strength is negative or a molar mass not above zero.

    Examples
    --------
    >>> moles_in_a_litre_mol_l(0.10 * 1.0121, 60.052)  # crc-102, acetic acid, second-hand
    1.685
    """
    grams, molar_mass = array(mass_concentration_g_ml), array(molar_mass_g_mol)
    refuse_negative("The strength", grams, "g/mL")
    refuse_not_positive("The molar mass", molar_mass, "g/mol")
    return cast(N, like_given(np.asarray(1000.0 * grams / molar_mass)))


@cache
def _curve(densities: SolutionDensities) -> Callable[[Floats], Floats]:
    from scipy.interpolate import PchipInterpolator

    found: Callable[[Floats], Floats] = PchipInterpolator(
        densities.solute_mass_fractions, densities.densities_g_ml, extrapolate=False
    )
    return found


def _density(share: Floats, densities: SolutionDensities) -> Floats:
    ends = densities.solute_mass_fractions
    return np.asarray(_curve(densities)(np.clip(share, ends[0], ends[-1])), dtype=np.float64)


def _refuse_outside(share: Floats, densities: SolutionDensities) -> None:
    rows = densities.solute_mass_fractions
    inside = np.zeros(share.shape, dtype=bool)
    for first, last in densities.stretches:
        inside |= (share >= rows[first] - 1e-9) & (share <= rows[last] + 1e-9)
    if not inside.all():
        raise OutsideModel(
            worded(
                "The density of {solute} is printed for {reach} by mass at {temperature_c:g} °C ({source})",
                solute=densities.solute,
                reach=densities.reach(),
                temperature_c=densities.temperature_c,
                source=densities.source,
            ),
            f"{100 * float(share[~inside].flat[0]):.4g} %",
            "Say its density, or keep to that range",
        )
