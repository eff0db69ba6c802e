"""A million strengths read back from densities: at once, by a general root finder, and beside two other libraries.

Three things in one run, in wall-clock seconds and as ratios:
1. our inversion of the density equation of spirit, all at once;
2. the same by a loop of SciPy's brentq over the equation in plain Python, timed on a sample and scaled;
3. like for like where another library can do it honestly: the temperature of pure water from its density at the
   pressure of the air, which CoolProp inverts itself; and the strength of spirit by brentq around CoolProp's own
   density of ethanol in water (up to 60 % by mass), for it has no inversion by strength.
Run: ``python benchmarks/density_inversion.py``. CoolProp is no dependency: without it the third part is left out.
"""

import importlib
import os
from collections.abc import Callable
from time import perf_counter
from typing import Any

import numpy as np
from scipy.optimize import brentq

from stillroom.science.liquids.density import DensityTable, density_kg_m3, mass_fraction_from_density
from stillroom.substances.spirits import oiml_r22

HOW_MANY, SAMPLE = 1_000_000, 2_000
OTHER = "CoolProp"
AIR_PA = 101_325.0


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds a piece of work takes, and what it gave."""
    started = perf_counter()
    found = work()
    return perf_counter() - started, found


def density_in_plain_python(fraction: float, temperature: float, table: DensityTable) -> float:
    """The equation term by term, as printed."""
    warmer = temperature - 20.0
    total = sum(a * fraction**k for k, a in enumerate(table.a))
    total += sum(b * warmer**k for k, b in enumerate(table.b, start=1))
    for i, line in enumerate(table.c, start=1):
        total += sum(c * fraction**k * warmer**i for k, c in enumerate(line, start=1))
    return total


def beside_another_library(at_once: float, table: DensityTable) -> None:
    """The third part: what another library can do, and how long it takes.

    Parameters
    ----------
    at_once : float
        What our million took. [s]
    table : DensityTable
        Of spirit.
    """
    try:
        ask: Any = importlib.import_module(f"{OTHER}.CoolProp").PropsSI
    except ImportError:
        print(f"\n{OTHER} is not here, so its column is left out. To fill it, in an environment of its own:")
        print(
            f"  python3 -m venv compare && compare/bin/pip install {OTHER} . && compare/bin/python {__file__}"
        )
        return
    spread = np.random.Generator(np.random.Philox(8))
    celsius = spread.uniform(15.0, 39.0, SAMPLE)
    densities = density_kg_m3(np.zeros(SAMPLE), celsius, table)
    theirs, kelvin = timed(lambda: [ask("T", "D", one, "P", AIR_PA, "Water") for one in densities])
    scaled = theirs * HOW_MANY / SAMPLE
    print(f"\n{OTHER}: temperature of water from its density, its own inversion")
    print(f"  {HOW_MANY:,} of them             {scaled:8.1f} s (scaled from {SAMPLE:,})")
    print(f"  ratio to our inversion of spirit {scaled / at_once:8.0f}")
    off = np.abs(np.array(kelvin) - 273.15 - celsius).max()
    print(f"  largest difference               {off:8.1e} °C (two equations of water)")

    fractions, few = spread.uniform(0.05, 0.55, SAMPLE), SAMPLE // 10

    def strength(density: float, temperature: float) -> float:
        return float(
            brentq(
                lambda p: ask("D", "T", temperature + 273.15, "P", AIR_PA, f"INCOMP::MEA-{100 * p}%") - density,
                0.0, 0.6, xtol=1e-9,
            )
        )  # fmt: skip

    targets = [
        ask("D", "T", t + 273.15, "P", AIR_PA, f"INCOMP::MEA-{100 * p}%")
        for p, t in zip(fractions[:few], celsius[:few], strict=True)
    ]
    theirs, found = timed(lambda: [strength(d, t) for d, t in zip(targets, celsius[:few], strict=True)])
    scaled = theirs * HOW_MANY / few
    print(f"{OTHER}: strength of ethanol in water up to 60 %, brentq around its density")
    print(f"  {HOW_MANY:,} of them             {scaled:8.0f} s (scaled from {few:,})")
    print(f"  ratio to our inversion           {scaled / at_once:8.0f}")
    print(f"  largest error against the truth  {np.abs(np.array(found) - fractions[:few]).max():8.1e}")


def main() -> None:
    """Time each way and print the ratios."""
    table = oiml_r22()
    spread = np.random.Generator(np.random.Philox(7))
    fractions = spread.uniform(0.001, 0.999, HOW_MANY)
    temperatures = spread.uniform(0.0, 35.0, HOW_MANY)
    densities = density_kg_m3(fractions, temperatures, table)

    at_once, found = timed(lambda: mass_fraction_from_density(densities, temperatures, table))
    loop, one_by_one = timed(
        lambda: [
            brentq(lambda p, d=d, t=t: density_in_plain_python(p, t, table) - d, 0.0, 1.0, xtol=1e-12)
            for d, t in zip(densities[:SAMPLE], temperatures[:SAMPLE], strict=True)
        ]
    )
    loop *= HOW_MANY / SAMPLE

    print(f"{os.cpu_count()} cores, NumPy {np.__version__}")
    print(f"{HOW_MANY:,} inversions at once      {at_once:8.2f} s")
    print(f"the same by a brentq loop        {loop:8.0f} s (scaled from {SAMPLE:,})")
    print(f"ratio                            {loop / at_once:8.0f}")
    print(f"largest error against the truth  {np.abs(found - fractions).max():8.1e}")
    print(f"largest error of the loop        {np.abs(np.array(one_by_one) - fractions[:SAMPLE]).max():8.1e}")
    beside_another_library(at_once, table)


if __name__ == "__main__":
    main()
