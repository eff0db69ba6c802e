"""Density of ethanol-water and the strength read back from it.

Promises the international alcoholometric equation to the last digit of its coefficients, and an inverse that
returns to the strength it came from. Knows nothing of methanol, sugar or extract: dissolved matter makes a
spirit look weaker than it is. Does not know where the mixture freezes; below 0 °C that is for the reader to
see.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import OutsideModel, worded
from stillroom.science.arrays import Floats, N, array, like_given, refuse_outside
from stillroom.science.liquids.polynomial import horner, root_between_0_and_1

SLACK_KG_M3 = 1e-6
"""How far a density may lie beyond the pure liquids and still count as pure: rounding, not physics."""
BLOCK = 16_384
"""Mixtures solved together: what a processor's cache holds."""


@dataclass(frozen=True, slots=True)
class DensityTable:
    """Coefficients of the alcoholometric equation, with the range they hold for and their source."""

    a: tuple[float, ...]
    b: tuple[float, ...]
    c: tuple[tuple[float, ...], ...]
    base_temperature_c: float
    lowest_temperature_c: float
    highest_temperature_c: float
    source: str


def density_kg_m3(ethanol_mass_fraction: N | float, temperature_c: N | float, table: DensityTable) -> N:
    """Density of ethanol-water.

    Parameters
    ----------
    ethanol_mass_fraction : float or array
        Ethanol by mass [1], 0 to 1.
    temperature_c : float or array
        Temperature of the liquid [°C].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    float or array
        Density [kg/m3], which is also grams per litre.

    Raises
    ------
    OutsideModel
        Outside the strengths or temperatures of the table.

    Notes
    -----
    rho(p,t) = A1 + sum A_k p^(k-1) + sum B_k d^k + sum_i sum_k C_i,k p^k d^i with d = t - 20 °C.
    Valid from -20 to 40 °C as far as the mixture is liquid.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> density_kg_m3(0.50, 10.0, oiml_r22())  # lange-10, second-hand
    921.59

    References
    ----------
    oiml-r22-1975
    """
    fraction, temperature = array(ethanol_mass_fraction), array(temperature_c)
    _refuse_outside_table(fraction, temperature, table)
    return cast(N, like_given(horner(coefficients_at(temperature, table), fraction)))


def mass_fraction_from_density(density_kg_m3: N | float, temperature_c: N | float, table: DensityTable) -> N:
    """Strength by mass of ethanol-water whose density is known.

    Parameters
    ----------
    density_kg_m3 : float or array
        Density at that temperature, in vacuum [kg/m3].
    temperature_c : float or array
        Temperature of the liquid when the density was read [°C].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    float or array
        Ethanol by mass [1].

    Raises
    ------
    OutsideModel
        When the temperature lies outside the table, or no ethanol-water has that density at that temperature.

    Notes
    -----
    Newton's method kept inside a shrinking bracket. At any one temperature of the table density falls all the
    way from water to ethanol, so there is one answer (near 4 °C it is density against *temperature* that
    turns).

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> 100.0 * mass_fraction_from_density(921.59, 10.0, oiml_r22())  # lange-10, second-hand
    50.0

    References
    ----------
    oiml-r22-1975
    """
    wanted, temperature = np.broadcast_arrays(array(density_kg_m3), array(temperature_c))
    _refuse_outside_table(array(0.0), temperature, table)
    if array(temperature_c).ndim == 0:
        return cast(N, like_given(_inverted(wanted, array(temperature_c), table)))
    found = np.empty(wanted.shape)
    flat, densities, temperatures = found.reshape(-1), wanted.reshape(-1), temperature.reshape(-1)
    for start in range(0, flat.size, BLOCK):
        block = slice(start, start + BLOCK)
        flat[block] = _inverted(densities[block], temperatures[block], table)
    return cast(N, like_given(found))


def coefficients_at(temperature_c: Floats, table: DensityTable) -> Floats:
    """The equation at given temperatures as a polynomial in the mass fraction.

    Parameters
    ----------
    temperature_c : array
        Temperatures [°C].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    array
        Coefficients of p^0, p^1, ... along the first axis [kg/m3].

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> coefficients_at(np.array(20.0), oiml_r22())[0].item()  # oiml-r22-1975, second-hand
    998.20123
    """
    if temperature_c.ndim == 0:
        return _coefficients_at_one(temperature_c.item(), table)
    return np.stack(_coefficients(temperature_c, table))


@lru_cache(maxsize=256)
def _coefficients_at_one(temperature_c: float, table: DensityTable) -> Floats:
    found = np.asarray(_coefficients(temperature_c, table))
    found.flags.writeable = False
    return found


def _coefficients(temperature_c: float | Floats, table: DensityTable) -> list[float | Floats]:
    difference = temperature_c - table.base_temperature_c
    return [
        one + difference * _horner_of(by_temperature, difference)
        for one, by_temperature in zip(table.a, _by_temperature(table), strict=True)
    ]


@lru_cache(maxsize=8)
def _by_temperature(table: DensityTable) -> tuple[tuple[float, ...], ...]:
    """For each power of the mass fraction, the coefficients of the powers of the temperature."""
    rest = (
        tuple(line[power] if power < len(line) else 0.0 for line in table.c)
        for power in range(len(table.a) - 1)
    )
    return (table.b, *rest)


def _inverted(wanted: Floats, temperature: Floats, table: DensityTable) -> Floats:
    coefficients = coefficients_at(temperature, table)
    water, ethanol = horner(coefficients, array(0.0)), horner(coefficients, array(1.0))
    possible = (wanted <= water + SLACK_KG_M3) & (wanted >= ethanol - SLACK_KG_M3)
    if not possible.all():
        raise _no_such_density(~possible, wanted, water, ethanol, temperature, table)
    return root_between_0_and_1(coefficients, np.clip(wanted, ethanol, water), rising=False)


def _horner_of(coefficients: tuple[float, ...], at: float | Floats) -> float | Floats:
    total = 0.0 * at
    for one in reversed(coefficients):
        total = total * at + one
    return total


def _refuse_outside_table(fraction: Floats, temperature: Floats, table: DensityTable) -> None:
    refuse_outside("Ethanol by mass", fraction, 0.0, 1.0, "1", source=table.source, do="Write 40 % as 0.40")
    refuse_outside(
        "The temperature of the spirit",
        temperature,
        table.lowest_temperature_c,
        table.highest_temperature_c,
        "°C",
        source=table.source,
        do="Bring the sample to about 20 °C and read again",
    )


def _no_such_density(
    bad: NDArray[np.bool_],
    wanted: Floats,
    water: Floats,
    ethanol: Floats,
    temperature: Floats,
    table: DensityTable,
) -> OutsideModel:
    low, high, at = (
        float(np.broadcast_to(one, bad.shape)[bad].flat[0]) for one in (ethanol, water, temperature)
    )
    return OutsideModel(
        worded(
            "Ethanol-water at {at:g} °C weighs between {low:.2f} and {high:.2f} kg/m3 ({source})",
            at=at,
            low=low,
            high=high,
            source=table.source,
        ),
        worded("{flat:.2f} kg/m3", flat=float(wanted[bad].flat[0])),
        "Check the reading and its temperature; dissolved extract or sugar makes a liquid heavier",
    )
