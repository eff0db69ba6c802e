"""What the book remembers: its finished batches and its assayed lots, as witnesses for the next plan.

Nothing is typed for it and nothing is kept of it: an entry that is corrected is remembered as it stands now. A batch
that was given up, or that is still under way, is no witness.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from math import hypot

import numpy as np

from stillroom.actions.book.counted_marker import counted_in
from stillroom.actions.book.marc_seen import marc_seen
from stillroom.actions.book.results_kept import strength_of
from stillroom.actions.book.warmth_read import as_it_ran
from stillroom.actions.house.glass_at_hand import ran_in_what
from stillroom.actions.house.house_facts import known_of_house
from stillroom.actions.shelf.known_in_book import known_of_plant
from stillroom.actions.shelf.lot_strength import lot_in_use, strength_of_acid, strength_of_spirit
from stillroom.actions.shelf.plant_described import described, grind_term
from stillroom.errors import StillroomError
from stillroom.planning.finished import Finished, LotAssayed
from stillroom.planning.inputs import OF_LINES, inputs_of_extraction
from stillroom.planning.lines import inputs_of
from stillroom.planning.memory import NOTHING, Remembered, remembered, with_memory
from stillroom.planning.plan_inputs import GRIND, Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.resemblance import ASSAY, DRYING, Belongs, how_of
from stillroom.planning.shelf_inputs import feeds_of
from stillroom.planning.stages import plant_of as make_up_of
from stillroom.planning.stages import settings_of
from stillroom.records.entries import Entry, StepDone
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.stream.account import Account
from stillroom.stream.components import whole_mass
from stillroom.stream.run import amount_settings, run_for_record
from stillroom.substances.remembering import remember

BELIEVED = 0.01
"""A weighing is believed to one per cent at best, however fine the scale (assumed); as during a batch. [1]"""
ASSAY_DOUBT = 0.03
"""Standard uncertainty of an assay that states none, as a share of it (assumed). [1]"""
POURED_AS_PLANNED = 0.003
MOST_OF_PLANT, MOST_OF_WAY, MOST_LOTS = 16, 8, 24
"""Batches of its plant, by its way of other plants, and measured lots of its plant, that a plan looks back on. [1]"""
COMING = "the next run"
SPIRIT_ML_PER_G = "spirit_ml_per_g"
ENOUGH_PLANT_G = 100.0
"""A charge by which it is tried whether an extraction runs at all. [g]"""


def own_runs(look: Reader, request: PlanRequest, before: str = "") -> Remembered:
    """What one's own runs make of the inputs of a plan; nothing where they cannot be told.

    Parameters
    ----------
    request : PlanRequest
        With nothing remembered in it.
    before : str
        When the run that is planned was begun; runs that ended later tell it nothing. "" for now.
    """
    coming = _belongs(
        look, request.plant, request.plant_lot, COMING, request.order.aim.counted, how_of(request.extraction),
        ran_in_what(look, request.extraction, ()),
    )  # fmt: skip
    try:
        near = _resembling(look, request.extraction, before)
        batches = tuple(one for batch in near if (one := _finished(look, batch)) is not None)
        told = remembered(request, coming, batches, tuple(_lots(look, request.plant, request.order.aim)))
    except StillroomError:
        return NOTHING
    if told.known and not _runs_to_its_end(with_memory(request, told)):
        return replace(NOTHING, set_aside=told.runs)
    return told


@remember(32)
def _runs_to_its_end(request: PlanRequest) -> bool:
    """Whether an extraction goes through at the middle of its inputs."""
    values = {role: one.value for role, one in inputs_of(request).items()}
    found = _at_the_middle(request.extraction, tuple(values.items()), ENOUGH_PLANT_G)
    return found is not None and all(found.reaches(one.name) for one in request.extraction.steps)


@remember(64)
def _at_the_middle(
    procedure: Procedure, middle: tuple[tuple[str, float], ...], plant_g: float
) -> Account | None:
    """The stream at the middle of its inputs; None where they cannot be brought together."""
    values = dict(middle)
    try:
        feeds = feeds_of(procedure, values, make_up_of(values, values))
    except StillroomError:
        return None
    settings = settings_of("extraction", values)
    return run_for_record(procedure, feeds, settings, np.float64(plant_g), 1)


def batches_of_plant(look: Reader, plant: str) -> tuple[str, ...]:
    """Every batch that extracts a plant, done or not, the newest last.

    Parameters
    ----------
    plant : str
        Its substance.
    """
    return look.begun_by(_ways_of(look, plant))


def ended_of_plant(look: Reader, plant: str) -> tuple[str, ...]:
    """Batches that extract a plant and have ended, the last to end last.

    Parameters
    ----------
    plant : str
        Its substance.
    """
    return ended_of_plants(look, (plant,))[0]


def ended_of_plants(look: Reader, plants: Sequence[str]) -> list[tuple[str, ...]]:
    """The same of several plants, asked once for all of them."""
    ways = [_ways_of(look, one) for one in plants]
    if len(plants) > 1:
        look.ended_ahead(ways)
    return [look.ended_by(one) for one in ways]


@once
def _ways_of(look: Reader, plant: str) -> tuple[tuple[str, int], ...]:
    """Procedures, with their versions, that extract a plant."""
    look.procedures()  # asks for all versions together
    return tuple(one for one in look.ways_taken() if look.procedure(*one).plant == plant)


@once
def ended_at(look: Reader, batch: str) -> str:
    """When the last step of an extraction was done; "" where one is not, or where it was given up."""
    procedure, steps = look.procedure_of(batch), look.steps(batch)
    if procedure.purpose != "extraction" or look.given_up(batch) is not None:
        return ""
    if not steps or {one.name for one in procedure.steps} - {one.body.step for one in steps}:
        return ""
    return max((one.done_at for one in steps), key=datetime.fromisoformat)


@once
def _resembling(look: Reader, extraction: Procedure, before: str) -> tuple[str, ...]:
    """The newest ended batches of its plant, and a few by its way of other plants, the newest last."""
    plant, kinds = extraction.plant, {one.kind for one in extraction.steps}
    found: list[tuple[datetime, str]] = []
    room = {True: MOST_OF_PLANT, False: MOST_OF_WAY}
    for code, made_by, version in reversed(look.ways()):
        procedure = look.procedure(made_by, version)
        mine = procedure.plant == plant
        alike = procedure.purpose == "extraction" and kinds & {one.kind for one in procedure.steps}
        if not alike or not room[mine]:
            continue
        at = ended_at(look, code)
        if at and (not before or datetime.fromisoformat(at) <= datetime.fromisoformat(before)):
            found.append((datetime.fromisoformat(at), code))
            room[mine] -= 1
    return tuple(code for _, code in sorted(found))


@once
def _finished(look: Reader, batch: str) -> Finished | None:
    procedure = as_it_ran(look, batch, look.procedure_of(batch))
    counted = counted_in(look, batch) or StatedStrength(0.0, "marker", "marker", "")
    plant = procedure.plant
    steps = look.steps(batch)
    put_in = [
        one
        for entry in steps
        for one in entry.body.weighings
        if one.line == procedure.scaled_by and one.direction == "in" and one.actual_g > 0
    ]
    plant_g = sum(one.actual_g for one in put_in)
    if not plant_g > 0:
        return None
    lot = put_in[-1].lot
    inputs = starter_inputs(look, batch, lot)
    in_what = ran_in_what(look, procedure, [one.body for one in steps])
    belongs = _belongs(look, plant, lot, batch, counted.counted, how_of(procedure), in_what)
    content = None
    try:
        answer = strength_of(look, batch, counted)
        if answer.value > 0:
            doubt = (answer.standard_uncertainty or ASSAY_DOUBT * answer.value) / answer.value
            content = (answer.value, hypot(BELIEVED, doubt))
    except StillroomError:
        content = None
    found = Finished(belongs, procedure, plant_g, inputs, dict(_weighed(look, steps)), content)
    seen = marc_seen(look, batch)
    left = seen.left if seen else None
    return replace(
        found,
        poured=dict(_poured(found, steps)),
        dry_marc_g=seen.marc.value if seen else 0.0,
        left_share=left.value / 100.0 if left else 0.0,
    )


def _belongs(
    look: Reader,
    plant: str,
    lot: str,
    code: str,
    marker: str,
    how: str = "",
    apparatus: tuple[tuple[str, str], ...] = (),
) -> Belongs:
    """What a run, or a lot by itself, belongs to."""
    if not lot:
        return Belongs(plant, "", "", code, marker, how, apparatus=apparatus)
    like = described(look, lot)
    return Belongs(
        plant, lot, look.lot(lot).supplier, code, marker, how,
        grind=grind_term(like), apparatus=apparatus, place=like.place.casefold(), state=like.state,
    )  # fmt: skip


def _of_lot(look: Reader, lot: str) -> list[Known]:
    """Its grind; of a fresh lot its moisture too, which no dried one lets expect."""
    told = known_of_plant(look, lot) if lot else []
    return [one for one in told if one.role == GRIND or described(look, lot).state == "fresh"]


def starter_inputs(look: Reader, batch: str, lot: str = "") -> dict[str, Known]:
    """Every input of an extraction by what its procedure, the house and its liquids say, with nothing remembered.

    Parameters
    ----------
    lot : str
        Of its plant; "" where it is not known.
    """
    procedure = as_it_ran(look, batch, look.procedure_of(batch))
    counted = counted_in(look, batch) or StatedStrength(0.0, "marker", "marker", "")
    known = (*known_of_house(look), *_liquids(look, batch, procedure), *_of_lot(look, lot))
    return inputs_of_extraction(procedure, procedure.plant, counted, known)


def _weighed(look: Reader, steps: tuple[Entry[StepDone], ...]) -> Iterator[tuple[str, tuple[float, float]]]:
    for entry in steps:
        for one in entry.body.weighings:
            if one.direction != "in" and one.actual_g > 0:
                scale = look.apparatus(one.apparatus) if one.apparatus else None
                doubt = scale.standard_uncertainty / one.actual_g if scale else 0.0
                yield one.line, (one.actual_g, hypot(BELIEVED, doubt))


def _liquids(look: Reader, batch: str, procedure: Procedure) -> Iterator[Known]:
    """How strong the spirit, acid and ammonia of a batch were."""
    for role, starts in OF_LINES.items():
        if role.startswith("price"):
            continue
        substances = frozenset(one.substance for one in procedure.lines if one.substance.startswith(starts))
        lot = lot_in_use(look, batch, substances) if substances else None
        if lot is None:
            continue
        strength = strength_of_spirit if starts == ("spirit",) else strength_of_acid
        answer = strength(look, lot).answer
        if answer is not None:
            doubt = answer.standard_uncertainty or 0.0
            yield Known(
                role,
                f"lot {lot.code}/strength",
                answer.value,
                "%",
                doubt,
                "normal" if doubt else "fixed",
                "reading",
                f"strength of {lot.code}",
            )


def _poured(batch: Finished, steps: tuple[Entry[StepDone], ...]) -> Iterator[tuple[str, float]]:
    """By how much more than the procedure says was poured, where it says it by the gram of plant."""
    middle = tuple((role, one.value) for role, one in batch.inputs.items())
    planned = _at_the_middle(batch.procedure, middle, batch.plant_g)
    if planned is None:
        return
    for entry in steps:
        step = batch.procedure.step(entry.body.step)
        if not planned.reaches(step.name):
            continue
        taken = planned.step(step.name).taken
        named = {one.name for one in step.settings}
        actual = {
            one.line: one.actual_g
            for one in entry.body.weighings
            if one.direction == "in" and one.line != batch.procedure.scaled_by and one.line in taken
        }
        expected = {line: float(whole_mass(taken[line])[0]) for line in actual}
        if SPIRIT_ML_PER_G in named and actual:
            pairs = {SPIRIT_ML_PER_G: (sum(actual.values()), sum(expected.values()))}
        else:
            pairs = {
                name: (actual[line], expected[line])
                for line in actual
                for name in amount_settings(line)
                if name in named
            }
        for name, (mass_g, planned_g) in pairs.items():
            if mass_g > 0 and planned_g > 0 and abs(mass_g / planned_g - 1.0) > POURED_AS_PLANNED:
                yield f"extraction/{step.name}/{name}", mass_g / planned_g


@once
def _lots(look: Reader, plant: str, aim: StatedStrength) -> tuple[LotAssayed, ...]:
    """What was measured of the newest lots of a plant, the newest last."""
    found: list[LotAssayed] = []
    of_plant = kinds_that(lambda one: one.carrier == "plant")
    for lot in reversed(look.lots(of_plant, substances=frozenset((plant,)))):
        if len(found) == MOST_LOTS:
            break
        measured = {}
        try:
            answer = strength_of(look, lot.code, aim)
            measured[ASSAY] = (answer.value, answer.standard_uncertainty or ASSAY_DOUBT * answer.value)
        except StillroomError:
            measured.pop(ASSAY, None)
        for one in known_of_plant(look, lot.code):
            if one.role == DRYING and one.origin == "reading":
                measured[DRYING] = (one.value, one.standard_uncertainty)
        if measured:
            belongs = _belongs(look, plant, lot.code, lot.code, aim.counted)
            found.append(LotAssayed(belongs, measured))
    return tuple(reversed(found))
