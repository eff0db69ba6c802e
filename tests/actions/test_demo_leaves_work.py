"""The demo leaves work on the bench, so that whoever opens it sees what a bench under way looks like."""

from datetime import datetime

from stillroom.actions.bench.timers import batch_timers
from stillroom.demo.story import tell
from stillroom.documents.as_text import page_text
from stillroom.pages.lists import show_bench
from tests.practice import ENDS, opened


def test_a_maceration_stands_on_its_third_day_a_soxhlet_runs_and_a_reagent_nears_its_end(tmp_path):
    chapters: list[str] = []
    tell(tmp_path / "book", chapters.append, under_way=True).book.close()
    with opened(tmp_path / "book") as lab:
        (stands,), (runs,) = (batch_timers(lab, batch) for batch in ("M1", "S1"))
        said = page_text(show_bench(lab))
        with lab.look() as look:
            ends = datetime.fromisoformat(look.lot("WAG-00").use_by or "")

    assert 2 <= (ENDS - stands.since).total_seconds() / 86400 < 3
    assert stands.ready is not None
    assert stands.ready > ENDS
    assert runs.ready is not None
    assert 0.4 < (ENDS - runs.since) / (runs.ready - runs.since) < 0.6
    assert 0 < (ends.date() - ENDS.date()).days <= 7
    assert "2 batches in hand" in said
    assert "WAG-00" in said
    assert "Soxhlet" in chapters[-1]
