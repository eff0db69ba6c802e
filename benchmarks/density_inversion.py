"""A million strengths read back from densities: at once, and one after another by a general root finder.

Against a loop of SciPy's brentq over the same equation written in plain Python, in processor seconds,
timed on a sample and scaled. Run: ``python benchmarks/density_inversion.py``.
"""

from time import process_time

import numpy as np
from scipy.optimize import brentq

from stillroom.science.liquids.density import DensityTable, density_kg_m3, mass_fraction_from_density
from stillroom.substances.spirits import oiml_r22

HOW_MANY, SAMPLE = 1_000_000, 2_000


def density_in_plain_python(fraction: float, temperature: float, table: DensityTable) -> float:
    """The equation term by term, as printed."""
    warmer = temperature - 20.0
    total = sum(a * fraction**k for k, a in enumerate(table.a))
    total += sum(b * warmer**k for k, b in enumerate(table.b, start=1))
    for i, line in enumerate(table.c, start=1):
        total += sum(c * fraction**k * warmer**i for k, c in enumerate(line, start=1))
    return total


def main() -> None:
    """Time both ways and print the ratio."""
    table = oiml_r22()
    spread = np.random.Generator(np.random.Philox(7))
    fractions = spread.uniform(0.001, 0.999, HOW_MANY)
    temperatures = spread.uniform(0.0, 35.0, HOW_MANY)
    densities = density_kg_m3(fractions, temperatures, table)

    started = process_time()
    found = mass_fraction_from_density(densities, temperatures, table)
    at_once = process_time() - started

    started = process_time()
    one_by_one = [
        brentq(lambda p, d=d, t=t: density_in_plain_python(p, t, table) - d, 0.0, 1.0, xtol=1e-12)
        for d, t in zip(densities[:SAMPLE], temperatures[:SAMPLE], strict=True)
    ]
    loop = (process_time() - started) * HOW_MANY / SAMPLE

    print(f"{HOW_MANY:,} inversions at once      {at_once:8.2f} s")
    print(f"the same by a brentq loop        {loop:8.0f} s (scaled from {SAMPLE:,})")
    print(f"ratio                            {loop / at_once:8.0f}")
    print(f"largest error against the truth  {np.abs(found - fractions).max():8.1e}")
    print(f"largest error of the loop        {np.abs(np.array(one_by_one) - fractions[:SAMPLE]).max():8.1e}")


if __name__ == "__main__":
    main()
