"""What several tests lean on: a Chromium, a database of one's own, and the same examples every time in CI.

A machine without Chromium or PostgreSQL skips the tests that need them and says so; in CI that is a failure.
"""

import gc
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from typing import Any, NoReturn

import argon2
import pytest
from hypothesis import Phase, settings

from stillroom.cli.main import THREADS
from stillroom.store import engines
from tests.long_form import left_to_the_long_form

for one in THREADS:  # as the command does; NumPy is not loaded yet
    os.environ.setdefault(one, "1")

settings.register_profile("ci", derandomize=True, deadline=None, database=None, print_blob=True)
settings.register_profile("bench", deadline=None, print_blob=True)
# Whether a test fails is all that a mutant is asked; the smallest example would be looked for in vain.
settings.register_profile(
    "mutation", derandomize=True, deadline=None, database=None, phases=(Phase.explicit, Phase.generate)
)
settings.load_profile("ci" if os.environ.get("CI") else "bench")

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
CHROMIUM_WORDS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
_numbers = count(1)


def _missing(what: str) -> NoReturn:
    if os.environ.get("CI"):
        pytest.fail(f"{what}; in CI it has to be there")
    pytest.skip(what)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The short form runs the first tests of a long file."""
    left = left_to_the_long_form(one.nodeid.partition("::")[0] for one in items)
    config.hook.pytest_deselected(items=[one for one, out in zip(items, left, strict=True) if out])
    items[:] = [one for one, out in zip(items, left, strict=True) if not out]


def pytest_collection_finish() -> None:
    """What the tests stand on lives as long as they: the collector looks through it no more, and seldom at the rest."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 100)


@pytest.fixture(autouse=True)
def _only_the_store_waits_for_the_disk(request: pytest.FixtureRequest) -> None:
    """What was acknowledged is on the disk: ``tests/store`` tries that, every other test only writes."""
    _WAITS[0] = request.path.parent.name == "store"


_WAITS = [True]


def _reaching_the_disk(handle: int, really: Callable[[int], None] = os.fsync) -> None:
    if _WAITS[0]:
        really(handle)


def _prepared(
    engine: Any, begin: str, settings: tuple[str, ...], really: Callable[..., None] = engines._prepare_sqlite
) -> None:
    quick = tuple(one.replace("synchronous = FULL", "synchronous = OFF") for one in settings)
    really(engine, begin, settings if _WAITS[0] else quick)


os.fsync = _reaching_the_disk
engines._prepare_sqlite = _prepared


class _QuickHasher(argon2.PasswordHasher):
    """A PIN costs whoever guesses it a sixth of a second: ``tests/hostile/test_guessing_a_pin.py`` tries that alone."""

    def __init__(self) -> None:
        super().__init__(time_cost=1, memory_cost=8, parallelism=1)


argon2.PasswordHasher = _QuickHasher


@pytest.fixture(scope="session")
def chromium() -> dict[str, Any]:
    """How to launch the Chromium of this machine: ``playwright.chromium.launch(**chromium)``."""
    found = next((path for name in CHROMIUM_NAMES if (path := shutil.which(name))), None)
    if found is None:
        _missing("No Chromium is installed (apt-get install chromium)")
    return {"executable_path": found, "args": list(CHROMIUM_WORDS), "headless": True}


@pytest.fixture(scope="module")
def browser(chromium: dict[str, Any]) -> Iterator[Any]:
    """A running Chromium for the tests of one file (playwright's ``Browser``)."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(**chromium)
        yield running
        running.close()


@pytest.fixture
def postgres_url() -> Iterator[str]:
    """Address of an empty PostgreSQL database for this test alone, as SQLAlchemy takes it."""
    with empty_database() as address:
        yield address


@pytest.fixture
def two_databases() -> Iterator[tuple[str, str]]:
    """Addresses of two of them."""
    with empty_database() as one, empty_database() as other:
        yield one, other


@contextmanager
def empty_database() -> Iterator[str]:
    """An empty database, dropped afterwards."""
    server = os.environ.get("STILLROOM_TEST_POSTGRES")
    if not server:
        _missing("STILLROOM_TEST_POSTGRES does not name a PostgreSQL server")
    import psycopg
    from sqlalchemy import make_url

    url = make_url(server)
    plain = url.set(drivername="postgresql").render_as_string(hide_password=False)
    name = f"stillroom_{os.environ.get('PYTEST_XDIST_WORKER', 'alone')}_{os.getpid()}_{next(_numbers)}"
    with psycopg.connect(plain, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    yield url.set(database=name).render_as_string(hide_password=False)
    with psycopg.connect(plain, autocommit=True) as connection:
        connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
