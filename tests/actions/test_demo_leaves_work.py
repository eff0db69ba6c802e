"""The demo leaves work on the bench, so that whoever opens it sees what a bench under way looks like."""

from dataclasses import replace
from datetime import datetime
from io import BytesIO

import numpy as np
import pytest
from pypdf import PdfReader

from stillroom.actions.bench.timers import batch_timers
from stillroom.actions.book.counted_marker import counted_in
from stillroom.actions.orders.requesting import request_for
from stillroom.actions.releasing.deciding import review_release
from stillroom.demo.story import tell
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.pages.batches import show_batch
from stillroom.pages.lists import show_bench
from stillroom.pages.release import show_certificate
from stillroom.pages.tracing import show_trace
from stillroom.pages.ways import show_ways
from stillroom.planning.forecast import charge_account, charge_draws
from stillroom.stream.components import whole_mass
from tests.practice import ENDS, opened


@pytest.fixture(scope="module")
def under_way(tmp_path_factory):
    """The folder of the demo with its work under way, and the chapters it was told in."""
    folder, chapters = tmp_path_factory.mktemp("demo") / "book", []
    tell(folder, chapters.append, under_way=True).book.close()
    return folder, chapters


@pytest.mark.parametrize("lot", ["E1", "T1", "GEL1", "MIST1"])
def test_the_certificate_for_the_customer_is_one_page(under_way, lot):
    with opened(under_way[0]) as lab:
        printed = page_pdf(show_certificate(lab, lot))

    assert len(PdfReader(BytesIO(printed)).pages) == 1


def test_a_gel_and_a_mist_are_made_from_their_own_plants_and_their_accounts_close(under_way):
    with opened(under_way[0]) as lab:
        for lot, plant, units in (("GEL1", "TEA-01", 54), ("MIST1", "LAV-01", 60)):
            with lab.look() as look:
                assert look.status(lot).value == "released"
            for code in (lot, plant):
                said = page_text(show_trace(lab, code))
                assert f"{units} filled:" in said
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
        # 222.5 g of 44.3 % in 700 g of leaf with 22.4 % of its dry matter, 6.79 % of it water: by hand 67.4 %.
        assert "67.4 ±" in page_text(show_batch(lab, "TE2"))


@pytest.mark.parametrize(("order", "charge_g", "gave_g"), [("ORD-3", 700.0, 222.5), ("ORD-4", 1200.0, 19.12)])
def test_the_next_plan_of_infused_tea_and_of_distilled_lavender_is_narrower_and_moved(
    under_way, order, charge_g, gave_g
):
    # what the second charge of each weighed in the end, by tea-and-lavender.csv; the first was a little less
    with opened(under_way[0]) as lab, lab.look() as look:
        own = request_for(look, order)
    alone = replace(own, remembered=(), together=())
    low, middle, high = np.transpose([
        np.percentile(
            whole_mass(charge_account(one, charge_g, charge_draws(one)).given(one.extraction.steps[-1].gives[0])),
            (10, 50, 90),
        )
        for one in (own, alone)
    ])  # fmt: skip

    wide = np.log(high / low)
    assert wide[0] < 0.8 * wide[1]
    assert abs(middle[0] / middle[1] - 1.0) > 0.03
    assert abs(middle[0] / gave_g - 1.0) < min(0.15, abs(middle[1] / gave_g - 1.0))


def test_a_batch_counts_as_its_assay_where_its_procedure_names_a_group(under_way):
    # "total phenols" is no compound; both assays count it as gallic acid, and so do memory and comparison of ways
    with opened(under_way[0]) as lab:
        with lab.look() as look:
            assert [counted_in(look, batch).counted for batch in ("TE1", "TE2", "LO1")] == [
                "total phenols as gallic acid", "total phenols as gallic acid", "linalool",
            ]  # fmt: skip
            assert "from 2 runs of yours" in next(
                one.because
                for one in request_for(look, "ORD-3").remembered
                if one.role.endswith("marker_within_reach_share")
            )
        said = page_text(show_ways(lab, "green-tea-leaf"))
    assert all(f"{batch} " in said for batch in ("TE1", "TE2"))


def test_a_maceration_stands_on_its_third_day_a_soxhlet_runs_and_a_reagent_nears_its_end(under_way):
    folder, chapters = under_way
    with opened(folder) as lab:
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
