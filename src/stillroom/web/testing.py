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
from stillroom.web.forms import Ask, Choices, Form, Signed, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = APIRouter()
HERE = "Test"
PORTIONS = 4
SEEN = (
    ("", "choose"),
    ("precipitate", "a precipitate"),
    ("clear", "clear"),
    ("unclear", "unclear"),
    ("not done", "not done"),
)
WAYS = (("back", "back"), ("direct", "direct"))


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
        "Precipitate test",
        "control",
        "Write what was seen",
        Ask("reagent", "Reagent", choices=_reagents(lab), hint="Released and in date, or nothing counts"),
        Ask("sample", "The sample gave", choices=SEEN),
        Ask("blank", "The blank gave", choices=SEEN),
        Ask("positive", "The positive control gave", choices=SEEN),
        lead="All three side by side, in the same light. The outcome is reckoned from what was seen.",
        cautions=(caution("missing-control"), caution("assay-aliquots")),
    )


def _titration(lab: Laboratory, lot: str) -> Form:
    rows = [
        (
            Ask(f"sample-taken-portion-{at}", f"Sample, portion {at}", "figure", "g", required=at == 1),
            Ask(f"sample-titre-portion-{at}", f"Titre, portion {at}", "figure", "mL or g", required=at == 1),
        )
        for at in range(1, PORTIONS + 1)
    ]
    return _form(
        lab,
        lot,
        "Titration of total alkaloids",
        "titration",
        "Reckon the assay",
        *rows,
        (
            Ask(
                "blank-titre",
                "Blank",
                "figure",
                "mL or g",
                required=False,
                hint="Without a blank nothing counts",
            ),
            Ask(
                "nominal-titre",
                "Blank by reckoning",
                "figure",
                "mL or g",
                required=False,
                hint="Shows what leaving the blank out would do",
            ),
        ),
        (Ask("titrant", "Titrant", choices=_named(titrants(lab))), Ask("way", "Way", choices=WAYS)),
        (
            Ask("scale", "Scale", choices=_tools(lab, "scale")),
            Ask("burette", "Titrant measured with", choices=(*_tools(lab, "burette"), *_tools(lab, "scale"))),
        ),
        lead="Sample taken and titrant used (in g when weighed), portion by portion, beside a blank without sample.",
        links=(
            ("Find the factor of a titrant", "/test/titrant/standard"),
            ("Write a known factor", "/test/titrant/factor"),
        ),
        cautions=(caution("missing-control"), caution("assay-aliquots")),
    )


def _residue(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        "Residue of the solvent",
        "residue",
        "Write the residue",
        Ask("solvent", "Solvent", value="ethyl acetate"),
        (
            Ask("found", "Found", "figure", "mg/kg"),
            Ask("below", "It says", choices=(("", "found"), ("yes", "below this figure")), required=False),
        ),
        (
            Ask("uncertainty", "Standard uncertainty", "figure", "mg/kg", required=False),
            Ask("report", "Number of the report"),
        ),
        lead="As an outside laboratory reported it. The upper bound stands against the limit.",
    )


def _untested(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        "Leave the residue untested",
        "untested",
        "Write that it was not tested",
        Ask("why", "Why", "long"),
        lead="The certificate will say: not tested.",
    )


def _ph(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        "pH",
        "ph",
        "Write the pH",
        (
            Ask("ph", "It showed", "figure"),
            Ask("read-by", "Read with", choices=(("", "choose"), *READ_BY.items())),
        ),
        Ask("meter-buffers", "The meter was calibrated with", required=False, hint="4.01, 6.86"),
        Ask("band", "Wanted", required=False, hint="4.5 to 5.5"),
        lead="A strip tells half a unit either way: it decides no narrow band. A meter is calibrated on both sides.",
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
            ("Precipitate test", f"{at}/control", ""),
            ("Titration", f"{at}/titration", ""),
            ("pH", f"{at}/ph", "quiet"),
            ("Result of another laboratory", f"/stock/{code}/outside-result", "quiet"),
            ("Loss on drying", f"/stock/{code}/drying", "quiet"),
            ("Solvent residue", f"{at}/residue", "quiet"),
            ("Residue not tested", f"{at}/untested", "quiet"),
        )
    }


def _of_testing(_: Laboratory, __: Page) -> dict[str, Any]:
    return {"doing": (("Reagents, safest first", "/reagents", "quiet"),)}


serve_page(router, "/test", show_testing, here=HERE, extras=_of_testing)
serve_page(router, "/test/{code}", show_lot, here=HERE, extras=_doing)
