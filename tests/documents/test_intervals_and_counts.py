"""No page prints an interval from a number to the same number, a lone 1 with a plural, or a word doubled."""

import random
import re

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.documents.plan_changes import input_shown
from stillroom.errors import _COUNTED, said_of_one, worded
from stillroom.pages.batches import show_batch, show_batches
from stillroom.pages.lists import show_bench, show_products, show_testing
from stillroom.pages.orders import show_order, show_orders
from stillroom.pages.printing import documents_of
from stillroom.pages.stock import show_lot, show_stock
from stillroom.planning.plan_inputs import Known
from stillroom.texts.catalogue import between, speaking, t

NUMBER = r"\d+(?:[.,]\d+)?"
SAME_ENDS = re.compile(rf"(?<![\d.,])({NUMBER})(?: [^\W\d]+)? (?:to|à) \1(?![\d.,]*\d)")
DOUBLED = re.compile(r"(?<![\w-])(as|the|of|in|is|to|a|le|la|de|et|par) \1(?![\w’'-])")
LONE_PLURAL = re.compile(rf"(?<![\w.,\u00a0-])1[ \u00a0](?:{_COUNTED})\b")


def pages(lab: Laboratory) -> dict[str, Page]:
    found = {name: make() for name, make in documents_of(lab).items()}
    with lab.look() as look:
        lots, batches = [one.code for one in look.lots()], [one.code for one in look.batches()]
        orders = [one.code for one in look.orders()]
    found |= {f"lot {code}": show_lot(lab, code) for code in lots}
    found |= {f"batch {code}": show_batch(lab, code) for code in batches}
    found |= {f"order {code}": show_order(lab, code) for code in orders}
    for page in (show_bench, show_products, show_testing, show_orders, show_stock, show_batches):
        found[page.__name__] = page(lab)
    return found


@pytest.mark.parametrize("language", ["en", "fr"])
def test_no_page_of_the_practice_book_prints_equal_ends_one_with_a_plural_or_a_doubled_word(
    told: Laboratory, language: str
) -> None:
    with speaking(language):
        texts = {name: " ".join(page_text(page).split()) for name, page in pages(told).items()}
    found = [(name, one.group()) for name, text in texts.items() for one in SAME_ENDS.finditer(text)]
    found += [(name, one.group()) for name, text in texts.items() for one in LONE_PLURAL.finditer(text)]

    with speaking(language):  # a word that ends a line of one column may begin that of the next
        parted = {name: _in_columns(page_text(page)) for name, page in pages(told).items()}
    found += [(name, one.group()) for name, text in parted.items() for one in DOUBLED.finditer(text)]

    assert len(texts) > 30
    assert found == []


def _in_columns(text: str) -> str:
    lines = [f"{one} ¦" if re.search(r"\S {2,}\S", one) else one for one in text.splitlines()]
    return " ".join(re.sub(r" {2,}", " ¦ ", " ".join(lines)).split())


def test_any_count_from_0_to_30_is_singular_for_one_alone() -> None:
    rng = random.Random(3)
    for noun in _COUNTED.split("|"):
        for count in (0, 1, 2, 11, 21, rng.randrange(100, 1000)):
            for said in (
                t("{count} {noun}", count=count, noun=noun),
                worded("{count} {noun}", count=count, noun=noun),
            ):
                assert said.endswith("s") is (count != 1), said
    assert (
        said_of_one("1.1 bottles, 0.1 days, 1,1 lots, T-1 lots")
        == "1.1 bottles, 0.1 days, 1,1 lots, T-1 lots"
    )


def test_an_interval_that_rounds_to_one_number_is_that_number() -> None:
    rng = random.Random(4)
    for _ in range(300):
        low = rng.uniform(0.1, 400)
        high = low * (1 + rng.choice((0.0, 1e-9, 1e-4, 0.3)))
        said = between(f"{low:.2f}", f"{high:.2f}")
        assert not SAME_ENDS.search(said), said
        assert said.startswith(f"{low:.2f}")


def test_an_input_of_a_plan_is_shown_without_a_power_of_ten() -> None:
    keeps = Known("x", "a litre keeps", 265.66, "mg/L", 160.2, "normal", "assumed", "for this test")

    assert input_shown(keeps) == "265.7 ± 320 mg/L"
