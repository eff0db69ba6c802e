"""What stops a bottle at the release beside its formula: its spirit, its date, its mass, its paper for the customer."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.releasing.deciding import release, review_release
from stillroom.actions.releasing.list_lines import lines_from_book
from stillroom.documents.as_text import page_text
from stillroom.errors import NotAllowed
from stillroom.pages.release import show_certificate, show_whole_certificate
from stillroom.planning.request import RETAINED_UNITS
from stillroom.products.best_before import Life, Stability, best_before_line
from stillroom.products.check_lines import CheckLine
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, Status


def line(lab: Laboratory, key: str, lot: str = "T1") -> CheckLine:
    with lab.look() as look:
        return next(one for one in lines_from_book(look, lot) if one.key == key)


def corrected(lab: Laboratory, kind: str, code: str, said: dict[str, str]) -> None:
    with lab.look() as look:
        number = look.latest(kind, code).entry_no
    put_right(lab, number, said, why="typed wrongly", by="MA")


@pytest.mark.parametrize(
    ("told", "standing"),
    [
        ("methanol 5 %", "over"),
        ("METHYL ALCOHOL", "over"),
        ("pyridine bases", "over"),
        ("unknown", "over"),
        ("denatonium benzoate", "within"),
        ("a blue dye", "undecided"),
    ],
)
def test_a_product_of_spirit_with_a_harmful_denaturant_does_not_leave(
    lab: Laboratory, told: str, standing: str
) -> None:
    corrected(lab, "lot received", "SPI-01", {"denatured with": told})

    assert line(lab, "denatured/SPI-01").standing == standing
    with lab.look() as look:
        assert look.status("T1") is Status.SUSPENDED
    if standing == "over":
        with pytest.raises(NotAllowed, match="SPI-01"):
            release(lab, "T1", meaning="sheet and papers read", by="JU")


def test_a_bottle_never_keeps_longer_than_what_went_into_it(lab: Laboratory) -> None:
    # The practice panthenol ends first, on 2027-09-30; its extract on 2027-11-11.
    corrected(lab, "units filled", "T1", {"use by": "2028-11-16"})
    found = line(lab, "best-before")

    assert found.standing == "over"
    assert "PAN-01" in found.says
    assert "2027-09-30" in found.close
    assert "best-before" in {one.key for one in review_release(lab, "T1", by="JU").stopping}


def test_only_a_document_lets_a_date_go_beyond_the_lives() -> None:
    lives = [Life("PAN-01", "2027-09-30", "its date"), Life("E1", "2027-11-11", "its date")]

    assert best_before_line("2027-09-30", lives).standing == "within"
    assert best_before_line("2027-10-01", lives).standing == "over"
    assert best_before_line("2028-01-01", lives, Stability("ST-1", "2028-01-01")).standing == "within"
    assert best_before_line("2028-01-02", lives, Stability("ST-1", "2028-01-01")).standing == "over"
    assert best_before_line("2028-01-01", []).standing == "undecided"
    assert best_before_line(None, lives).standing == "missing"


@pytest.mark.parametrize(
    ("left_over", "standing"), [("1700 g", "over"), ("86 g", "within"), ("0 g", "within")]
)
def test_more_out_than_was_weighed_in_stops_and_the_account_is_not_said_to_close(
    lab: Laboratory, left_over: str, standing: str
) -> None:
    corrected(lab, "units filled", "T1", {"left over": left_over})

    assert line(lab, "mass-account").standing == standing


def test_a_lot_past_its_use_by_is_not_released(lab: Laboratory) -> None:
    receive_lot(
        lab, Lot("GLY-09", LotKind.INGREDIENT, "glycerin", "glycerin", use_by="2026-01-31"), "1 kg", by="TO"
    )
    with pytest.raises(NotAllowed, match="to be used by 2026-01-31"):
        release(lab, "GLY-09", meaning="papers and seal looked at", by="MA")
    corrected(lab, "lot received", "GLY-09", {"use by": "2028-01-31"})
    release(lab, "GLY-09", meaning="papers and seal looked at", by="MA")


def test_the_paper_for_the_customer_names_no_supplier_and_no_calculation(lab: Laboratory) -> None:
    short, whole = (page_text(one(lab, "T1")) for one in (show_certificate, show_whole_certificate))
    with lab.look() as look:
        suppliers = {one.supplier for one in look.lots()} - {"", "made here", "own still"}

    assert len(suppliers) > 3
    assert [one for one in suppliers if one in short] == []
    assert [one for one in suppliers if one in whole]
    assert "molar mass" in whole
    assert "molar mass" not in short
    # One sheet of A4 holds about 60 lines.
    assert len(short.splitlines()) < 60


def test_plan_and_release_keep_back_as_many_bottles(lab: Laboratory) -> None:
    kept = [one.says for one in review_release(lab, "T1", by="JU").lines if one.key == "retained"]

    assert [f"of {RETAINED_UNITS} samples" in one for one in kept] == [True]
