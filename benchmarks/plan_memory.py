"""The memory of a plan of 65,536 draws: the peak of a process that makes nothing else.

Run by hand: ``.venv/bin/python benchmarks/plan_memory.py``; the first figure is the process before the plan.
"""

import resource
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.actions.orders.requesting import request_for
from stillroom.planning.plan import plan

DRAWS, MOST_MB = 65_536, 600
TOLD = """import sys
from pathlib import Path
from stillroom.demo.story import tell
tell(Path(sys.argv[1])).book.close()"""
"""Tells the practice book in a process of its own: that takes memory too."""


def most_mb() -> int:
    """Most memory of this process so far. [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def main() -> None:
    """Plan the first order of the practice book with many draws, and print the peak."""
    with TemporaryDirectory() as place:
        folder = Path(place) / "book"
        subprocess.run([sys.executable, "-c", TOLD, folder], check=True)
        with open_laboratory(folder) as lab, lab.look() as look:
            request = request_for(look, "ORD-1", draws=DRAWS)
    before = most_mb()
    plan(request)
    print(f"{before} MB before; a plan of {DRAWS:,} draws {most_mb()} MB (at most {MOST_MB} wanted)")


if __name__ == "__main__":
    main()
