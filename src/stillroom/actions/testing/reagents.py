"""What is done with reagents in the book: ticked, made, opened, tried before use, sold.

A dangerous one is made only while the responsible person's tick stands. What was made is a lot like any other: its
movements name the lots it came from, and it waits until somebody releases it.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.lots.receiving import lot_code_must_fit
from stillroom.actions.making.batches import write_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.shelf.reagent_dates import care_of_substance
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.products.reagent import ScaledReagent, scale_reagent
from stillroom.quantities.parse import parse
from stillroom.records.entries import (
    BatchBegun,
    ProcedureWritten,
    ReagentAllowed,
)
from stillroom.records.from_yaml import procedure_to_yaml
from stillroom.records.lots import Lot
from stillroom.records.mixtures import MADE
from stillroom.records.procedures import Procedure
from stillroom.records.reagent_recipes import recipe, recipe_names, recipe_row
from stillroom.store.reader import Reader
from stillroom.substances.reagent_care import Care, care_of
from stillroom.texts.catalogue import t

STEP_UNSAID = "0.01 g"


def amount_asked(text: str) -> Answer:
    """How much reagent a person wants.

    Parameters
    ----------
    text : str
        "100 mL", "50 g".

    Raises
    ------
    BadEntry
        It is neither a volume nor a mass above zero.
    """
    found = parse(text, want=("mass", "volume"), zero_allowed=False, where="amount")
    unit = "g" if found.dimension.startswith("mass") else "mL"
    return reading("amount wanted", found.in_unit(unit), unit, "as asked")


def step_asked(text: str) -> Answer:
    """The smallest step of the scale a person has.

    Parameters
    ----------
    text : str
        "0.01 g".

    Raises
    ------
    BadEntry
        It is no mass above zero.
    """
    value = parse(text, want="mass", zero_allowed=False, where="step").in_unit("g")
    return reading("readability of the scale", value, "g", "as asked")


def scaled_recipe(procedure: Procedure, amount: str, step: str) -> ScaledReagent:
    """A recipe for an amount in words, on a scale in words.

    Parameters
    ----------
    amount : str
        "100 mL"; what the recipe is written for when empty.
    step : str
        "0.01 g"; that when empty.

    Raises
    ------
    BadEntry
        Amount or step cannot be read, or the recipe states no amounts.
    """
    wanted = step_asked(step or STEP_UNSAID)
    return scale_reagent(procedure, amount_asked(amount) if amount else None, wanted)


def procedure_in_book(look: Reader, name: str) -> Procedure:
    """The laboratory's own version of a recipe, or the shipped one.

    Parameters
    ----------
    name : str
        Key of a recipe, or code of a reagent procedure written here.

    Raises
    ------
    UnknownName
        Neither is there.
    """
    for one in look.procedures():
        if one.code == name and one.purpose == "reagent":
            return one
    return recipe(name)


def next_version_of(look: Reader, recipe: Procedure) -> Procedure:
    """A recipe that was worked out, as it stands in the book already, or as the next version there."""
    for one in look.procedures():
        if one.code == recipe.code:
            same = replace(recipe, version=one.version) == one
            return one if same else replace(recipe, version=one.version + 1)
    return recipe


def is_allowed(look: Reader, care: Care | None) -> bool:
    """Whether a reagent may be made here: always, or while the responsible person's tick stands."""
    return care is None or not care.tick or tick_of(look, care.reagent)


def tick_of(look: Reader, reagent: str) -> bool:
    """Whether the tick of a reagent stands."""
    found = [one.body for one in look.entries(kind="reagent allowed", subject=reagent)]
    return bool(found) and isinstance(found[-1], ReagentAllowed) and found[-1].allowed


