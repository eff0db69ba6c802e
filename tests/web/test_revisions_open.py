"""Every numbered revision of a certificate opens, in both forms, and is the one that was issued."""

import pytest

from stillroom.actions.correcting.entries import correct_weighing
from tests.practice import later
from tests.web.conftest import Bench


@pytest.mark.parametrize("form", ["", "/whole"])
def test_every_numbered_revision_of_a_certificate_opens_in_both_forms(bench: Bench, form: str) -> None:
    lab = bench.lab
    with lab.look() as look:
        blend = next(one.entry_no for one in look.steps("T1") if one.body.step == "blend")
    done = correct_weighing(lab, blend, "panthenol", "25.01 g", why="read again", by="TO", at=later(1))
    correct_weighing(lab, done.entries[0], "panthenol", "25.02 g", why="read again", by="TO", at=later(2))
    with lab.look() as look:
        revisions = [one.body.revision for one in look.certificates("T1")]
    pages = {
        one: bench.client.get(f"/products/T1/certificate{form}/revisions/{one}").text for one in revisions
    }
    last = bench.client.get(f"/products/T1/certificate{form}").text

    assert revisions == [1, 2, 3]
    assert "Suspended" not in pages[1]
    assert "25.00 g → 25.01 g" in pages[2]
    assert "25.02 g" not in pages[2]
    assert "25.01 g → 25.02 g" in pages[3]
    for one in revisions[:-1]:
        assert f"/products/T1/certificate{form}/revisions/{one}" in last
    assert bench.client.get(f"/products/T1/certificate{form}/revisions/9").status_code == 404
