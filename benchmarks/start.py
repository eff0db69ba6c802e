"""How soon a question without a laboratory is answered, and one density inverted by itself: CPU, and as ratios.

1. the command ``stillroom dilute`` in a process of its own, beside ``python -c "import numpy"``;
2. the strength behind one density at one temperature, beside SciPy's brentq over the equation in plain Python.
The least of several tries each, in CPU time, so that a busy machine tells nearly the same. Run:
``python benchmarks/start.py``.
"""

import os
import resource
import subprocess
import sys
from collections.abc import Callable
from time import process_time
from typing import Any

import numpy as np
from scipy.optimize import brentq

from stillroom.science.liquids.density import density_kg_m3, mass_fraction_from_density
from stillroom.substances.spirits import oiml_r22

ASKED = ("dilute", "5 L", "--have", "96 % v/v", "--want", "70 % v/v", "--at", "31 °C")
STARTS = "from stillroom.cli.main import main; main()"
"""What the installed command does."""
INSTALLED = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""What is installed keeps its compiled modules, as NumPy does: none is compiled again at each start."""
TRIES, SAMPLE = 15, 1_000
MOST = 2.5
"""What the command may cost, as a multiple of loading NumPy."""


def cpu_of_process(*words: str) -> float:
    """Least CPU of a Python process. [s]."""
    found = []
    for _ in range(TRIES):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL, env=INSTALLED)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(found)


def cpu_of_one(work: Callable[[float, float], Any], pairs: list[tuple[float, float]]) -> float:
    """Least CPU of one of many. [s]."""
    found = []
    for _ in range(TRIES):
        started = process_time()
        for density, temperature in pairs:
            work(density, temperature)
        found.append((process_time() - started) / len(pairs))
    return min(found)


def main() -> None:
    """Print both, with their ratios."""
    bare, numpy = cpu_of_process("-c", "pass"), cpu_of_process("-c", "import numpy")
    command = cpu_of_process("-c", STARTS, *ASKED)
    print(f"{os.cpu_count()} cores, Python {sys.version.split()[0]}, NumPy {np.__version__}")
    print(f"python by itself            {1000 * bare:7.0f} ms")
    print(f"import numpy                {1000 * numpy:7.0f} ms")
    print(f"stillroom {ASKED[0]}            {1000 * command:7.0f} ms")
    print(f"ratio (at most {MOST:g})         {command / numpy:7.2f}")

    table = oiml_r22()
    spread = np.random.Generator(np.random.Philox(7))
    temperatures = spread.uniform(0.0, 35.0, SAMPLE).tolist()
    densities = density_kg_m3(spread.uniform(0.001, 0.999, SAMPLE), np.array(temperatures), table).tolist()
    each = list(zip(densities, temperatures, strict=True))
    at_one = [(float(density_kg_m3(0.4 + 0.0005 * at, 20.0, table)), 20.0) for at in range(SAMPLE)]

    def in_plain_python(fraction: float, temperature: float) -> float:
        warmer = temperature - 20.0
        total = sum(a * fraction**k for k, a in enumerate(table.a))
        total += sum(b * warmer**k for k, b in enumerate(table.b, start=1))
        for i, line in enumerate(table.c, start=1):
            total += sum(c * fraction**k * warmer**i for k, c in enumerate(line, start=1))
        return total

    ours = cpu_of_one(lambda d, t: mass_fraction_from_density(d, t, table), each)
    again = cpu_of_one(lambda d, t: mass_fraction_from_density(d, t, table), at_one)
    loop = cpu_of_one(lambda d, t: brentq(lambda p: in_plain_python(p, t) - d, 0.0, 1.0, xtol=1e-12), each)
    print(f"one density inverted, each at its temperature  {1e6 * ours:6.0f} µs")
    print(f"the same, all at one temperature               {1e6 * again:6.0f} µs")
    print(f"by brentq                                      {1e6 * loop:6.0f} µs")
    print(f"ratio of brentq to ours                        {loop / ours:6.1f} and {loop / again:.1f}")


if __name__ == "__main__":
    main()