def allow_reagent(
    lab: Laboratory,
    reagent: str,
    *,
    allowed: bool,
    why: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Tick a dangerous reagent, or take the tick back.

    Raises
    ------
    NotAllowed
        Who signs is not the responsible person.
    BadEntry
        No reason is given, or the reagent needs no tick.
    UnknownName
        There is no such reagent.
    """
    care = care_of(reagent)
    if not care.tick:
        raise BadEntry(
            "Only a dangerous reagent is ticked", care.reagent, "Make it: nothing stands in the way"
        )
    if not why.strip():
        raise BadEntry(
            "A tick has its reason",
            "none",
            "Say why no test of lower hazard serves, and where the waste goes",
            where="why",
        )
    body = ReagentAllowed(care.reagent, allowed, why.strip())
    with lab.act(
        "allow reagent",
        {"reagent": care.reagent, "allowed": allowed, "why": why},
        by=by,
        at=at,
        request_key=request_key,
    ) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if not pen.look.person(by).may_release:
            raise NotAllowed(
                "Only the responsible person ticks a dangerous reagent",
                by,
                "Ask whoever may release",
                where="by",
            )
        says = "may be made here" if allowed else "is not made here any more"
        return Done(
            (pen.enter(body),),
            t("{reagent} {says}. Waste: {waste}.", reagent=care.reagent, says=says, waste=care.waste),
        )


def copy_recipe(
    lab: Laboratory, name: str, *, by: str, at: datetime | None = None, request_key: str | None = None
) -> Done:
    """Copy a shipped recipe into the book, to be altered there.

    Raises
    ------
    NotAllowed
        It is dangerous and not ticked.
    BadEntry
        The book has it already.
    UnknownName
        There is no such recipe.
    """
    found = recipe(name)
    with lab.look() as look:
        care = care_of_substance(found.makes)
        if not is_allowed(look, care) and care is not None:
            raise NotAllowed("A dangerous recipe is copied only after its tick", care.tick, "Have it ticked")
        if found.code in {one.code for one in look.procedures()} and request_key is None:
            raise BadEntry("The book has this recipe already", found.code, "Alter it")
    return write_procedure(lab, found, by=by, at=at, request_key=request_key)


def make_reagent(
    lab: Laboratory,
    name: str | Procedure,
    *,
    code: str,
    amount: str,
    weighed: Sequence[Weighed],
    scale: str = "",
    ticks: Sequence[str] = (),
    note: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Make a reagent: its recipe, its batch, its one step and its lot, in one go or not at all.

    Parameters
    ----------
    name : str or Procedure
        Recipe, by its name or as it was worked out.
    code : str
        Of the lot that is made.
    amount : str
        "100 mL"; what the recipe is written for when empty.
    weighed : sequence of Weighed
        Every line of the recipe, and "reagent" where what stands in the bottle was weighed.
    scale : str
        Scale everything was weighed on.
    ticks : sequence of str
        The ticks that were made.
    note : str
        Needed when a mass is far from what was planned.

    Raises
    ------
    NotAllowed
        The tick of the responsible person or one of the step is missing, or a lot is not released or in date.
    BadEntry
        The amount, a mass or the code cannot be taken.
    NotEnough
        The shelf does not hold that much.
    UnknownName
        There is no such recipe, lot or scale.
    """
    asked = {
        "recipe": name if isinstance(name, str) else procedure_to_yaml(name),
        "code": code,
        "amount": amount,
        "scale": scale,
        "ticks": list(ticks),
        "note": note,
        "weighed": [[one.line, one.mass, one.lot, one.apparatus] for one in weighed],
    }
    with lab.act("make reagent", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look = pen.look
        procedure = procedure_in_book(look, name) if isinstance(name, str) else next_version_of(look, name)
        care = care_of_substance(procedure.makes)
        if care is not None and not is_allowed(look, care):
            raise NotAllowed(
                worded("{title} is made only after the responsible person's tick", title=procedure.title),
                care.tick,
                worded("Take a test of lower hazard ({safer}), or have it ticked", safer=care.safer),
                where="code",
            )
        step = f"{look.apparatus(scale).smallest_step} g" if scale else STEP_UNSAID
        scaled = scaled_recipe(procedure, amount, step)
        amount = amount or f"{scaled.amount.value:g} {scaled.amount.unit}"
        lot_code_must_fit(code)
        if look.holds(code)[0]:
            raise BadEntry(
                "Every lot has a code of its own",
                worded("{code}, which is in the book already", code=code),
                "Choose the next free code",
                where="code",
            )
        numbers = []
        if (procedure.code, procedure.version) not in {(one.code, one.version) for one in look.procedures()}:
            numbers.append(pen.enter(ProcedureWritten(procedure)))
        masses = [one if one.apparatus else Weighed(one.line, one.mass, one.lot, scale) for one in weighed]
        masses = _with_the_bottle(masses, code, scale)
        together = sum(_grams(one) for one in masses if one.line != MADE)
        planned = {
            "amount": amount,
            "lines_g": {one.line.name: one.mass.value for one in scaled.lines if one.mass is not None},
        }
        total = scaled.total.value if scaled.total is not None else together
        numbers.append(pen.enter(BatchBegun(code, procedure.code, procedure.version, total, "", planned)))
        done_at = at or lab.clock()
        done_at = done_at if done_at.tzinfo else done_at.replace(tzinfo=lab.clock().tzinfo)
        written, gap = write_step(pen, code, procedure.steps[0].name, masses, ticks, None, note, done_at)
        numbers += written
        return Done(tuple(numbers), _made_says(look.lot(code), procedure) + gap)


def _made_says(lot: Lot, procedure: Procedure) -> str:
    if lot.kind.traits.spirit:
        return t(
            "{code}, {title}, is made and waits. Read its strength first.",
            code=lot.code,
            title=procedure.title,
        )
    return t(
        "{code}, {title}, is made and waits. Use by {told}; try it on a blank and a positive control first.",
        code=lot.code,
        title=procedure.title,
        told=lot.use_by or t("a date nobody gave"),
    )


def _with_the_bottle(masses: list[Weighed], code: str, scale: str) -> list[Weighed]:
    """The same, with what stands in the bottle: weighed, or everything that went in."""
    found = [one for one in masses if one.line == MADE and one.mass.strip()]
    rest = [one for one in masses if one.line != MADE]
    if found:
        return [*rest, Weighed(MADE, found[0].mass, code, found[0].apparatus)]
    return [*rest, Weighed(MADE, f"{round(sum(_grams(one) for one in rest), 6)!r} g", code, scale)]


def _grams(one: Weighed) -> float:
    return parse(one.mass, want="mass", where=one.line).in_unit("g") if one.mass.strip() else 0.0


def hazards_of(name: str) -> str:
    """Hazard statements of a shipped recipe, "" of one written here."""
    return recipe_row(name).words("hazards") if name in recipe_names() else ""
