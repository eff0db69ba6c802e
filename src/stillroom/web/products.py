"""What was made: reviewed and released, with its certificate and its label."""

from typing import Any
from urllib.parse import quote, urlencode

from fastapi import Request
from fastapi.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from stillroom.actions.bench.form_choices import lacks_density, people, released_by
from stillroom.actions.bench.lots_offered import lot_in_hand
from stillroom.actions.book.ceilings import ceiling_wanted
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.releasing.deciding import decide_lines, release, review_release
from stillroom.actions.releasing.evidence_shown import OUTCOMES, show_paper
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.pages.lists import show_products
from stillroom.pages.release import show_certificate, show_label, show_release, show_whole_certificate
from stillroom.products.papers import OUTCOME_WORDS, paper_name, papers_asked
from stillroom.records.lots import Status
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm
from stillroom.web.kept_pages import kept
from stillroom.web.pages import hand_of, lab_of, send_form, send_page, serve_page, write
from stillroom.web.preferences import send_sheet

router = Addresses()
HERE = "Products"
DECIDE = "decide-"


def _releaser(lab: Laboratory, asked: str) -> str:
    """Who would release: the person asked for, or the first who may."""
    known = people(lab)
    if asked in {one.code for one in known}:
        return asked
    return next((one.code for one in known if one.may_release), known[0].code)


def _who(request: Request, lot: str, asked: str) -> str:
    lab = lab_of(request)
    return _releaser(lab, asked or released_by(lab, lot) or hand_of(request))


def _review(lab: Laboratory, lot: str, by: str) -> Page:
    return show_release(lab, lot, by=by)


def _release(lab: Laboratory, lot: str, by: str) -> Form:
    page = _review(lab, lot, by)
    return Form(
        title=page.title,
        kind="release",
        lead=page.lead,
        action=f"/products/{lot}/release",
        button=t("Release {lot}", lot=lot),
        here=HERE,
        back=f"/stock/{lot}",
        page=page,
        rows=(
            *_to_decide(lab, lot, by),
            Ask(
                "meaning",
                t("What it rests on"),
                "long",
                hint=t("What was read against what: sheet, tests, assay, dose, fill, label"),
            ),
        ),
    )


def _around(lab: Laboratory, lot: str, who: str) -> dict[str, Any]:
    """What the form stands in: who may be looked for, whether something stops it still, the doors to close it by."""
    listed = lot_in_hand(lab, lot).kind.traits.on_release_list
    return {
        "who": who,
        "names": tuple((one.code, one.name) for one in people(lab)),
        "stops": listed and bool(review_release(lab, lot, by=who).stopping),
        "doors": (
            *(_to_close(lab, lot) if listed else ()),
            (t("Trace {lot}", lot=lot), f"/trace/{lot}"),
            (t("Stop {lot}", lot=lot), f"/stock/{lot}/stop"),
        ),
    }


def _to_close(lab: Laboratory, lot: str) -> tuple[tuple[str, str], ...]:
    """Where what a line asks for is done."""
    marker, kind, market = ceiling_wanted(lab, lot)
    kept = ((t("Keep samples"), f"/stock/{lot}/keep-back"),) if kind else ()
    said = {"marker": marker, "kind": kind, "market": market, "lot": lot}
    asked = f"?{urlencode(said, quote_via=quote)}" if marker else ""
    with lab.look() as look:
        batch = look.lot(lot).made_by or ""
        filled = [one.entry_no for one in look.fillings(batch) if one.body.lot.code == lot]
    dated = ((t("Correct the best-before date"), f"/entries/{one}/correct?line=use%20by") for one in filled)
    weighed = ((t("Weigh the density"), f"/make/{batch}/density"),) if lacks_density(lab, batch) else ()
    return (
        *kept,
        *weighed,
        *dated,
        (t("Enter a paper or a test"), f"/products/{lot}/papers/new"),
        (t("Decide by name what is open"), f"/products/{lot}/decide"),
        (t("Test it"), f"/test/{lot}"),
        (t("State a ceiling"), f"/products/ceilings/new{asked}"),
    )


def _to_decide(lab: Laboratory, lot: str, by: str) -> tuple[Ask, ...]:
    """A field for the reason of every line that waits for a name."""
    if not lot_in_hand(lab, lot).kind.traits.on_release_list:
        return ()
    return tuple(
        Ask(
            f"{DECIDE}{one.key}",
            t("Decide: {about}", about=one.about),
            "long",
            required=False,
            hint=f"{one.says.rstrip('.')}. {one.close}",
        )
        for one in review_release(lab, lot, by=by).undecided
    )


