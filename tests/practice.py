"""The practice laboratory, told once for all tests of a run; tests that write work on a copy of its folder."""

import fcntl
import hashlib
import io
import json
import shutil
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

import stillroom
from stillroom.actions.book.laboratory import Laboratory, open_laboratory
from stillroom.actions.making.batches import begin_batch
from stillroom.demo.clock import StoryClock
from stillroom.demo.extracting import extract
from stillroom.demo.shelves import fill_shelves, receive_bark
from stillroom.demo.story import BEGINS, begin_practice, tell
from stillroom.documents.as_json import page_json
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Facts, Numbers, Page, Shown, Table
from stillroom.pages.printing import documents_of

STORIES: dict[str, dict[str, Any]] = {
    one["id"]: one
    for one in json.loads((Path(__file__).parent / "reference_checks/stories.json").read_text())
}
ENDS = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)


def noon() -> datetime:
    """The clock of every test: noon of the day the story ends."""
    return ENDS


@cache
def _own_folder() -> tempfile.TemporaryDirectory[str]:
    return tempfile.TemporaryDirectory(prefix="practice-", ignore_cleanup_errors=True)


@cache
def _of_this_source() -> Path:
    """Where the books that this very source tells are kept, for every worker and for the next run."""
    house = Path(stillroom.__file__).parent
    sealed = hashlib.sha256()
    for one in sorted(house.rglob("*")):
        if one.is_file() and "__pycache__" not in one.parts:
            sealed.update(f"{one.relative_to(house)} ".encode() + one.read_bytes())
    folder = Path(__file__).parents[1] / ".pytest_cache" / "practice" / sealed.hexdigest()[:16]
    folder.mkdir(parents=True, exist_ok=True)
    for earlier in folder.parent.iterdir():
        if earlier != folder:
            shutil.rmtree(earlier, ignore_errors=True)
    return folder


def told_once(name: str, telling: Callable[[Path], None]) -> Path:
    """A folder of this process that is read and never written: told by whoever needs it first, copied by all others.

    Parameters
    ----------
    name : str
    telling : callable
        Tells the story into the folder it is given.
    """
    kept, mine = _of_this_source() / name, Path(_own_folder().name) / name
    with kept.with_name("lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not kept.exists():
            half = kept.with_name(f"{name}.half")
            shutil.rmtree(half, ignore_errors=True)
            telling(half)
            half.rename(kept)
    shutil.copytree(kept, mine)
    return mine


@cache
def told_folder() -> Path:
    """The folder of the told laboratory."""
    return told_once("told", lambda folder: tell(folder).book.close())


@cache
def extracted_folder() -> Path:
    """A practice laboratory that has just released its extract and begun the first tonic."""
    return told_once("extracted", _extract)


def _extract(folder: Path) -> None:
    clock = StoryClock(BEGINS)
    lab = begin_practice(folder, clock)
    fill_shelves(lab, clock)
    receive_bark(lab, clock)
    extract(lab, clock)
    begin_batch(lab, "T1", "hair-tonic", "5.000 kg", order="ORD-1", by="TO", at=clock.at("2026-11-16 08:00"))
    lab.book.close()


def copied(into: Path, of: Callable[[], Path] = told_folder) -> Path:
    """A copy of the told folder, or of another, that a test may write in."""
    return Path(shutil.copytree(of(), into / "laboratory"))


def opened(folder: Path) -> Laboratory:
    """The laboratory of a folder, its clock standing at noon of the last day."""
    return open_laboratory(folder, clock=noon)


@pytest.fixture(scope="session")
def told() -> Iterator[Laboratory]:
    """The told laboratory, to be read."""
    with opened(told_folder()) as lab:
        yield lab


@pytest.fixture(scope="session")
def extracted() -> Iterator[Laboratory]:
    """The laboratory before anything was dosed, to be read."""
    with opened(extracted_folder()) as lab:
        yield lab


@pytest.fixture
def lab(tmp_path: Path) -> Iterator[Laboratory]:
    """A copy of the told laboratory, to be written in."""
    with opened(copied(tmp_path)) as one:
        yield one


@cache
def document(name: str) -> Page:
    """A document of the told laboratory, such as "certificate-T1"."""
    with opened(told_folder()) as lab:
        return documents_of(lab)[name]()


@cache
def printed(name: str) -> bytes:
    """The same as PDF."""
    return page_pdf(document(name))


def words_of_pdf(pdf: bytes) -> str:
    """All words of a PDF with single spaces, the breaks inside long words closed."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join("\n".join(one.extract_text() for one in pages).replace("\u200b", "").split())


def shown_in(page: Page) -> list[Shown]:
    """Every number of a page that has a reason."""
    found: list[Shown] = []
    for block in page.blocks:
        match block:
            case Numbers(items=items):
                found += items
            case Table(rows=rows):
                found += [cell for row in rows for cell in row if isinstance(cell, Shown)]
            case Facts(items=items):
                found += [cell for _, cell in items if isinstance(cell, Shown)]
    return found


def number_labelled(page: Page, label: str) -> Shown:
    """The one number of a page under a label."""
    (found,) = [one for one in shown_in(page) if one.label == label]
    return found


def exact_in_json(page: Page, label: str) -> float:
    """The unrounded value under a label, out of the page's JSON after a round trip through text."""
    found: list[float] = []

    def walk(one: Any) -> None:
        if isinstance(one, dict):
            if one.get("label") == label and one.get("exact") is not None:
                found.append(one["exact"])
            for below in one.values():
                walk(below)
        elif isinstance(one, list):
            for below in one:
                walk(below)

    walk(json.loads(json.dumps(page_json(page))))
    (value,) = set(found)
    return value


def row_of(page: Page, head: str, first: str) -> dict[str, str]:
    """The row that begins with ``first``, of the first table whose head begins with ``head``, as words."""
    for block in page.blocks:
        if isinstance(block, Table) and block.head[0] == head:
            for row in block.rows:
                if _words(row[0]) == first:
                    return {name: _words(cell) for name, cell in zip(block.head, row, strict=True)}
    raise AssertionError(f"no row {first!r} under {head!r}:\n{page_text(page)}")


def _words(cell: object) -> str:
    return str(getattr(cell, "text", getattr(cell, "word", cell)))


def later(minutes: int = 0) -> datetime:
    """A time on the last day, before noon."""
    return ENDS - timedelta(hours=2) + timedelta(minutes=minutes)
