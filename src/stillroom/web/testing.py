"""Tests and assays: what is entered are readings, what comes out is reckoned from them."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from stillroom.actions.in_hand import LotChoice, apparatus, lot_choices, lot_in_hand, titrants
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.ph_readings import READ_BY, read_ph
from stillroom.actions.showing import show_lot
from stillroom.actions.showing_house import show_testing
from stillroom.actions.testing import leave_residue_untested, read_test, report_residue
from stillroom.actions.titrating import Titrated, titrate
from stillroom.documents.blocks import Page
from stillroom.records.lots import LotKind
from stillroom.reference.cautions import caution
from stillroom.reference.tables import table
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Choices, Form, Signed, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = APIRouter()
HERE = "Test"
PORTIONS = 4
WAYS = (("back", "back"), ("direct", "direct"))


def _seen() -> tuple[tuple[str, str], ...]:
    return (
        ("", t("seen.choose")),
        ("precipitate", t("seen.precipitate")),
        ("clear", t("seen.clear")),
        ("unclear", t("seen.unclear")),
        ("not done", t("seen.not_done")),
    )


def _form(lab: Laboratory, lot: str, title: str, act: str, button: str, *rows: Any, **more: Any) -> Form:
    known = lot_in_hand(lab, lot)
    return Form(
        title=title,
        kind=f"test of {lot}, {known.name}",
        action=f"/test/{lot}/{act}",
        button=button,
        rows=rows,
        here=HERE,
        back=f"/test/{lot}",
        **more,
    )


def _reagents(lab: Laboratory) -> Choices:
    known = {one.key for one in table("reagents").rows}
    lots = [one for one in lot_choices(lab, kinds=(LotKind.REAGENT,)) if one.substance in known]
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
        t("testing_form.precipitate_test"),
        "control",
        t("testing_form.write_what_was_seen"),
        Ask(
            "reagent",
            t("testing_form.reagent"),
            choices=_reagents(lab),
            hint=t("testing_form.released_date_nothing_counts"),
        ),
        Ask("sample", t("testing_form.the_sample_gave"), choices=_seen()),
        Ask("blank", t("testing_form.the_blank_gave"), choices=_seen()),
        Ask("positive", t("testing_form.the_positive_control_gave"), choices=_seen()),
        lead=t("testing_form.all_three_side_side"),
        cautions=(caution("missing-control"), caution("assay-aliquots")),
    )


def _titration(lab: Laboratory, lot: str) -> Form:
    rows = [
        (
            Ask(
                f"sample-taken-portion-{at}",
                t("testing_form.sample_portion", at=at),
                "figure",
                "g",
                required=at == 1,
            ),
            Ask(
                f"sample-titre-portion-{at}",
                t("testing_form.titre_portion", at=at),
                "figure",
                t("testing_form.millilitres_or_grams"),
                required=at == 1,
            ),
        )
        for at in range(1, PORTIONS + 1)
    ]
    return _form(
        lab,
        lot,
        t("testing_form.titration_of_total_alkaloids"),
        "titration",
        t("testing_form.reckon_the_assay"),
        *rows,
        (
            Ask(
                "blank-titre",
                t("testing_form.blank"),
                "figure",
                t("testing_form.millilitres_or_grams"),
                required=False,
                hint=t("testing_form.without_blank_nothing_counts"),
            ),
            Ask(
                "nominal-titre",
                t("testing_form.blank_by_reckoning"),
                "figure",
                t("testing_form.millilitres_or_grams"),
                required=False,
                hint=t("testing_form.shows_leaving_blank_out"),
            ),
        ),
        (
            Ask("titrant", t("testing_form.titrant"), choices=_named(titrants(lab))),
            Ask("way", t("testing_form.way"), choices=WAYS),
        ),
        (
            Ask("scale", t("testing_form.scale"), choices=_tools(lab, "scale")),
            Ask(
                "burette",
                t("testing_form.titrant_measured_with"),
                choices=(*_tools(lab, "burette"), *_tools(lab, "scale")),
            ),
            Ask(
                "temperature",
                t("testing_form.burette_temperature"),
                "figure",
                "°C",
                required=False,
                hint=t("testing_form.titres_brought_to_20"),
            ),
        ),
        lead=t("testing_form.sample_taken_titrant_used"),
        links=(
            (t("testing_form.find_factor_titrant"), "/test/titrant/standard"),
            (t("testing_form.write_a_known_factor"), "/test/titrant/factor"),
        ),
        cautions=(caution("missing-control"), caution("assay-aliquots")),
    )


def _residue(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("testing_form.residue_of_the_solvent"),
        "residue",
        t("testing_form.write_the_residue"),
        Ask("solvent", t("testing_form.solvent"), value="ethyl acetate"),
        (
            Ask("found", t("testing_form.found"), "figure", "mg/kg"),
            Ask(
                "below",
                t("testing_form.it_says"),
                choices=(("", "found"), ("yes", t("testing_form.below_this_figure"))),
                required=False,
            ),
        ),
        (
            Ask("uncertainty", t("testing_form.standard_uncertainty"), "figure", "mg/kg", required=False),
            Ask("report", t("testing_form.number_of_the_report")),
        ),
        lead=t("testing_form.outside_laboratory_reported_upper"),
    )


def _untested(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("testing_form.leave_the_residue_untested"),
        "untested",
        t("testing_form.write_not_tested"),
        Ask("why", t("testing_form.why"), "long"),
        lead=t("testing_form.certificate_will_say_not"),
    )


def _ph(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        "pH",
        "ph",
        t("testing_form.write_the_ph"),
        (
            Ask("ph", t("testing_form.it_showed"), "figure"),
            Ask("read-by", t("testing_form.read_with"), choices=(("", "choose"), *READ_BY.items())),
        ),
        Ask("meter-buffers", t("testing_form.meter_calibrated"), required=False, hint="4.01, 6.86"),
        Ask("band", t("testing_form.wanted"), required=False, hint="4.5 to 5.5"),
        lead=t("testing_form.strip_tells_half_unit"),
        cautions=(caution("preservation"),),
    )


FORMS = {"control": _control, "titration": _titration, "ph": _ph, "residue": _residue, "untested": _untested}


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
    if name == "residue":
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
    weighed = {one.code for one in apparatus(lab, "scale")}
    unit = "g" if typed["burette"] in weighed else "mL"
    pairs = [
        (typed.amount(f"sample-taken-portion-{at}", "g"), typed.amount(f"sample-titre-portion-{at}", unit))
        for at in range(1, PORTIONS + 1)
    ]
    portions = [Titrated(mass, titre) for mass, titre in pairs if mass or titre]
    return titrate(
        lab,
        lot,
        portions,
        blank=typed.amount("blank-titre", unit),
        nominal=typed.amount("nominal-titre", unit),
        titrant=typed["titrant"],
        scale=typed["scale"],
        burette=typed["burette"],
        way=typed["way"],
        temperature=typed.amount("temperature", "°C"),
        **sign,
    )


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
        then=f"/test/{lot}",
    )


def _doing(_: Laboratory, __: Page, code: str) -> dict[str, Any]:
    at = f"/test/{code}"
    return {
        "doing": (
            (t("testing_form.precipitate_test"), f"{at}/control", ""),
            (t("testing_form.titration"), f"{at}/titration", ""),
            ("pH", f"{at}/ph", "quiet"),
            (t("testing_form.result_of_another_laboratory"), f"/stock/{code}/outside-result", "quiet"),
            (t("testing_form.loss_on_drying"), f"/stock/{code}/drying", "quiet"),
            (t("testing_form.solvent_residue"), f"{at}/residue", "quiet"),
            (t("testing_form.residue_not_tested"), f"{at}/untested", "quiet"),
        )
    }


def _of_testing(_: Laboratory, __: Page) -> dict[str, Any]:
    return {"doing": ((t("testing_form.reagents_safest_first"), "/reagents", "quiet"),)}


serve_page(router, "/test", show_testing, here=HERE, extras=_of_testing)
serve_page(router, "/test/{code}", show_lot, here=HERE, extras=_doing)