def _decisions(typed: Typed) -> dict[str, str]:
    return {
        name.removeprefix(DECIDE): value
        for name, value in typed.fields.items()
        if name.startswith(DECIDE) and value
    }


@router.get("/products/{lot}/certificate.png", needs="reader")
def certificate_picture(request: Request, lot: str) -> Response:
    """The certificate as one picture, to be sent from a phone to a phone."""
    from stillroom.documents.as_sheet import page_picture

    return Response(
        page_picture(show_certificate(lab_of(request), lot)),
        media_type="image/png",
        headers={"Content-Disposition": f"inline; filename*=UTF-8''certificate-{quote(lot)}.png"},
    )


@router.get("/products/{lot}/release.json", needs="reader")
def review_data(request: Request, lot: str, by: str = "") -> Response:
    """The review as data."""
    return JSONResponse(page_json(_review(lab_of(request), lot, _who(request, lot, by))))


@router.get("/products/{lot}/release.txt", needs="reader")
def review_text(request: Request, lot: str, by: str = "") -> Response:
    """The review as text."""
    return PlainTextResponse(page_text(_review(lab_of(request), lot, _who(request, lot, by))))


@router.get("/products/{lot}/release.pdf", needs="reader")
def review_sheet(request: Request, lot: str, by: str = "") -> Response:
    """The review as a sheet."""
    return send_sheet(request, _review(lab_of(request), lot, _who(request, lot, by)), f"release-{lot}")


@router.get("/products/{lot}/release", needs="reader")
@kept
def review_page(request: Request, lot: str, by: str = "") -> Response:
    """What is missing before a lot may go; and where nothing is, the form to let it go."""
    lab = lab_of(request)
    who = _who(request, lot, by)
    known = lot_in_hand(lab, lot)
    if known.status is Status.RELEASED:
        paper = ((t("Certificate"), f"/products/{lot}/certificate", ""),)
        doing = (
            *(paper if "certificate" in known.kind.traits.papers else ()),
            (t("Trace"), f"/trace/{lot}", "quiet"),
        )
        return send_page(request, _review(lab, lot, who), here=HERE, doing=doing)
    return send_form(
        request,
        _release(lab, lot, who),
        Typed({"by": who}),
        template="release.html",
        **_around(lab, lot, who),
    )


@router.post("/products/{lot}/release", needs="checker")
def let_go(request: Request, lot: str, typed: TypedForm) -> Response:
    """Release a lot."""
    lab = lab_of(request)

    def act(lab: Laboratory, sign: Signed) -> Done:
        return release(lab, lot, meaning=typed["meaning"], decisions=_decisions(typed), **sign)

    who = _releaser(lab, typed["by"])
    return write(
        request,
        typed,
        lambda: _release(lab, lot, who),
        act,
        then=f"/products/{lot}/release",
        template="release.html",
        more=lambda: _around(lab, lot, who),
    )


def _deciding(lab: Laboratory, lot: str, by: str) -> Form:
    rows = _to_decide(lab, lot, by)
    return Form(
        title=t("Decide by name: {lot}", lot=lot),
        kind="release",
        lead=t(
            "What the book cannot know. Each decision stands on the certificate with its name and its reason."
        ),
        action=f"/products/{lot}/decide",
        button=t("Save"),
        here=HERE,
        back=f"/products/{lot}/release",
        rows=rows,
    )


@router.get("/products/{lot}/decide", needs="checker")
def deciding_form(request: Request, lot: str, by: str = "") -> Response:
    """A field for every line that waits for a name, or back to the list where none does; the lot stays as it is."""
    form = _deciding(lab_of(request), lot, _who(request, lot, by))
    return send_form(request, form) if form.rows else RedirectResponse(form.back, status_code=303)


