"""Every test of the book runs on a file, and on a PostgreSQL server when one is named."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stillroom.store import Book
from tests.store.practice import begun, whole_story


@pytest.fixture(params=["file", pytest.param("server", marks=pytest.mark.postgres)])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str | Path:
    """An empty place for a book."""
    return tmp_path / "lab.book" if request.param == "file" else request.getfixturevalue("postgres_url")


@pytest.fixture
def book(where: str | Path, tmp_path: Path) -> Iterator[Book]:
    """A book with two people in it."""
    with begun(where, tmp_path / "lab.book.files") as opened:
        yield opened


@pytest.fixture
def told(book: Book) -> Book:
    """A book with one entry of every kind."""
    whole_story(book)
    return book
