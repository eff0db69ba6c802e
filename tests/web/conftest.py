"""The practice laboratory told once, copied for each test that writes, and a client that speaks to its pages."""

import re
import shutil
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from stillroom.actions.book.laboratory import Laboratory, open_laboratory
from stillroom.web.app import make_app
from tests.practice import told_folder

NO_FIELDS = frozenset({"request_key", "by", "at", "pin", "book", "photograph"})
"""What signs, and what is no field of every form."""
ADDRESS = "http://127.0.0.1:8017"


@dataclass(frozen=True)
class Bench:
    """A laboratory and a client at its pages."""

    lab: Laboratory
    client: Any

    def digest(self) -> str:
        return self.lab.book.digest()

    def key(self, path: str) -> str:
        """The key of the form at an address."""
        found = re.search(r'name="request_key" value="([^"]+)"', self.client.get(path).text)
        assert found, f"no form at {path}"
        return found[1]

    def fill(self, path: str, at: str = "", /, **fields: str) -> Any:
        """Open a form, fill it in, send it; answers are not followed."""
        typed = {name.replace("_", "-"): value for name, value in fields.items()}
        there = set(re.findall(r'\bname="([^"]+)"', self.client.get(path).text))
        assert typed.keys() <= there | NO_FIELDS, f"{path} has no field for {typed.keys() - there}"
        typed = {"request_key": self.key(path), "by": "TO", **typed}
        return self.client.post(at or path, data=typed, follow_redirects=False)


def words(html: str) -> str:
    """What a page says, without its markup."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.fixture(scope="session")
def told() -> Path:
    return told_folder()


def now() -> datetime:
    return datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def opened(folder: Path) -> Iterator[Bench]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the test client of this version announces another HTTP library
        from fastapi.testclient import TestClient
    with open_laboratory(folder, clock=now) as lab, TestClient(make_app(lab), base_url=ADDRESS) as client:
        yield Bench(lab, client)


@pytest.fixture(scope="session")
def reading(told: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """Pages that are only read."""
    folder = tmp_path_factory.mktemp("reading") / "book"
    shutil.copytree(told, folder)
    yield from opened(folder)


@pytest.fixture
def bench(told: Path, tmp_path: Path) -> Iterator[Bench]:
    """Pages that may be written to: a laboratory of the test's own."""
    shutil.copytree(told, tmp_path / "book")
    yield from opened(tmp_path / "book")


@pytest.fixture(scope="session")
def said() -> Callable[[str], str]:
    return words