@router.post("/products/{lot}/decide", needs="checker")
def decide(request: Request, lot: str, typed: TypedForm) -> Response:
    """Keep what was decided."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return decide_lines(lab, lot, _decisions(typed), **sign)

    lab = lab_of(request)
    return write(
        request,
        typed,
        lambda: _deciding(lab, lot, _releaser(lab, typed["by"])),
        act,
        then=f"/products/{lot}/release",
    )


def _paper(lab: Laboratory, lot: str) -> Form:
    asked = papers_asked(lot_in_hand(lab, lot).kind.traits)
    days = Ask(
        "keeps-days",
        t("Days it shows that the product keeps"),
        "figure",
        required=False,
        hint=t("For stability only"),
    )
    holds_for = Ask(
        "holds-for",
        t("It holds for"),
        choices=(("lot", t("this lot")), ("formula", t("every batch of this formula"))),
    )
    whole = "stability" in asked
    return Form(
        title=t("A paper or a test of {lot}", lot=lot),
        kind="release",
        lead=t("What the release list asks for and this book cannot measure. It stands on the certificate."),
        button=t("Save"),
        here=HERE,
        back=f"/products/{lot}/release",
        rows=(
            (
                Ask(
                    "what",
                    t("Paper or test"),
                    choices=tuple((one, paper_name(one)) for one in asked),
                ),
                Ask(
                    "outcome",
                    t("Outcome"),
                    choices=tuple((one, t(OUTCOME_WORDS[one])) for one in OUTCOMES),
                ),
            ),
            Ask("document", t("Number and issuer")),
            Ask("says", t("What it says"), "long", required=False),
            (
                Ask("dated", t("Dated"), "date", required=False),
                *([days] if whole else []),
            ),
            *([holds_for] if whole else []),
        ),
    )


def _write_paper(lab: Laboratory, typed: Typed, sign: Signed, lot: str) -> Done:
    """Write it."""
    return show_paper(
        lab,
        lot,
        typed["what"],
        outcome=typed["outcome"],
        says=typed["says"],
        document=typed["document"],
        dated=typed["dated"],
        keeps_days=typed["keeps-days"],
        every_batch=typed["holds-for"] == "formula",
        **sign,
    )


serve_form(router, "/products/{lot}/papers/new", _paper, _write_paper, then="/products/{lot}/release")


def _papers(_: Laboratory, __: Page, lot: str) -> dict[str, Any]:
    return {
        "doing": (
            (t("The lot"), f"/stock/{lot}", "quiet"),
            (t("Trace"), f"/trace/{lot}", "quiet"),
        )
    }


def _earlier(lab: Laboratory, lot: str, form: str = "") -> tuple[tuple[str, str, str], ...]:
    """A link to every revision before the last, in the same form."""
    with lab.look() as look:
        issued = [one.body.revision for one in look.certificates(lot)]
    return tuple(
        (
            t("Revision {revision}", revision=one),
            f"/products/{lot}/certificate{form}/revisions/{one}",
            "quiet",
        )
        for one in issued[:-1]
    )


def _certificate(lab: Laboratory, page: Page, lot: str) -> dict[str, Any]:
    doing = (
        *_earlier(lab, lot),
        (t("Whole, for an inspector"), f"/products/{lot}/certificate/whole", "quiet"),
        (t("As one picture for a phone"), f"/products/{lot}/certificate.png", "quiet"),
    )
    return {"doing": (*_papers(lab, page, lot)["doing"], *doing)}


def _revision(lab: Laboratory, page: Page, lot: str, revision: int = 0) -> dict[str, Any]:
    doing = (
        (t("Whole, for an inspector"), f"/products/{lot}/certificate/whole/revisions/{revision}", "quiet"),
        (t("Certificate"), f"/products/{lot}/certificate", "quiet"),
    )
    return {"doing": (*doing, *_papers(lab, page, lot)["doing"])}


def _whole(lab: Laboratory, page: Page, lot: str, **_: Any) -> dict[str, Any]:
    doing = ((t("For the customer"), f"/products/{lot}/certificate", "quiet"),)
    return {"doing": (*_papers(lab, page, lot)["doing"], *doing, *_earlier(lab, lot, "/whole"))}


serve_page(router, "/products/{lot}/certificate", show_certificate, here=HERE, extras=_certificate)
serve_page(
    router, "/products/{lot}/certificate/revisions/{revision}", show_certificate, here=HERE, extras=_revision
)
serve_page(router, "/products/{lot}/certificate/whole", show_whole_certificate, here=HERE, extras=_whole)
serve_page(
    router,
    "/products/{lot}/certificate/whole/revisions/{revision}",
    show_whole_certificate,
    here=HERE,
    extras=_whole,
)
serve_page(router, "/products/{lot}/label", show_label, here=HERE, extras=_papers)
serve_page(router, "/products", show_products, here=HERE)
