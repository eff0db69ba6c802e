"""Every test of the book runs on a file, and on a PostgreSQL server when one is named."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from stillroom.store import Book
from tests.store.practice import begun, whole_story


@pytest.fixture(params=["file", pytest.param("server", marks=pytest.mark.postgres)])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str | Path:
    """An empty place for a book."""
    return tmp_path / "lab.book" if request.param == "file" else request.getfixturevalue("postgres_url")


@pytest.fixture(scope="session")
def written_once(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Books of the tests, each written once; a test works on its copy."""
    folder = tmp_path_factory.mktemp("books")

    def path_of(name: str) -> Path:
        path = folder / name
        if not path.exists():
            with begun(path) as book:
                if name == "told":
                    whole_story(book)
        return path

    return path_of


@pytest.fixture
def book(where: str | Path, tmp_path: Path, written_once: Callable[[str], Path]) -> Iterator[Book]:
    """A book with two people in it."""
    if isinstance(where, Path):
        shutil.copy(written_once("begun"), where)
        opened = Book.open(where)
    else:
        opened = begun(where, tmp_path / "lab.book.files")
    with opened:
        yield opened


@pytest.fixture
def told(where: str | Path, tmp_path: Path, written_once: Callable[[str], Path]) -> Iterator[Book]:
    """A book with one entry of every kind, one of them corrected, one with a file."""
    if isinstance(where, Path):
        shutil.copy(written_once("told"), where)
        shutil.copytree(written_once("told").with_name("told.files"), where.with_name("lab.book.files"))
        opened = Book.open(where)
    else:
        opened = begun(where, tmp_path / "lab.book.files")
        whole_story(opened)
    with opened:
        yield opened


def tell(book: Book) -> None:
    """Write the whole story into a book."""
    whole_story(book)
