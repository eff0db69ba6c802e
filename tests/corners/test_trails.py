"""No trail is prose: every leaf is found where it says, and every function named gives the printed value again."""

import re
from collections.abc import Iterator
from functools import cache
from math import isclose, sqrt
from typing import Any

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.what_it_gave import what_it_gave
from stillroom.actions.products.batch_content import content_made
from stillroom.actions.products.filling import fill_answer
from stillroom.documents.blocks import Shown
from stillroom.evidence.answer import Answer, leaves, rerun, walk
from stillroom.evidence.trails import from_trail
from stillroom.pages.batches import show_batches
from stillroom.pages.orders import show_orders
from stillroom.pages.plans import kept_plan, show_charge
from stillroom.pages.release import show_release
from stillroom.pages.stock import show_lot
from stillroom.records.entries import Entry, StepDone
from stillroom.records.entry_json import body_to_json
from stillroom.reference.sources import sources
from stillroom.reference.tables import row
from stillroom.store.reader import Reader
from tests.practice import document, opened, shown_in, told_folder

DOCUMENTS = (
    "plan-ORD-1", "plan-ORD-2", "batch-sheet-E1", "batch-sheet-T1", "batch-sheet-T2", "certificate-E1",
    "certificate-E1-whole", "certificate-T1", "certificate-T1-whole", "certificate-T2",
    "label-T1", "label-T2", "trace-E1",
)  # fmt: skip


def _gathered(look: Reader) -> Iterator[tuple[str, Answer]]:
    for entry in look.entries(corrected=True):
        trail = getattr(entry.body, "trail", None)
        if trail:
            yield f"entry {entry.entry_no}", from_trail(trail)
    for order in look.orders():
        kept = kept_plan(look, order.code)
        assert kept is not None
        for line in kept[0].lines:
            yield f"plan/{order.code}/{line.key}", line.answer
    gave = what_it_gave(look, "E1")
    assert gave is not None
    assert gave.given is not None
    for name, figure in gave.given.figures.items():
        yield f"gave/E1/{name}", figure.answer
    for batch in ("T1", "T2"):
        made = content_made(look, batch)
        for one in (
            made.content.answer, made.judged.upper, made.judged.ceiling.limit, made.chance_of_aim,
            made.chance_of_declared, fill_answer(look, batch),
        ):  # fmt: skip
            yield f"{batch}/{one.name}", one


@cache
def answers() -> dict[str, Answer]:
    """Every answer the practice laboratory gives, by where it stands."""
    with opened(told_folder()) as lab, lab.look() as look:
        return dict(_gathered(look))


@cache
def nodes() -> dict[str, Answer]:
    """Every answer below them, once, by its key."""
    return {one.key: one for top in answers().values() for one in walk(top)}


@cache
def entries() -> dict[int, Entry[Any]]:
    with opened(told_folder()) as lab, lab.look() as look:
        return {one.entry_no: one for one in look.entries(corrected=True)}


def figures_of(thing: Any) -> Iterator[float]:
    """Every number a body of an entry holds, as it stands, as per cent and as a share; a label's strength too."""
    if isinstance(thing, dict):
        for name, below in thing.items():
            written = re.match(r"[0-9.]+", below) if name == "stated" and isinstance(below, str) else None
            yield from figures_of(float(written[0]) if written else below)
    elif isinstance(thing, list | tuple):
        for below in thing:
            yield from figures_of(below)
    elif isinstance(thing, int | float) and not isinstance(thing, bool):
        yield from (thing, 100 * thing, thing / 100)


def stands_in(leaf: Answer, entry: Entry[Any]) -> bool:
    """Whether an entry holds the value of a leaf, the sum of its weighings, or the step of its scale."""
    found = list(figures_of(body_to_json(entry.body)))
    if isinstance(entry.body, StepDone):
        found.append(sum(one.actual_g for one in entry.body.weighings if one.direction == "in"))
    if leaf.value == 0 and leaf.standard_uncertainty:
        # A difference of nothing, known to within half a step of a scale or as the entry states.
        return any(
            isclose(leaf.standard_uncertainty, one, rel_tol=1e-9)
            or isclose(leaf.standard_uncertainty * sqrt(12), one, rel_tol=1e-9)
            for one in found
        )
    return any(isclose(leaf.value, one, rel_tol=1e-9, abs_tol=1e-12) for one in found)


