"""Measure what a set-up downloads, and write it to size.toml beside this file.

Run it after the pins have changed: ``python3 requirements/measure.py``. It fetches every wheel for this
machine's Python once, with pip; other machines download about as much.
"""

import hashlib
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent


def main() -> None:
    """Fetch the wheels of each list of pins and note the sum of their sizes."""
    lines = [
        "# Written by measure.py: bytes of all wheels, and the digest of the list they were measured from."
    ]
    for name in ("run", "everything"):
        lock = HERE / f"{name}.txt"
        with tempfile.TemporaryDirectory() as folder:
            told = (
                "--quiet",
                "--require-hashes",
                "--no-deps",
                "--only-binary=:all:",
                "-d",
                folder,
                "-r",
                str(lock),
            )
            subprocess.run([sys.executable, "-m", "pip", "download", *told], check=True)
            size = sum(wheel.stat().st_size for wheel in Path(folder).iterdir())
        digest = hashlib.sha256(lock.read_bytes()).hexdigest()
        lines += ["", f"[{name}]", f"bytes = {size}", f'of = "{digest}"']
    (HERE / "size.toml").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
