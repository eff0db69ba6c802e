"""An assumed figure may serve a plan; every document is walked: none reaches a release, a certificate or a label."""

import ast
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.products.batch_content import content_made
from stillroom.actions.releasing.deciding import release
from stillroom.actions.releasing.release_facts import facts_for
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Shown, ShownLeaf
from stillroom.errors import NotAllowed
from stillroom.evidence.answer import Answer, Leaf, leaves
from stillroom.evidence.trails import from_trail, trail
from stillroom.pages.printing import documents_of
from stillroom.pages.release import show_label, show_release, show_whole_certificate
from stillroom.quantities.content import Content
from stillroom.records.entries import ResultReckoned
from stillroom.records.lot_kinds import LotKind
from tests.corners.test_trails import nodes
from tests.practice import copied, extracted_folder, opened, shown_in

MAY_HOLD_ASSUMPTIONS = ("plan-", "batch-sheet-", "trace-", "spirit-")
"""Papers of the house; the month's register of spirit tells its losses by their models, and says so."""
ROOMS_OF_PAPERS = (
    "actions/releasing/certifying.py", "actions/releasing/release_facts.py",
    "actions/releasing/deciding.py", "actions/products/batch_content.py",
    "products/release.py", "products/label.py", "documents/label_page.py", "pages/release.py",
)  # fmt: skip
PLANS_AND_ANSWERS = ("stillroom.planning", "stillroom.actions.keeping_answers", "stillroom.actions.questions",
                     "stillroom.questions.order", "stillroom.questions.dilute", "stillroom.questions.dose",
                     "stillroom.actions.orders.ordering", "stillroom.actions.orders.forecasting")  # fmt: skip
SOURCE = Path(__file__).resolve().parents[2] / "src/stillroom"


def assumed_in(numbers: list[Shown]) -> list[str]:
    """Labels of the numbers that rest on an assumption, by their trail and by what is printed beside them."""
    return [
        one.label
        for one in numbers
        if any(leaf.kind == "assumed" for leaf in one.leaves)
        or (one.answer in nodes() and nodes()[one.answer].rests_on_an_assumption)
    ]


def test_every_document_that_leaves_the_house_is_free_of_assumptions(told: Laboratory) -> None:
    documents = documents_of(told)
    leaving = {name: make() for name, make in documents.items() if not name.startswith(MAY_HOLD_ASSUMPTIONS)}
    with told.look() as look:
        for lot in look.lots():
            if lot.kind in (LotKind.EXTRACT, LotKind.PRODUCT):
                leaving[f"release-{lot.code}"] = show_release(told, lot.code, by="JU")

    assert {name.partition("-")[0] for name in leaving} == {"certificate", "label", "release"}
    assert len(leaving) >= 8
    assert {name: found for name, page in leaving.items() if (found := assumed_in(shown_in(page)))} == {}
    for lot in ("T1", "T2"):
        with told.look() as look:
            made = content_made(look, lot)
        assert made is not None
        assert not made.content.answer.rests_on_an_assumption


def test_the_walk_would_see_an_assumption(told: Laboratory) -> None:
    plan = documents_of(told)["plan-ORD-1"]()
    certificate = show_whole_certificate(told, "T1")
    marked = replace(shown_in(certificate)[0], leaves=(ShownLeaf("assumed", "made up"),))

    assert assumed_in(shown_in(plan))
    assert assumed_in([marked]) == [marked.label]


def test_papers_do_not_know_plans_or_kept_answers() -> None:
    seen = {
        name: [
            module
            for node in ast.walk(ast.parse((SOURCE / name).read_text()))
            for module in (
                [node.module or ""] if isinstance(node, ast.ImportFrom)
                else [one.name for one in node.names] if isinstance(node, ast.Import) else []
            )
            if module.startswith(PLANS_AND_ANSWERS)
        ]
        for name in ROOMS_OF_PAPERS
    }  # fmt: skip

    assert {name: found for name, found in seen.items() if found} == {}


def poisoned(answer: Answer) -> Answer:
    """The same answer with its first reading turned into an assumption."""
    first = next(one for one in leaves(answer) if one.leaf and one.leaf.kind == "reading")

    def turn(one: Answer) -> Answer:
        if one.key == first.key:
            return replace(one, leaf=Leaf("assumed", "as such things usually are"))
        return replace(one, inputs=tuple((name, turn(below)) for name, below in one.inputs))

    return turn(answer)


@pytest.fixture
def with_an_assumed_assay(tmp_path: Path):
    """A laboratory whose last assay of the extract rests on something nobody measured."""
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        with lab.look() as look:
            result = look.results("E1", "total alkaloids as quinine, as is")[-1].body
        assert isinstance(result, ResultReckoned)
        bad = trail(poisoned(from_trail(result.trail)))
        when = datetime(2026, 11, 24, 10, tzinfo=UTC)
        with lab.act("reckon", {"subject": "E1"}, by="TO", at=when) as pen:
            pen.enter(replace(result, trail=bad))
        yield lab


def test_a_release_on_an_assumed_assay_is_refused(with_an_assumed_assay: Laboratory) -> None:
    with with_an_assumed_assay.look() as look:
        facts = facts_for(look, "E1")

    assert any(one.answer and one.answer.rests_on_an_assumption for one in facts.results)
    with pytest.raises(NotAllowed, match="assum"):
        release(with_an_assumed_assay, "E1", meaning="read and compared", by="JU")


def test_a_certificate_on_an_assumed_assay_is_withdrawn_without_its_figures(
    with_an_assumed_assay: Laboratory,
) -> None:
    page = show_whole_certificate(with_an_assumed_assay, "E1")

    assert page.status == "suspended"
    assert shown_in(page) == []
    assert "An assumed figure never reaches a certificate" in " ".join(page_text(page).split())


def test_a_label_on_an_assumed_content_is_refused() -> None:
    from stillroom.evidence.answer import assumed, reading
    from stillroom.products.label import LabelFacts, label

    facts = LabelFacts(
        product="Tonic", each=Content(100.0), ingredients={"Aqua": 99.0, "Alcohol": 1.0}, batch="T9",
        made_on="2026-11-20", best_before="2027-11-20",
        declared=reading("declared", 0.09, "%", "entry 3", entry_no=3, basis="w/w as quinine"),
        content=assumed("content", 0.1, "%", "as planned", basis="w/w as quinine"),
    )  # fmt: skip

    with pytest.raises(NotAllowed, match="must rest on readings"):
        label(facts)


def test_the_label_of_a_told_lot_stands(told: Laboratory) -> None:
    assert show_label(told, "T1").kind == "label"
