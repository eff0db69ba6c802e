"""Tests and assays: what is entered are readings, what comes out is reckoned from them."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from stillroom.actions.bench.form_choices import apparatus, is_a_lot, is_begun, next_up
from stillroom.actions.bench.lots_offered import LotChoice, lot_choices, lot_in_hand
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.testing.kinds import kinds_of_test
from stillroom.actions.testing.ph_readings import read_ph
from stillroom.actions.testing.precipitate_tests import leave_residue_untested, read_test, report_residue
from stillroom.answers.ph_words import READ_BY
from stillroom.documents.blocks import Page
from stillroom.pages.lists import show_testing
from stillroom.pages.stock import show_lot
from stillroom.records.lot_kinds import kinds_that
from stillroom.reference.cautions import caution
from stillroom.reference.tables import table
from stillroom.texts.catalogue import t
from stillroom.web.acts import serve_act
from stillroom.web.forms import Ask, Choices, Form, Signed, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = APIRouter()
HERE = "Test"


def _seen() -> tuple[tuple[str, str], ...]:
    return (
        ("", t("choose")),
        ("precipitate", t("a precipitate")),
        ("clear", t("clear")),
        ("unclear", t("unclear")),
        ("not done", t("not done")),
    )


def _form(lab: Laboratory, lot: str, title: str, act: str, button: str, *rows: Any, **more: Any) -> Form:
    running = act == "ph" and not is_a_lot(lab, lot) and is_begun(lab, lot)
    called = next_up(lab, lot).title if running else lot_in_hand(lab, lot).name
    return Form(
        title=title,
        kind=f"test of {lot}, {called}",
        action=f"/test/{lot}/{act}",
        button=button,
        rows=rows,
        here=HERE,
        back=f"/make/{lot}" if running else f"/test/{lot}",
        **more,
    )


def _reagents(lab: Laboratory) -> Choices:
    known = {one.key for one in table("reagents").rows}
    lots = [
        one
        for one in lot_choices(lab, kinds=kinds_that(lambda one: one.used_to == "test"))
        if one.substance in known
    ]
    return tuple(
        (one.code, f"{one.substance}: {one.code}" + (f" ({one.refused})" if one.refused else ""))
        for one in lots
    )


def _tools(lab: Laboratory, kind: str) -> Choices:
    return tuple((one.code, f"{one.code}, {one.name}") for one in apparatus(lab, kind))


def _named(lots: tuple[LotChoice, ...]) -> Choices:
    return tuple(
        (one.code, f"{one.code}, {one.name}" + (f" ({one.refused})" if one.refused else "")) for one in lots
    )


def _control(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("Precipitate test"),
        "control",
        t("Save what was seen"),
        Ask(
            "reagent",
            t("Reagent"),
            choices=_reagents(lab),
            hint=t("Released and in date, or nothing counts"),
        ),
        Ask("sample", t("The sample gave"), choices=_seen()),
        Ask("blank", t("The blank gave"), choices=_seen()),
        Ask("positive", t("The positive control gave"), choices=_seen()),
        lead=t("All three side by side, in the same light. The outcome is calculated from what was seen."),
        cautions=(caution("missing-control"), caution("assay-aliquots")),
    )


def _residue(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("Residue of the solvent"),
        "residue",
        t("Save the residue"),
        Ask("solvent", t("Solvent")),
        (
            Ask("found", t("Found"), "figure", "mg/kg"),
            Ask(
                "below",
                t("It says"),
                choices=(("", "found"), ("yes", t("below this figure"))),
                required=False,
            ),
        ),
        (
            Ask("uncertainty", t("Standard uncertainty"), "figure", "mg/kg", required=False),
            Ask("report", t("Number of the report")),
        ),
        lead=t("As an outside laboratory reported it. The upper bound stands against the limit."),
    )


def _untested(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("Leave the residue untested"),
        "untested",
        t("Save that it was not tested"),
        Ask("why", t("Why"), "long"),
        lead=t("The certificate will say: not tested."),
    )


def _ph(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        "pH",
        "ph",
        t("Save the pH"),
        (
            Ask("ph", t("It showed"), "figure"),
            Ask("read-by", t("Read with"), choices=(("", "choose"), *READ_BY.items())),
        ),
        Ask("meter-buffers", t("The meter was calibrated with"), required=False, hint="4.01, 6.86"),
        Ask("band", t("Wanted"), required=False, hint="4.5 to 5.5"),
        lead=t(
            "A strip tells half a unit either way: it decides no narrow band. A meter is "
            "calibrated on both sides."
        ),
        cautions=(caution("preservation"),),
    )


FORMS = {"control": _control, "ph": _ph, "residue": _residue, "untested": _untested}


def _act(lab: Laboratory, lot: str, name: str, typed: Typed, sign: Signed) -> Done:
    if name == "control":
        test = lot_in_hand(lab, typed["reagent"]).substance
        return read_test(
            lab,
            lot,
            test,
            typed["reagent"],
            sample=typed["sample"],
            blank=typed["blank"],
            positive_control=typed["positive"],
            **sign,
        )
    if name == "ph":
        return read_ph(
            lab,
            lot,
            typed["ph"],
            read_by=typed["read-by"],
            meter_buffers=typed["meter-buffers"],
            band=typed["band"],
            **sign,
        )
    if name == "untested":
        return leave_residue_untested(lab, lot, why=typed["why"], **sign)
    return report_residue(
        lab,
        lot,
        typed["solvent"],
        typed.amount("found", "mg/kg"),
        laboratory_report=typed["report"],
        below=typed["below"] == "yes",
        standard_uncertainty=typed["uncertainty"],
        **sign,
    )


for one in kinds_of_test():
    serve_act(router, one)


@router.get("/test/{lot}/{act}")
def form_of_test(request: Request, lot: str, act: str) -> Response:
    """Room for a test."""
    if act not in FORMS:
        raise HTTPException(404)
    return send_form(request, FORMS[act](lab_of(request), lot))


@router.post("/test/{lot}/{act}")
def write_test(request: Request, lot: str, act: str, typed: TypedForm) -> Response:
    """Write a test, and lead to what it gave."""
    if act not in FORMS:
        raise HTTPException(404)
    return write(
        request,
        typed,
        lambda: FORMS[act](lab_of(request), lot),
        lambda lab, sign: _act(lab, lot, act, typed, sign),
        then=f"/test/{lot}" if is_a_lot(lab_of(request), lot) else f"/make/{lot}",
    )


def _doing(_: Laboratory, __: Page, code: str) -> dict[str, Any]:
    at = f"/test/{code}"
    return {
        "doing": (
            (t("Precipitate test"), f"{at}/control", ""),
            (t("Titration"), f"{at}/titration", ""),
            ("pH", f"{at}/ph", "quiet"),
            (t("Result of another laboratory"), f"/stock/{code}/outside-result", "quiet"),
            (t("Loss on drying"), f"/stock/{code}/drying", "quiet"),
            (t("Solvent residue"), f"{at}/residue", "quiet"),
            (t("Residue not tested"), f"{at}/untested", "quiet"),
        )
    }


def _of_testing(_: Laboratory, __: Page) -> dict[str, Any]:
    return {"doing": ((t("Reagents, lowest hazard first"), "/reagents", "quiet"),)}


serve_page(router, "/test", show_testing, here=HERE, extras=_of_testing)
serve_page(router, "/test/{code}", show_lot, here=HERE, extras=_doing)
