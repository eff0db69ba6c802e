"""What is asked once before a step is kept: a step out of its turn, a tick that was not made.

What was done is never refused. Without a note the question is raised; with one it is kept, as a deviation.
"""

from collections.abc import Iterator, Sequence

from stillroom.actions.making.weighing import Weighed, far_off
from stillroom.actions.shelf.lot_strength import strength_of_acid, strength_of_spirit
from stillroom.answers.acid_stated import mass_percent_in_words
from stillroom.errors import BadEntry, NotAllowed, StillroomError, worded
from stillroom.records.procedures import Procedure, Step
from stillroom.store.reader import Reader
from stillroom.substances.acids import name_and_rest
from stillroom.substances.spirit_strengths import strength_in_name, volume_percent_20c_of

NAMED_APART = 0.02
"""How far a lot may be from the strength in the name of a recipe before it is asked about (chosen). [1]"""


def out_of_turn(look: Reader, procedure: Procedure, batch: str, step: str) -> Iterator[StillroomError]:
    """What is asked about a step that is written already, or before its forerunners."""
    written = look.steps(batch)
    if any(one.body.step == step and not one.body.not_done for one in written):
        yield BadEntry(
            "A step is written once",
            worded("{step} of {batch}, which is done", step=step, batch=batch),
            "Correct the entry that stands there; or say in the note that it was done again",
        )
    done = {entry.body.step for entry in written}
    for one in procedure.steps:
        if one.name == step:
            return
        if one.name not in done:
            yield NotAllowed(
                "Steps are done in their order",
                worded("{step} before {called}", step=step, called=one.name),
                worded("Write {called} first; or say in the note why it comes later", called=one.name),
            )
            return


def ticks_missing(step: Step, ticks: Sequence[str]) -> Iterator[StillroomError]:
    """What is asked about a step whose ticks were not all made."""
    missing = [one for one in step.ticks if one not in ticks]
    if missing:
        yield NotAllowed(
            "A tick that stops harm is made before the step begins",
            worded("not ticked: {missing}", missing="; ".join(missing)),
            "Look, then tick; or say in the note that it was not looked at",
        )


def asked_before_a_step(
    look: Reader,
    procedure: Procedure,
    batch: str,
    step: Step,
    ticks: Sequence[str],
    weighed: Sequence[Weighed],
) -> Iterator[StillroomError]:
    """Everything that is asked about a step besides its masses: its turn, its ticks, how strong its lots are."""
    yield from out_of_turn(look, procedure, batch, step.name)
    yield from ticks_missing(step, ticks)
    yield from strengths_asked_about(look, procedure, weighed)


def strengths_asked_about(
    look: Reader, procedure: Procedure, weighed: Sequence[Weighed]
) -> Iterator[StillroomError]:
    """What is asked about a reagent whose lot is not as strong as the name in its recipe says."""
    if procedure.purpose != "reagent":
        return
    named = {one.name: one.substance for one in procedure.lines}
    for one in weighed:
        if not one.lot or one.line not in named:
            continue
        lot, substance = look.lot(one.lot), named[one.line]
        of_spirit = lot.kind.traits.by_volume == "spirit"
        found = (strength_of_spirit if of_spirit else strength_of_acid)(look, lot)
        by_name = _percent_in_name(substance, of_spirit=of_spirit)
        if found.answer is None or by_name is None:
            continue
        percent = found.answer.value
        if abs(percent - by_name) > NAMED_APART * by_name:
            yield BadEntry(
                worded("The recipe takes {substance}", substance=substance),
                worded("{lot}, {percent:.3g} % ({says})", lot=lot.code, percent=percent, says=found.says),
                worded(
                    "Take another lot, or {times:.3g} times as much and less of the rest; and say it in the note",
                    times=by_name / percent,
                ),
                where=one.line,
            )


def _percent_in_name(substance: str, *, of_spirit: bool) -> float | None:
    """The strength a substance is named after: by volume of a spirit, by mass of anything else [%]."""
    try:
        if of_spirit:
            said = strength_in_name(substance)
            return None if said is None else volume_percent_20c_of(said)
        solute, rest = name_and_rest(substance)
        by_mass = f"{rest} w/w" if rest.endswith("%") else rest  # a bottle of acid is labelled by mass
        return mass_percent_in_words(by_mass, solute, where="substance") if rest else None
    except StillroomError:
        return None


def question_of(asked: Sequence[StillroomError]) -> StillroomError:
    """What is asked first; masses far off are asked about together."""
    first = asked[0]
    alike = [one.got for one in asked if one.must == first.must and one.do == first.do]
    return far_off(*alike) if first.must == far_off(first.got).must else first
