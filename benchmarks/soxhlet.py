"""4,096 Soxhlet runs of 20 siphonings: as one array call, and as a loop of a general solver that looks for the crest.

Prints seconds and the ratio; the loop is timed on a sample and scaled. The solver reads vapour and density off the same
table, so that only the integration differs. Run: ``python benchmarks/soxhlet.py``.
"""

import os
from time import perf_counter

import numpy as np
from scipy.integrate import solve_ivp

from stillroom.science.extraction.soxhlet import SoxhletSetUp, soxhlet_course
from stillroom.science.extraction.soxhlet_vapour import VapourOver
from stillroom.science.extraction.soxhlet_washing import soxhlet_washing
from stillroom.substances.spirits import spirit_vapour

RUNS, SIPHONINGS, SAMPLE = 4096, 20, 12
SIPHON_ML, HEEL_ML = 100.0, 30.0


def by_solver(poured_g: float, strength: float, power_w: float, spirit: VapourOver) -> float:
    """Strength in the thimble at the last siphoning [1]."""

    def flows(_: float, state: np.ndarray) -> list[float]:
        at = state[0] / (state[0] + state[1])
        rising, ml_g, latent, celsius = (float(one) for one in spirit.over(np.asarray(at)))
        over = 60.0 * (power_w * 0.55 - 0.17 * (celsius - 20.0)) / latent
        caught = over - 0.015 * poured_g / 60.0
        slow = -state[5] / 90.0
        return [
            -over * rising, -over * (1 - rising), caught * rising, caught * (1 - rising), caught * ml_g, slow,
        ]  # fmt: skip

    def crest(_: float, state: np.ndarray) -> float:
        return float(state[4] - SIPHON_ML)

    crest.terminal = True  # type: ignore[attr-defined]
    state = np.array([poured_g * strength, poured_g * (1 - strength), 0.0, 0.0, 0.0, 0.5])
    for _ in range(SIPHONINGS):
        state = solve_ivp(flows, (0.0, 600.0), state, events=crest, rtol=1e-6, atol=1e-8).y[:, -1].copy()
        thimble = state[2] / (state[2] + state[3])
        runs_back = 1.0 - HEEL_ML / SIPHON_ML
        state[:2] += runs_back * state[2:4]
        state[2:5] *= 1.0 - runs_back
    return float(thimble)


def main() -> None:
    """Time both and print the ratio."""
    spread = np.random.Generator(np.random.Philox(5))
    poured_g, strength = spread.uniform(230.0, 300.0, RUNS), spread.uniform(0.4, 0.92, RUNS)
    power_w, slow_min = spread.uniform(110.0, 200.0, RUNS), spread.uniform(50.0, 150.0, RUNS)
    spirit = spirit_vapour()

    started = perf_counter()
    course = soxhlet_course(SoxhletSetUp(poured_g, strength, SIPHON_ML, HEEL_ML, power_w), SIPHONINGS, spirit)
    soxhlet_washing(course, 0.5, slow_min, 10.0)
    at_once = perf_counter() - started

    started = perf_counter()
    others = [by_solver(poured_g[at], strength[at], power_w[at], spirit) for at in range(SAMPLE)]
    loop = (perf_counter() - started) * RUNS / SAMPLE
    apart = np.abs(course.thimble_mass_fraction[-1, :SAMPLE] - others).max()

    print(f"{os.cpu_count()} cores, NumPy {np.__version__}")
    print(f"{RUNS:,} runs of {SIPHONINGS} siphonings at once  {at_once:8.2f} s")
    print(f"the same by a loop of solve_ivp        {loop:8.0f} s (scaled from {SAMPLE})")
    print(f"ratio                                  {loop / at_once:8.0f}")
    print(f"thimble strengths apart by at most     {apart:8.1e} by mass")


if __name__ == "__main__":
    main()
