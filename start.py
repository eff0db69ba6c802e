#!/usr/bin/env python3
"""Start stillroom; the first start sets it up in .venv beside this file.

    python3 start.py demo      see it: the invented practice laboratory, from an order to its bottles
    python3 start.py selftest  run the tests, about two minutes; with --all everything in full, as CI does
    python3 start.py check     run the checks: format, lint, types, order of the rooms, documents
    python3 start.py WORDS     anything else goes to the stillroom command, for example: plan --help

Needs Python 3.11 or newer and nothing else. What is installed is pinned by hash in requirements/.
Afterwards the command itself is .venv/bin/stillroom.

Without a network: on a machine that has one, with the same system and Python, in a clone of the same version,

    python3 -m pip download -d wheels --no-deps --require-hashes --only-binary=:all: -r requirements/run.txt

and carry the folder wheels to beside this file. Where it stands, nothing is fetched.

Set-up is done again when the pins, pyproject.toml, the Python version or the folder change, and after it was
interrupted. To begin afresh, delete .venv.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036 - an older Python must be told so
    sys.exit("stillroom needs Python 3.11 or newer, and this is Python {}.{}.".format(*sys.version_info[:2]))
if sys.platform == "win32":
    sys.exit("stillroom starts on Linux and macOS; on Windows, start it inside the Linux subsystem.")

sys.dont_write_bytecode = True
from launcher import begun  # written for a Python that reads it; this file is read by every one

if __name__ == "__main__":
    sys.exit(begun(sys.argv[1:], __doc__ or ""))
