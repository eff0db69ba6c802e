"""Every test of the book runs on a file, and on a PostgreSQL server when one is named.

The books are written once and copied for each test: a file as a file, a database from its template.
"""

import os
import shutil
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import make_url

from stillroom.store import Book
from tests.store.practice import begun, whole_story

Databases = Callable[[str], str]
_numbers = count(1)


@pytest.fixture(params=["file", pytest.param("server", marks=pytest.mark.postgres)])
def on_server(request: pytest.FixtureRequest) -> bool:
    """Whether this test runs on the server; without one, the fixture of the server skips or fails."""
    if request.param == "server" and not os.environ.get("STILLROOM_TEST_POSTGRES"):
        request.getfixturevalue("postgres_url")
    return request.param == "server"


@pytest.fixture(scope="session")
def written_once(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Files of the books "begun" and "told"."""
    folder = tmp_path_factory.mktemp("books")

    def path_of(name: str) -> Path:
        if not (folder / name).exists():
            _write(name, folder / name, folder / f"{name}.files")
        return folder / name

    return path_of


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Databases]:
    """Names of databases that hold the books "begun" and "told"."""
    made: dict[str, str] = {}

    def name_of(name: str) -> str:
        if name not in made:
            made[name] = _create("template0")
            _write(name, _url(made[name]), tmp_path_factory.mktemp("template"))
        return made[name]

    yield name_of
    for one in made.values():
        _server(f'DROP DATABASE "{one}" WITH (FORCE)')


@pytest.fixture
def database() -> Iterator[Databases]:
    """Makes databases from a template, for this test alone, and gives their addresses."""
    made: list[str] = []

    def address_of(origin: str) -> str:
        made.append(_create(origin))
        return _url(made[-1])

    yield address_of
    for one in made:
        _server(f'DROP DATABASE "{one}" WITH (FORCE)')


@pytest.fixture
def where(on_server: bool, database: Databases, tmp_path: Path) -> str | Path:
    """An empty place for a book."""
    return database("template0") if on_server else tmp_path / "lab.book"


@pytest.fixture
def book(request: pytest.FixtureRequest, on_server: bool, tmp_path: Path) -> Iterator[Book]:
    """A book with two people in it."""
    with _copy(request, "begun", on_server, tmp_path) as opened:
        yield opened


@pytest.fixture
def told(request: pytest.FixtureRequest, on_server: bool, tmp_path: Path) -> Iterator[Book]:
    """A book with one entry of every kind, one of them corrected, one with a file."""
    with _copy(request, "told", on_server, tmp_path) as opened:
        yield opened


def _copy(request: pytest.FixtureRequest, name: str, on_server: bool, folder: Path) -> Book:
    files = folder / "lab.book.files"
    path = request.getfixturevalue("written_once")(name)
    if path.with_name(f"{name}.files").exists():
        shutil.copytree(path.with_name(f"{name}.files"), files)
    if on_server:
        origin = request.getfixturevalue("template")(name)
        return Book.open(request.getfixturevalue("database")(origin), files=files)
    shutil.copy(path, folder / "lab.book")
    return Book.open(folder / "lab.book")


def _write(name: str, where: str | Path, files: Path) -> None:
    with begun(where, files) as book:
        if name == "told":
            whole_story(book)


def _create(origin: str) -> str:
    name = f"stillroom_store_{os.getpid()}_{next(_numbers)}"
    _server(f'CREATE DATABASE "{name}" TEMPLATE "{origin}"')
    return name


def _url(name: str) -> str:
    url = make_url(os.environ["STILLROOM_TEST_POSTGRES"])
    return url.set(database=name).render_as_string(hide_password=False)


def _server(words: str) -> None:
    url = make_url(os.environ["STILLROOM_TEST_POSTGRES"]).set(drivername="postgresql")
    with psycopg.connect(url.render_as_string(hide_password=False), autocommit=True) as connection:
        connection.execute(words)
