"""The factor of a titrant of the laboratory: found from its weighed standard, or written where it is known.

Decides nothing about what may be entered. Its addresses stand before those of the lots under test.
"""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from stillroom.actions.in_hand import apparatus, lot_choices
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.titrant_factors import find_factor
from stillroom.actions.titrating import Titrated, factor_titrant
from stillroom.records.lots import LotKind
from stillroom.reference.tables import table
from stillroom.substances.acids import STANDARDS
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Choices, Form, Signed, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, write

router = APIRouter()
HERE = "Test"
REPLICATES = 5
FEWEST = 3
FOUND, KNOWN = "/test/titrant/standard", "/test/titrant/factor"


def _reagents(lab: Laboratory) -> Choices:
    lots = lot_choices(lab, kinds=(LotKind.REAGENT,))
    return tuple(
        (one.code, f"{one.code}, {one.name}" + (f" ({one.refused})" if one.refused else "")) for one in lots
    )


def _tools(lab: Laboratory, *kinds: str) -> Choices:
    return tuple((one.code, f"{one.code}, {one.name}") for kind in kinds for one in apparatus(lab, kind))


def _from_standard(lab: Laboratory) -> Form:
    replicates = tuple(
        (
            Ask(
                f"standard-taken-{at}",
                t("titrants_form.standard_at", at=at),
                "figure",
                "g",
                required=at <= FEWEST,
            ),
            Ask(
                f"standard-titre-{at}",
                t("titrants_form.titrant_used", at=at),
                "figure",
                t("titrants_form.millilitres_or_grams"),
                required=at <= FEWEST,
            ),
        )
        for at in range(1, REPLICATES + 1)
    )
    standards = tuple((one.key, one.key) for one in table(STANDARDS).rows)
    return Form(
        title=t("titrants_form.find_factor_titrant"),
        kind="test",
        lead=t("titrants_form.primary_standard_weighed_least"),
        action=FOUND,
        button=t("titrants_form.find_the_factor"),
        here=HERE,
        back="/test",
        rows=(
            Ask("lot", t("titrants_form.titrant"), choices=_reagents(lab)),
            Ask("strength", t("titrants_form.nominal_strength"), hint=t("titrants_form.titrant_weighed")),
            Ask("standard", t("titrants_form.primary_standard"), choices=standards),
            *replicates,
            Ask(
                "blank",
                t("titrants_form.blank_without_the_standard"),
                "figure",
                t("titrants_form.millilitres_or_grams"),
            ),
            (
                Ask("scale", t("titrants_form.scale"), choices=_tools(lab, "scale")),
                Ask(
                    "burette",
                    t("titrants_form.titrant_measured_with"),
                    choices=_tools(lab, "burette", "scale"),
                ),
            ),
            (
                Ask("temperature", t("titrants_form.burette_read_at"), "figure", "°C", required=False),
                Ask("content", t("titrants_form.content_of_the_standard"), "figure", "%", required=False),
            ),
        ),
        links=((t("titrants_form.write_a_known_factor"), KNOWN),),
    )


def _known(lab: Laboratory) -> Form:
    return Form(
        title=t("titrants_form.factor_of_a_titrant"),
        kind="test",
        lead=t("titrants_form.nominal_strength_factor_found"),
        action=KNOWN,
        button=t("titrants_form.write_the_factor"),
        here=HERE,
        back="/test",
        rows=(
            Ask("lot", t("titrants_form.titrant"), choices=_reagents(lab)),
            Ask("strength", t("titrants_form.nominal_strength"), hint=t("titrants_form.titrant_weighed")),
            (
                Ask("factor", t("titrants_form.factor"), "figure"),
                Ask("factor-uncertainty", t("titrants_form.standard_uncertainty_factor"), "figure"),
            ),
        ),
        links=((t("titrants_form.find_weighed_standard"), FOUND),),
    )


def _find(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    weighed = {one.code for one in apparatus(lab, "scale")}
    unit = "g" if typed["burette"] in weighed else "mL"
    pairs = [
        (typed.amount(f"standard-taken-{at}", "g"), typed.amount(f"standard-titre-{at}", unit))
        for at in range(1, REPLICATES + 1)
    ]
    return find_factor(
        lab,
        typed["lot"],
        [Titrated(mass, titre) for mass, titre in pairs if mass or titre],
        standard=typed["standard"],
        strength=typed["strength"],
        blank=typed.amount("blank", unit),
        scale=typed["scale"],
        burette=typed["burette"],
        content=typed["content"],
        temperature=typed.amount("temperature", "°C"),
        **sign,
    )


@router.get(FOUND)
def standard_page(request: Request) -> Response:
    """Room for the weighings of a primary standard."""
    return send_form(request, _from_standard(lab_of(request)))


@router.post(FOUND)
def write_from_standard(request: Request, typed: TypedForm) -> Response:
    """Write the weighings, and the factor where they agree."""
    return write(
        request,
        typed,
        lambda: _from_standard(lab_of(request)),
        lambda lab, sign: _find(lab, typed, sign),
        then="/test",
    )


@router.get(KNOWN)
def factor_page(request: Request) -> Response:
    """Room for the factor of a titrant."""
    return send_form(request, _known(lab_of(request)))


@router.post(KNOWN)
def write_factor(request: Request, typed: TypedForm) -> Response:
    """Write the factor of a titrant."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        return factor_titrant(
            lab,
            typed["lot"],
            strength=typed["strength"],
            factor=typed["factor"],
            factor_standard_uncertainty=typed["factor-uncertainty"],
            **sign,
        )

    return write(request, typed, lambda: _known(lab_of(request)), act, then="/test")
