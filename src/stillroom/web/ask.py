"""The questions that need no laboratory: spirit, a dose, an order. Nothing signed, nothing written.

A question is a plain address: everything said stands in it, so an answer can be kept, sent or asked again. Each answer
has the twins of a page under the same query, a lesson, and a label where something was mixed.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TypeAlias
from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from stillroom.actions.house.house_facts import offered
from stillroom.actions.house.pricing import counted_in
from stillroom.actions.questions import KEPT, answered
from stillroom.actions.vessels_offered import vessels_offered
from stillroom.asking.form import AskForm, form_of
from stillroom.asking.question import Answered
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.documents.doors import OPEN, said_in
from stillroom.errors import BadEntry, StillroomError, UnknownName, worded
from stillroom.questions import VERBS, declared
from stillroom.records.conditions import Condition
from stillroom.texts.catalogue import later, t
from stillroom.web.duties import Addresses
from stillroom.web.forms import Form, Trouble, Typed, trouble_of
from stillroom.web.kept_pages import kept
from stillroom.web.pages import facts_of_request, now, open_lab, send_form, send_page, status_of, today
from stillroom.web.preferences import send_sheet

router = Addresses()
HERE = "Ask"
TAKE = "take"
"""Query field that names what is taken from the book: a value the house noted last, or a vessel."""
Asks: TypeAlias = Callable[..., AskForm]
DOORS: dict[str, Asks] = {name: partial(form_of, declared(name)) for name in VERBS}
"""Each takes what was said, the field that is opened, the day, and the currency of hints; gives its entries."""


def _fields(request: Request) -> dict[str, str]:
    return {name: value.strip() for name, value in request.query_params.items() if value.strip()}


def _pages(request: Request, question: str) -> Answered:
    said, house = said_in(_said_once(request)), _house(request, question)
    said.pop(TAKE, None)
    facts, lab = facts_of_request(request), open_lab(request)
    found = answered(question, said, today(request), facts, house, lab)
    declared(question).refuse_unread(found)
    return found


def _said_once(request: Request) -> dict[str, str]:
    """What an address says, each field once; two that disagree are asked about."""
    said: dict[str, str] = {}
    for name, text in request.query_params.multi_items():
        if said.get(name, "").strip() not in ("", text.strip()):
            raise BadEntry(
                "An entry is said once", f"{said[name][:40]!r}, {text[:40]!r}", "Keep one", where=name
            )
        said[name] = text
    return said


def _paper(pages: Answered, paper: str) -> Page:
    page = {"": pages.page, "lesson": pages.lesson, "label": pages.label}.get(paper)
    if page is None:
        raise UnknownName(
            worded("There is no {paper} of this answer", paper=paper), do="Print the answer itself"
        )
    return page


def _query(fields: Mapping[str, str]) -> str:
    return urlencode({name: value for name, value in fields.items() if value and name != OPEN})


def _ask(request: Request, question: str) -> Response:
    """The question, or its answer when it was asked."""
    fields = _fields(request)
    opened, taken = fields.pop(OPEN, ""), fields.pop(TAKE, "")
    offers = _offers(request, question) if taken else {}
    for offer in (one for each in offers.values() for one in each):
        if offer.take == taken:
            return RedirectResponse(f"/ask/{question}?{_query(fields | offer.fields)}", status_code=303)
    asked = DOORS[question](fields, opened, today(request), counted_in(open_lab(request)))
    chosen = {
        one.name
        for row in (*asked.rows, *asked.more)
        for one in row.controls
        if one.kind in ("choice", "date")
    }
    if opened or not fields.keys() & (set(asked.fields) - chosen):
        return _send_question(request, asked, fields, opened)
    try:
        pages = _pages(request, question)
    except StillroomError as error:
        trouble = trouble_of(error, set(asked.fields))
        return _send_question(request, asked, fields, "", trouble, status_of(error))
    papers = tuple(name for name, one in (("lesson", pages.lesson), ("label", pages.label)) if one)
    mixes = bool(open_lab(request) and pages.recipe and pages.recipe())
    return _send_answer(request, pages.page, question, "", papers, mixes=mixes)


def _house(request: Request, question: str) -> dict[str, Condition]:
    """What the house that is open noted last, by field of the question; nothing where none is."""
    lab = open_lab(request)
    return offered(lab, question) if lab else {}


@dataclass(frozen=True, slots=True)
class Offer:
    """What the book can answer with one tap."""

    take: str
    """What the tap sends."""
    words: str
    """What is taken."""
    fields: dict[str, str]
    """What the question is told."""


def _offers(request: Request, question: str) -> dict[str, tuple[Offer, ...]]:
    """What the book that is open can answer of the question, by the field it stands beside."""
    noted = {
        field: (Offer(field, f"{one.as_written}, {one.age(now(request))}", {field: f"{one.value:g}"}),)
        for field, one in _house(request, question).items()
    }
    lab = open_lab(request)
    vessels = vessels_offered(lab, question) if lab else ()
    filled = tuple(Offer(one.code, one.words, dict(one.fields)) for one in vessels)
    return noted | ({"amount": filled} if filled else {})


def _send_question(
    request: Request,
    asked: AskForm,
    fields: dict[str, str],
    opened: str,
    trouble: Trouble | None = None,
    status: int = 200,
) -> Response:
    form = Form(
        title=asked.title,
        kind="ask",
        action=f"/ask/{asked.name}",
        button=asked.button,
        rows=(),
        here=HERE,
        back="/ask",
        lead=asked.lead,
    )
    folded = {one.name for row in asked.more for one in row.controls}
    told_at = trouble.at.keys() if trouble else set()
    unfold = opened in folded or bool(folded & (fields.keys() | told_at))
    return send_form(
        request, form, Typed(fields), trouble, status=status, template="ask_question.html",
        question=asked, opened=opened, unfold=unfold, offers=_offers(request, asked.name), take=TAKE,
        others=tuple(
            (words, f"/ask/{asked.name}{f'?{OPEN}={name}' if name else ''}", "quiet") for words, name in asked.others
        ),
    )  # fmt: skip


def _send_answer(
    request: Request, page: Page, question: str, paper: str, papers: tuple[str, ...], *, mixes: bool = False
) -> Response:
    query = _query(_fields(request))
    whole = f"/ask/{question}"
    address = f"{whole}/{paper}" if paper else whole
    prints = [
        {"text": t("Print on paper"), "href": f"{address}.pdf?{query}"},
        {"text": t("As plain text"), "href": f"{address}.txt?{query}"},
    ]
    words = {"lesson": "As a lesson", "label": t("A label for the bottle")}
    doing = [(words[one], f"{whole}/{one}?{query}", "quiet") for one in papers]
    if not paper and question in KEPT:
        doing.insert(0, (t("Keep in the book?"), f"{whole}/keep?{query}", ""))
    if mixes:
        doing = [(words, at, "quiet") for words, at, _ in doing]
        doing.insert(0, (t("Make it now, as a lot"), f"{whole}/make?{urlencode({'asked': query})}", ""))
    if paper:
        doing.append((t("The answer"), f"{whole}?{query}", "quiet"))
    entries = DOORS[question](_fields(request), "", today(request)).entries
    again = (f"{whole}?{query}&{OPEN}={entries[0]}", whole)
    doing += [(t("Alter an entry"), again[0], "quiet"), (t("Ask again"), again[1], "quiet")]
    return send_page(
        request, page, here=HERE, template="ask_answer.html",
        doing=tuple(doing), prints=tuple(prints), twin=f"{address}.json?{query}",
    )  # fmt: skip


def _serve(question: str, paper: str) -> None:
    """Register an answer, or one of its papers, with its twins."""
    path = f"/ask/{question}/{paper}" if paper else f"/ask/{question}"

    def data(request: Request) -> Response:
        return JSONResponse(page_json(_paper(_pages(request, question), paper)))

    def text(request: Request) -> Response:
        return PlainTextResponse(page_text(_paper(_pages(request, question), paper)))

    def sheet(request: Request) -> Response:
        return send_sheet(request, _paper(_pages(request, question), paper), paper or question)

    def html(request: Request) -> Response:
        if not paper:
            return _ask(request, question)
        return _send_answer(request, _paper(_pages(request, question), paper), question, paper, ())

    for suffix, view in ((".json", data), (".txt", text), (".pdf", sheet), ("", html)):
        router.serve(path + suffix, kept(view), needs="reader")


for _question in DOORS:
    _papers = declared(_question).papers
    for _paper_name in (*_papers, ""):
        _serve(_question, _paper_name)


@router.get("/ask", needs="reader")
def doors(request: Request) -> Response:
    """The questions that can be asked with nothing set up."""
    form = Form(
        title=t("What do you want to know?"),
        kind="ask",
        action="/ask",
        button="",
        rows=(),
        here=HERE,
        back="/ask",
        lead=t("Nothing to set up, no name, nothing written in a book."),
    )
    return send_form(request, form, template="ask.html", doors=_doors_told(), sums=_sums_told())


FIRST_DOORS = {
    "dilute": (
        later("Dilute spirit"),
        later("Four entries: masses, marks, what the alcoholometer should show, a label."),
    ),
    "offer": (
        later("Answer an enquiry"),
        later("Can I promise this? What to buy, the date you can keep, cost, price, each with its chance."),
    ),
    "dose": (
        later("Dose from an extract"),
        later("Six entries: grams, the upper bound against the law, the next lot."),
    ),
    "order": (
        later("Plan an order"),
        later("Six entries: plant, spirit, packaging, days and money for an order of bottles."),
    ),
}
SUMS = {
    **{name: declared(name).title for name in VERBS if name not in FIRST_DOORS},
}
"""Questions as they stand on the page: three doors, then the sums of the bench."""


def _doors_told() -> tuple[tuple[str, str, str], ...]:
    """Words, address and what comes of it."""
    return tuple((t(called), f"/ask/{one}", t(comes)) for one, (called, comes) in FIRST_DOORS.items())


def _sums_told() -> tuple[tuple[str, str, str], ...]:
    """Words, address and manner."""
    sums = tuple((t(called), f"/ask/{one}", "quiet") for one, called in SUMS.items())
    return (*sums, (t("Reagents, lowest hazard first"), "/reagents", "quiet"))
