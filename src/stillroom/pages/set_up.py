"""The set-up sheet of a Soxhlet or a reflux: what is checked before heat, with glass, amounts, ticks and cautions."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.house.glass_at_hand import glass_for, is_told_of_glass, told_of
from stillroom.actions.orders.amounts_planned import planned
from stillroom.documents.blocks import Block, Heading, Page, PenLines, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.how_it_runs import how_blocks
from stillroom.errors import NotEnough, worded
from stillroom.records.procedures import Procedure, Step
from stillroom.store.reader import Reader
from stillroom.stream.cautions import cautions_of
from stillroom.stream.kinds.fits_the_glass import THIMBLE
from stillroom.texts.catalogue import later, t

LOOKED_AT = (
    later("Glass without cracks or stars; ground joints clean, thinly greased or with sleeves, and clamped"),
    later("The way up to the air is open: nothing closes the top of the condenser"),
    later("Water runs in at the lower end of the condenser and is seen leaving; hoses are tied"),
    later("The flask is at most two thirds full, with fresh chips, put in cold"),
    later("The heater fits the flask, and can be pulled away or lowered at once"),
    later("No flame and no open element in the room; an extinguisher is within reach"),
)
"""Common practice, no source."""
IN_THE_THIMBLE = later(
    "Plant ends a finger below the crest of the siphon, at most two thirds of the thimble, wool on top"
)
MEASURED = later(
    "Once for this glass: pour water into the empty extractor until it siphons, and note how much went in and how much "
    "stayed. Their ratio is the fastest fall there can be."
)


def show_set_up(lab: Laboratory, code: str) -> Page:
    """What is checked before the Soxhlet or the reflux of a batch is heated.

    Raises
    ------
    NotEnough
        The batch has neither.
    """
    with lab.look() as look:
        procedure = look.procedure_of(code)
        step = next((one for one in procedure.steps if is_told_of_glass(one)), None)
        if step is None:
            raise NotEnough(
                "A set-up sheet is made for a Soxhlet or a reflux", worded("none in {code}", code=code)
            )
        siphons = THIMBLE in told_of(step)
        looked_at = (*LOOKED_AT, IN_THE_THIMBLE) if siphons else LOOKED_AT
        wanted = planned(look, code)
        runs = wanted.runs.get(step.name)
        blocks: list[Block] = [
            Prose(step.says),
            *_amounts(step, wanted.grams),
            *_glass(look, procedure),
            Heading(t("Before heat")),
            Points(tuple(dict.fromkeys((*(t(one) for one in looked_at), *step.ticks))), "missing"),
            *((Prose(t(MEASURED), quiet=True),) if siphons else ()),
            PenLines((t("Looked at by"), t("Heater on at"))),
            *(caution_block(key) for key in cautions_of(step, (one.substance for one in procedure.lines))),
            *(how_blocks(step.name, runs) if runs else ()),
            *([Points((wanted.because,), "missing")] if wanted.because else []),
        ]
        return Page(
            title=t("{batch}: set-up before heat", batch=code),
            kind="set-up sheet",
            code=code,
            blocks=tuple(blocks),
            **facts_of(look),
            lead=t("What is checked before heat. Local codes and licensed practice come first."),
            href=f"/make/{code}/set-up",
        )


def _amounts(step: Step, grams: dict[tuple[str, str], float]) -> list[Block]:
    rows = tuple(
        (name, f"{grams[step.name, name]:.1f} g", "") for name in step.takes if (step.name, name) in grams
    )
    if not rows:
        return []
    return [
        Heading(t("Amounts, all fillings")),
        Table((t("What"), t("Planned"), t("Weighed")), rows, (1,), pen=(2,)),
    ]


def _glass(look: Reader, procedure: Procedure) -> list[Block]:
    found = glass_for(look, procedure)
    if not found:
        none = t(
            "No extractor, thimble, flask or condenser is noted: add them under Laboratory, and the plan fits them."
        )
        return [Heading(t("Glass")), Prose(none)]
    rows = tuple(
        (one.code, one.name, t(TAKES[one.kind]), f"{one.largest:g} {one.unit}", "") for one in found.values()
    )
    head = (t("Code"), t("What"), "", t("Takes"), t("Looked at"))
    return [Heading(t("Glass")), Table(head, rows, (3,), pen=(4,))]


TAKES = {
    "extractor": later("liquid when it siphons"),
    "thimble": later("plant, up to a finger below the crest"),
    "flask": later("holds when full"),
    "heater": later("the strongest there is"),
    "condenser": later("heat whose vapour it catches"),
}
