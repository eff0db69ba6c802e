"""The demo leaves work on the bench, so that whoever opens it sees what a bench under way looks like."""

from datetime import datetime

from stillroom.actions.bench.timers import batch_timers
from stillroom.actions.releasing.deciding import review_release
from stillroom.demo.story import tell
from stillroom.documents.as_text import page_text
from stillroom.pages.batches import show_batch
from stillroom.pages.lists import show_bench
from stillroom.pages.tracing import show_trace
from tests.practice import ENDS, opened


def test_a_gel_and_a_mist_are_made_from_their_own_plants_and_their_accounts_close(tmp_path):
    tell(tmp_path / "book", under_way=True).book.close()
    with opened(tmp_path / "book") as lab:
        for lot, plant, units in (("GEL1", "TEA-01", 54), ("MIST1", "LAV-01", 60)):
            with lab.look() as look:
                assert look.status(lot).value == "released"
            for code in (lot, plant):
                said = page_text(show_trace(lab, code))
                assert f"{units} bottles:" in said
                assert "The account closes." in said
        # The mist holds the oil that was dosed and a hydrosol of the same flower, which nobody assayed.
        found = {
            lot: {one.key: one for one in review_release(lab, lot, by="JU").lines}
            for lot in ("GEL1", "MIST1")
        }
        assert found["MIST1"]["beside/HYD-02"].standing == "cannot be seen here"
        assert "linalool is not in the content" in found["MIST1"]["beside/HYD-02"].says
        assert "identity/LAV-01" in found["MIST1"]
        assert not [key for key in found["GEL1"] if key.startswith("beside/")]
        # 222.5 g of 22.9 % in 700 g of leaf with 22.4 % of its dry matter, 6.79 % of it water: by hand 34.9 %.
        assert "34.9 ±" in page_text(show_batch(lab, "TE2"))


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
