"""The form of what is mixed by a recipe: each thing weighed and its lot, the ticks, what was different."""

from math import inf

from stillroom.actions.bench.form_choices import apparatus, scale_for
from stillroom.actions.bench.lots_offered import LotChoice, lot_choices
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.weighing import Weighed
from stillroom.products.reagent import ReagentLine, ScaledReagent
from stillroom.records.lot_kinds import Traits, kinds_that
from stillroom.records.mixtures import MADE
from stillroom.records.people import Apparatus
from stillroom.records.procedures import Line, Procedure
from stillroom.reference.cautions import caution
from stillroom.texts.catalogue import t
from stillroom.web.acts import tools
from stillroom.web.forms import Ask, Choices, Form, Row, Typed, field_name


def making_form(
    lab: Laboratory, scaled: ScaledReagent, *, back: str, action: str = "", more: tuple[Row, ...] = ()
) -> Form:
    """Room for what is weighed.

    Parameters
    ----------
    scaled : ScaledReagent
        The recipe for the amount that is made. [record]
    back, action : str
        Addresses. [text]
    more : tuple of Row
        What else is asked, before what was different.
    """
    procedure = scaled.procedure
    step, on = procedure.steps[0], scale_that_takes(lab, scaled)
    lines = tuple(_line(lab, one) for one in scaled.lines)
    ticks = tuple(
        Ask(f"tick-{at}", words, choices=(("", t("not yet")), ("yes", "yes")))
        for at, words in enumerate(step.ticks, start=1)
    )
    return Form(
        title=t("Make {title}", title=procedure.title),
        kind="reagent",
        action=action,
        button=t("Save what was made"),
        rows=(
            (
                Ask("code", t("Code of the lot"), hint=t("As it goes on the bottle")),
                Ask("scale", t("Scale"), choices=tools(lab, "scale"), value=on.code if on else ""),
            ),
            *lines,
            Ask(
                f"mass-{MADE}",
                t("What stands in the bottle"),
                "figure",
                "g",
                required=False,
                hint=t("Everything that went in, where nothing is said"),
            ),
            *ticks,
            *more,
            Ask("note", t("What was different"), "long", required=False),
            Ask("amount", "", "hidden", value=f"{scaled.amount.value:g} {scaled.amount.unit}"),
        ),
        here="Test",
        back=back,
        lead=step.says,
        cautions=tuple(caution(key) for key in step.cautions),
    )


def scale_that_takes(lab: Laboratory, scaled: ScaledReagent) -> Apparatus | None:
    """Of the scales that take everything that is weighed, the one that reads the least of it to a hundredth."""
    masses = [one.mass.value for one in scaled.lines if one.mass is not None]
    take = [one for one in apparatus(lab) if (one.largest or inf) >= sum(masses)]
    return scale_for(take or apparatus(lab), min(masses, default=None))


def weighed_in(typed: Typed, procedure: Procedure) -> list[Weighed]:
    """What was weighed, as it was typed."""
    names = [field_name(one.name) for one in procedure.lines]
    weighed = [
        Weighed(line.name, typed.amount(f"mass-{name}", "g"), typed[f"lot-{name}"])
        for line, name in zip(procedure.lines, names, strict=True)
    ]
    bottle = f"mass-{MADE}"
    return [*weighed, Weighed(MADE, typed.amount(bottle, "g"))] if typed[bottle] else weighed


def ticked_in(typed: Typed, procedure: Procedure) -> list[str]:
    """The ticks that were made."""
    ticks = procedure.steps[0].ticks
    return [one for at, one in enumerate(ticks, start=1) if typed[f"tick-{at}"] == "yes"]


def _line(lab: Laboratory, one: ReagentLine) -> tuple[Ask, Ask]:
    slug = field_name(one.line.name)
    if one.fills and one.volume:
        hint = t("Up to {volume:g} mL in all: weigh what of it went in", volume=one.volume.value)
    else:
        hint = t(
            "To take: {planned}",
            planned=f"{one.mass.value:g} g" if one.mass else f"{one.volume.value:g} mL" if one.volume else "",
        )
    return (
        Ask(
            f"mass-{slug}",
            t("{line_name}, weighed", line_name=one.line.name.capitalize()),
            "figure",
            "g",
            hint=hint,
        ),
        Ask(f"lot-{slug}", t("From lot"), choices=_lots_for(lab, one.line)),
    )


def _lots_for(lab: Laboratory, line: Line) -> Choices:
    """Lots of the substance; any clear spirit for a spirit; where there is none, what else may hold it."""
    kinds = kinds_that(lambda one: one.is_clear) if line.is_spirit else ()
    lots = lot_choices(lab, kinds=kinds) if line.is_spirit else lot_choices(lab, substance=line.substance)
    lots = lots or lot_choices(lab, kinds=kinds_that(_may_hold_it))
    return (
        ("", t("choose") if lots else t("none on the shelf")),
        *((one.code, _words(one)) for one in lots),
    )


def _may_hold_it(kind: Traits) -> bool:
    return kind.by_volume in ("acid", "water") or kind.carrier == "ingredient"


def _words(one: LotChoice) -> str:
    return f"{one.code}, {one.name}" + (f" ({one.refused})" if one.refused else "")
