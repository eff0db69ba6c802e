"""The factor of a titrant of the laboratory: found from its weighed standard, or written where it is known.

Decides nothing about what may be entered. Its addresses stand before those of the lots under test.
"""

from stillroom.actions.bench.form_choices import apparatus
from stillroom.actions.bench.lots_offered import lot_choices
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.testing.titrant_factors import factor_titrant, find_factor
from stillroom.records.lot_kinds import kinds_that
from stillroom.substances.acids import standard_names
from stillroom.substances.titrants import titrant_life
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Choices, Form, Signed, Typed

router = Addresses()
HERE = "Test"
REPLICATES = 5
FEWEST = 3
"""Replicates that stand open; the others are folded."""
FOUND, KNOWN = "/test/titrant/standard", "/test/titrant/factor"


def _reagents(lab: Laboratory) -> Choices:
    """Lots used in tests, those that are called a titrant first: the first is preselected."""
    lots = sorted(
        lot_choices(lab, kinds=kinds_that(lambda one: one.used_to == "test")),
        key=lambda one: (
            "mol/" not in f"{one.substance} {one.name}",
            not titrant_life(f"{one.substance} {one.name}").kind,
        ),
    )
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
                t("Standard, {at}", at=at),
                "figure",
                "g",
                required=at <= FEWEST,
            ),
            Ask(
                f"standard-titre-{at}",
                t("Titrant used, {at}", at=at),
                "figure",
                t("mL or g"),
                required=at <= FEWEST,
            ),
        )
        for at in range(1, REPLICATES + 1)
    )
    standards = tuple((one, one) for one in standard_names())
    return Form(
        title=t("Standardise a titrant"),
        kind="test",
        lead=t(
            "A primary standard weighed at least three times, and a blank. A factor is written "
            "when they agree."
        ),
        button=t("Calculate the factor"),
        here=HERE,
        back="/test",
        rows=(
            Ask("lot", t("Titrant"), choices=_reagents(lab)),
            Ask(
                "strength",
                t("Nominal strength"),
                hint=t("0.0200 mol/L, or mol/kg for a titrant that is weighed"),
            ),
            Ask("standard", t("Primary standard"), choices=standards),
            *replicates[:FEWEST],
            Ask(
                "blank",
                t("Blank, without the standard"),
                "figure",
                t("mL or g"),
            ),
            (
                Ask("scale", t("Scale"), choices=_tools(lab, "scale")),
                Ask(
                    "burette",
                    t("Titrant measured with"),
                    choices=_tools(lab, "burette", "scale"),
                ),
            ),
            Ask("temperature", t("Burette read at"), "figure", "°C", required=False),
        ),
        more=(
            *replicates[FEWEST:],
            Ask("content", t("Content of the standard"), "figure", "%", required=False),
            Ask("note", t("Note"), hint=t("Only where a figure is asked about"), required=False),
        ),
        links=((t("Enter a known factor"), KNOWN),),
    )


def _known(lab: Laboratory) -> Form:
    return Form(
        title=t("Factor of a titrant"),
        kind="test",
        lead=t("Nominal strength, and the factor found against the primary standard."),
        button=t("Save the factor"),
        here=HERE,
        back="/test",
        rows=(
            Ask("lot", t("Titrant"), choices=_reagents(lab)),
            Ask(
                "strength",
                t("Nominal strength"),
                hint=t("0.0200 mol/L, or mol/kg for a titrant that is weighed"),
            ),
            (
                Ask("factor", t("Factor"), "figure"),
                Ask("factor-uncertainty", t("Standard uncertainty of the factor"), "figure"),
            ),
        ),
        links=((t("Find it from a weighed standard"), FOUND),),
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
        [pair for pair in pairs if any(pair)],
        standard=typed["standard"],
        strength=typed["strength"],
        blank=typed.amount("blank", unit),
        scale=typed["scale"],
        burette=typed["burette"],
        content=typed["content"],
        temperature=typed.amount("temperature", "°C"),
        note=typed["note"],
        **sign,
    )


def _write_factor(lab: Laboratory, typed: Typed, sign: Signed) -> Done:
    """Write the factor of a titrant."""
    return factor_titrant(
        lab,
        typed["lot"],
        strength=typed["strength"],
        factor=typed["factor"],
        factor_standard_uncertainty=typed["factor-uncertainty"],
        **sign,
    )


serve_form(router, FOUND, _from_standard, _find, then="/test")
serve_form(router, KNOWN, _known, _write_factor, then="/test")
