"""The pins: hashed, without the address of any host, and of the size that is told before a set-up."""

import hashlib
import re
import tomllib
from pathlib import Path

import pytest

PINS = Path(__file__).resolve().parents[2] / "requirements"
LISTS = ("run", "everything")


def pinned(name: str) -> set[str]:
    return set(
        re.findall(r"^[a-z0-9][^\\\n]*==[^\\\n]*?(?= \\$)", (PINS / f"{name}.txt").read_text(), re.MULTILINE)
    )


@pytest.mark.parametrize("path", sorted(PINS.glob("*.txt")), ids=lambda path: path.name)
def test_a_list_of_pins_names_no_host(path: Path) -> None:
    text = path.read_text()

    assert ":" + "//" not in text
    assert "--" + "index-url" not in text


@pytest.mark.parametrize("name", LISTS)
def test_every_pin_has_its_hashes(name: str) -> None:
    lines = (PINS / f"{name}.txt").read_text().splitlines()
    starts = [at for at, line in enumerate(lines) if re.match(r"[a-zA-Z0-9]", line)]

    assert len(starts) == len(pinned(name)) > 20
    assert all("--hash=sha256:" in lines[at + 1] for at in starts)


def test_what_runs_is_pinned_alike_in_both_lists() -> None:
    assert pinned("run") <= pinned("everything")


@pytest.mark.parametrize("name", LISTS)
def test_the_size_told_was_measured_from_these_pins(name: str) -> None:
    told = tomllib.loads((PINS / "size.toml").read_text())[name]

    assert told["of"] == hashlib.sha256((PINS / f"{name}.txt").read_bytes()).hexdigest()
    assert told["bytes"] > 1e6