def test_there_is_much_to_look_at() -> None:
    kinds = {one.leaf.kind for one in nodes().values() if one.leaf}

    assert len(answers()) > 100
    assert len(nodes()) > 200
    assert kinds == {"reading", "published", "assumed"}


def test_every_reading_is_an_entry_of_the_book_that_holds_its_value() -> None:
    wrong = []
    for leaf in (one for one in nodes().values() if one.leaf and one.leaf.kind == "reading"):
        number = leaf.leaf.entry_no
        if number is None:
            several = re.search(r"entries (\d+) to (\d+)$", leaf.leaf.where)
            assert several, f"{leaf.name}: {leaf.leaf.where}"
            run = range(int(several[1]), int(several[2]) + 1)
            assert {entries()[one].body.what for one in run} == {"earlier portion"}
        elif number not in entries() or not stands_in(leaf, entries()[number]):
            wrong.append((leaf.name, leaf.value, leaf.leaf.where))

    assert wrong == []


def test_a_leaf_that_says_another_value_than_its_entry_would_be_found() -> None:
    leaf = next(one for one in nodes().values() if one.name == "blank titre")

    assert stands_in(leaf, entries()[leaf.leaf.entry_no])
    assert not stands_in(leaf, entries()[leaf.leaf.entry_no - 1])


def test_every_published_leaf_is_a_row_of_a_table_with_its_source() -> None:
    published = [one for one in nodes().values() if one.leaf and one.leaf.kind == "published"]
    for leaf in published:
        table_name, _, key = leaf.leaf.where.partition(", ")
        found = row(table_name, key.partition(":")[0])
        figures = [cell for cell in found.values() if isinstance(cell, int | float)]

        # A ratio of 1 that carries the figure as its spread says it by its uncertainty.
        said = leaf.standard_uncertainty if leaf.value == 1.0 and leaf.standard_uncertainty else leaf.value
        assert any(isclose(said, one * scale, rel_tol=1e-9) for one in figures for scale in (1, 100, 0.01)), (
            leaf.name, leaf.value, leaf.leaf.where,
        )  # fmt: skip
        assert leaf.sources, leaf.name
        assert set(leaf.sources) <= set(sources())

    assert len(published) >= 5


def test_every_assumption_says_why() -> None:
    reasons = {
        one.name: one.leaf.where for one in nodes().values() if one.leaf and one.leaf.kind == "assumed"
    }

    assert len(reasons) > 20
    assert [name for name, why in reasons.items() if len(why.split()) < 2] == []


def test_every_answer_runs_again_to_the_value_it_has() -> None:
    reckoned = [one for one in nodes().values() if one.how]

    assert len(reckoned) > 100
    assert [(one.name, one.value, again) for one in reckoned if (again := rerun(one)) != one.value] == []


def test_no_figure_of_a_certificate_or_label_rests_on_an_assumption() -> None:
    certified = [one for where, one in answers().items() if where.startswith(("T1/", "T2/"))]

    assert certified
    assert not any(one.rests_on_an_assumption for one in certified)
    assert any(one.rests_on_an_assumption for where, one in answers().items() if where.startswith("plan/"))


def opens(shown: Shown) -> bool:
    """Whether a printed number is an answer with a trail, or a weighing with its entry."""
    if shown.answer:
        return shown.answer in nodes()
    named = re.search(r"^Written '(.+)' in entry (\d+)\.$", shown.how)
    return bool(named) and named[1] in str(body_to_json(entries()[int(named[2])].body))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_number_of_every_document_opens(name: str) -> None:
    numbers = shown_in(document(name))

    assert [one.label for one in numbers if not opens(one)] == []
    assert numbers or name.startswith(("label", "trace"))


def test_every_number_of_the_pages_opens(told: Laboratory) -> None:
    pages = [show_orders(told), show_batches(told), show_release(told, "T1", by="JU")]
    pages += [show_lot(told, code) for code in ("CIN-01", "E1", "T1", "SPI-01")]
    shut = {(page.title, one.label): one.answer for page in pages for one in shown_in(page) if not opens(one)}

    assert shut == {}


def test_a_charge_that_nobody_kept_runs_again_too(told: Laboratory) -> None:
    from stillroom.actions.orders.ordering import forecast_charge

    found = forecast_charge(told, "ORD-1", "250 g")

    assert shown_in(show_charge(told, "ORD-1", "250 g"))
    for line in found.lines:
        assert rerun(line.answer) == line.value, line.key
        assert all(one.leaf.where for one in leaves(line.answer))
