"""A book written by an earlier version verifies, opens on every page, prints and is corrected entry by entry."""

import gzip
import re
import warnings
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.actions.book.backup import verify
from stillroom.actions.book.laboratory import Laboratory, open_laboratory
from stillroom.actions.correcting.entries import correct_entry
from stillroom.documents.as_text import page_text
from stillroom.evidence.trails import from_trail
from stillroom.pages.printing import documents_of
from stillroom.records.entries import ReadingTaken, StepDone
from stillroom.web.app import make_app
from tests.long_form import ALL, some_of

BOOKS = sorted(Path(__file__).parent.glob("*.book.gz"))
OLDEST = Path(__file__).with_name("practice-8b04be0.book.gz")
OF_A_KIND = 4
"""Pages of one kind that are opened in a book that is not the oldest, and one entry of so many that is put right."""
NEVER_FOLLOWED = ("/static/", "/phones", "/sheets/")
REASONS = ("/why/", "/entries/")


def now() -> datetime:
    return datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


@pytest.fixture(params=BOOKS, ids=lambda one: one.name)
def old(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Laboratory]:
    (tmp_path / "laboratory.book").write_bytes(gzip.decompress(request.param.read_bytes()))
    with open_laboratory(tmp_path, clock=now) as lab:
        yield lab


def test_an_old_book_holds_and_each_kept_result_is_reckoned_to_the_same_figure(old: Laboratory) -> None:
    assert verify(old.folder).troubles == ()
    with old.look() as look:
        results = look.entries(kind="result reckoned", corrected=True)

        assert results
        assert [one.entry_no for one in results if from_trail(one.body.trail).value != one.body.value] == []


def test_every_page_of_an_old_book_opens_and_explains_itself(
    old: Laboratory, request: pytest.FixtureRequest
) -> None:
    whole = ALL and OLDEST.name in request.node.name
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from fastapi.testclient import TestClient
    seen: set[str] = set()
    reasons: set[str] = set()
    kinds: Counter[str] = Counter()
    ahead, broken = ["/bench"], {}
    with TestClient(make_app(old), base_url="http://127.0.0.1:8017") as client:

        def open_page(path: str) -> None:
            answer = client.get(path)
            if answer.status_code >= 400:
                broken[path] = answer.status_code
            for one in re.findall(r'href="(/[^"#?]*)', answer.text):
                if one.startswith(REASONS):
                    reasons.add(one)
                elif not one.startswith(NEVER_FOLLOWED) and not one.endswith((".pdf", ".png", ".ics")):
                    ahead.append(one)

        while ahead:
            path = ahead.pop()
            kind = path.split("/")[1]
            if path not in seen and (whole or kinds[kind] < OF_A_KIND):
                seen.add(path)
                kinds[kind] += 1
                open_page(path)
        for path in sorted(reasons)[:: 8 if whole else 4]:
            open_page(path)

    assert broken == {}
    assert len(seen) > (80 if whole else 20)
    assert len(reasons) > (100 if whole else 20)


def test_every_reading_and_weighing_of_an_old_book_can_be_put_right(
    old: Laboratory, request: pytest.FixtureRequest
) -> None:
    """What was read is read again the same: no figure that rests on it may move; what is new names its formulas."""
    with old.look() as look:
        entries = look.entries()
        before = {
            (one.body.subject, one.body.what): one.body.value for one in look.entries(kind="result reckoned")
        }
    whole = OLDEST.name in request.node.name
    chosen = entries if whole else entries[::OF_A_KIND]
    for entry in chosen if ALL else some_of(entries, 6):
        match entry.body:
            case ReadingTaken(value=value, unit=unit, as_written=written):
                text = written if "±" in written else f"{value!r} {unit}"
                correct_entry(old, entry.entry_no, text, why="read again", by=entry.by)
            case StepDone(weighings=(first, *_)) if first.apparatus:
                correct_entry(
                    old, entry.entry_no, first.as_written, line=first.line, why="read again", by=entry.by
                )

    with old.look() as look:
        results = look.entries(kind="result reckoned")
    after = {(one.body.subject, one.body.what): one.body.value for one in results}
    new = [from_trail(one.body.trail) for one in results if one.entry_no > entries[-1].entry_no]

    assert after == pytest.approx(before, rel=1e-9)
    assert new
    assert {one.how for one in new} == {one.formula for one in new}
    assert verify(old.folder).troubles == ()


def test_every_document_of_an_old_book_prints(old: Laboratory) -> None:
    assert all(len(page_text(make())) > 200 for make in documents_of(old).values())
