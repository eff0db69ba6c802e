"""What a label claims, directs and warns stands in its formula, is printed, and is read where the formula is."""

import pytest

from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.releasing.deciding import release, review_release
from stillroom.documents.as_text import page_text
from stillroom.errors import StillroomError
from stillroom.pages.release import show_label
from stillroom.products.claims import claim_lines
from stillroom.products.formula_check import remarks_about
from tests.plain_product import at, make_rinse, rinse, with_formula

HARMLESS = """claims: Leaves hair soft and easy to comb
label text: |
  Work in, then rinse.
  Keep away from the eyes.
"""
UNLAWFUL = ("claims: Heals eczema\n", "label text: Work in, then rinse. Heals eczema.\n")
LABEL = {"paper/label check": "read against the list of ingredients"}


def claims_at_release(lab):
    found = review_release(lab, "R1", by="JU")
    return {one.key: one.standing for one in found.lines if one.key.startswith("claim/")}


@pytest.mark.parametrize("words", UNLAWFUL)
def test_an_unlawful_claim_of_the_label_is_told_at_the_formula_and_stops_the_release(tmp_path, words):
    assert any("eczema" in one or "Heals" in one for one in remarks_about(rinse(words)))
    with with_formula(tmp_path, words) as lab:
        make_rinse(lab)

        assert "over" in claims_at_release(lab).values()
        with pytest.raises(StillroomError, match=r"Heals|eczema"):
            release(lab, "R1", meaning="read", decisions=LABEL, by="JU", at=at("2026-11-20 18:00"))


def test_harmless_words_are_printed_on_the_label_and_raise_no_line(tmp_path):
    with with_formula(tmp_path, HARMLESS) as lab:
        make_rinse(lab)
        printed = page_text(show_label(lab, "R1"))

        assert claims_at_release(lab) == {}
        for line in ("Leaves hair soft and easy to comb", "Work in, then rinse.", "Keep away from the eyes."):
            assert line in printed


def test_words_put_right_while_a_batch_waits_are_those_of_its_label_and_later_ones_are_not(tmp_path):
    with with_formula(tmp_path, UNLAWFUL[0]) as lab:
        make_rinse(lab)
        write_procedure(lab, rinse(HARMLESS, 2), by="MA", at=at("2026-11-20 17:30"))

        assert claims_at_release(lab) == {}
        release(lab, "R1", meaning="read", decisions=LABEL, by="JU", at=at("2026-11-20 18:00"))
        write_procedure(lab, rinse(UNLAWFUL[0], 3), by="MA", at=at("2026-11-21 08:00"))
        assert claims_at_release(lab) == {}
        assert "Heals" not in page_text(show_label(lab, "R1"))
        with lab.look() as look:
            assert look.status("R1") == "released"


@pytest.mark.parametrize(
    "text",
    [
        "It does not cure eczema. Cures eczema.",
        "Not for children. Cures eczema.",
        "Do not swallow\nCures eczema",
    ],
)
def test_a_denial_covers_its_own_sentence_and_its_own_word_only(text):
    assert "over" in {one.standing for one in claim_lines({"label": text})}
