"""What several lines of a release list have in common is said once on its page."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.releasing.tracing import account_of
from stillroom.documents.as_text import page_text
from stillroom.pages.release import release_page, show_release
from stillroom.products.check_lines import CheckLine
from stillroom.products.limits import CHECK_THE_TEXT
from stillroom.products.release import Decided, Review

ASK = "Ask its supplier for the list of allergens, and name them on the label"


def printed(lab: Laboratory, *lines: CheckLine, decided: dict[str, Decided] | None = None) -> str:
    """A release page of these lines, about a lot of the practice laboratory, its white space taken together."""
    review = Review("T1", lines, decided or {}, False, None, ())
    with lab.look() as look:
        page = release_page(account_of(look, "T1"), review, by="Juno Ullrich", stated=None, **facts_of(look))
    return " ".join(str(page.blocks).split())


def oil(name: str) -> CheckLine:
    return CheckLine(
        f"allergens/{name}", name, "undecided", f"{name}: its allergens are not known", close=ASK
    )


def test_one_way_to_close_three_lines_is_written_once_and_each_is_still_named(told):
    text = printed(told, oil("lavender oil"), oil("rose oil"), oil("thyme oil"))

    assert text.count(ASK) == 1
    assert text.count("As for lavender oil") == 2
    assert all(f"(line {one})" in text for one in ("lavender oil", "rose oil", "thyme oil"))


def test_a_line_that_was_decided_is_not_the_one_that_carries_the_advice(told):
    decided = {
        "allergens/lavender oil": Decided(
            "JU", "Juno Ullrich", "2026-11-20T18:00+00:00", "list read", "named on the label"
        )
    }
    text = printed(told, oil("lavender oil"), oil("rose oil"), decided=decided)

    assert f"{ASK} (line rose oil)" in text
    assert "As for" not in text


def test_to_check_the_current_text_of_the_law_is_asked_once(told):
    lines = [
        CheckLine(f"ceiling/{one}", one, "within", f"Within: upper bound 0.1 %. {CHECK_THE_TEXT}")
        for one in ("quinine", "resorcinol")
    ]
    text = printed(told, *lines)

    assert text.count("Check the current text") == 1
    assert "Check the current text" not in printed(told, oil("rose oil"))


def test_the_practice_release_says_it_once(told):
    assert page_text(show_release(told, "T1", by="JU")).count("Check the current text") == 1
