"""What each step of a batch is planned to take and give: the procedure run at its medians with the lots in hand."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from stillroom.actions.book.counted_marker import counted_in
from stillroom.actions.book.results_kept import DRYING, assay_for, assay_name, strength_of
from stillroom.actions.book.warmth_read import as_it_ran
from stillroom.actions.house.glass_at_hand import told_of_glass
from stillroom.actions.house.house_facts import condition_of
from stillroom.actions.shelf.known_in_book import known_of_plant
from stillroom.actions.shelf.lot_strength import lot_in_use, strength_of_acid, strength_of_spirit
from stillroom.actions.shelf.plant_at_hand import plant_at_hand
from stillroom.errors import StillroomError
from stillroom.planning.assumptions import ASSUMED, assumed_for
from stillroom.planning.outcome import HowItRuns
from stillroom.planning.picture import how_they_run
from stillroom.planning.plan_inputs import ALTITUDE, GRIND
from stillroom.planning.shelf_inputs import STOCK, feeds_of, named_percent, plant_makeup, stock_named
from stillroom.records.entries import BatchBegun
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.stream.components import whole_mass
from stillroom.stream.kind import ALTITUDE_M, Feed
from stillroom.stream.kinds import KINDS
from stillroom.stream.run import run_for_record, runs_of
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import later, t


@dataclass(frozen=True, slots=True)
class Planned:
    """What a batch is planned to take and give."""

    grams: dict[tuple[str, str], float]
    """By step and line. As far as the model reaches. [g]"""
    because: str = ""
    """Why it reaches no further; "" where it reaches all."""
    taken_with: tuple[str, ...] = ()
    """Which lots it was reckoned with, how strong each is and how that is known; what waits for a dose."""
    runs: Mapping[str, HowItRuns] = field(default_factory=dict)
    """How the steps run that tell it, by their names."""


def planned_g(look: Reader, batch: str) -> dict[tuple[str, str], float]:
    """Planned mass [g] of every line taken and given, by step and name."""
    return planned(look, batch).grams


NO_MARKER = StatedStrength(0.0, "marker", "marker", "")
"""What is counted in a plant whose marker nobody said."""
WAITS = later("Planned once the dose is decided: {lines}.")


@once
def planned(look: Reader, batch: str) -> Planned:
    """Planned masses, and why there are no more of them.

    Notes
    -----
    The strength of spirit, acid and ammonia is that of the lot in use: what was read last, else its label; without one,
    the plan's assumption. The extract of a formula, and what fills it up, are planned once its dose is decided.
    """
    begun = look.batch(batch)
    procedure = look.procedure_of(batch)
    if procedure.purpose == "reagent":
        return Planned(_of_recipe(procedure, begun))
    doses = look.doses(batch)
    dosed = next((line.name for line in procedure.lines if line.role == "dosed"), None)
    known = {role: _strength(look, batch, procedure, role) for role in STATED}
    if each := dict(_each_spirit(look, batch, procedure)):
        known |= {STOCK: (known[STOCK][0], "")} | each
    taken_with = tuple(says for _, says in known.values() if says)
    dosed_g = None if dosed is None else doses[-1].body.mass_g if doses else 0.0
    waiting = {one.name for one in procedure.lines if one.role} if dosed and not doses else set()
    strengths = tuple((role, percent) for role, (percent, _) in known.items())
    try:
        plant, says = _plant(look, begun, procedure)
    except StillroomError as error:
        return Planned({}, error.sentence, taken_with)
    taken_with = (*says, *taken_with)
    told = tuple(told_of_batch(look, batch).items())
    ran = as_it_ran(look, batch, procedure)
    found = _run(procedure, ran, strengths, tuple(plant.items()), told, begun.scale_g, dosed, dosed_g)
    if waiting and found.grams:
        taken_with = (*taken_with, t(WAITS, lines=", ".join(sorted(waiting))))
    grams = {(step, name): mass_g for (step, name), mass_g in found.grams.items() if name not in waiting}
    return replace(found, grams=grams, taken_with=taken_with)


def usual(look: Reader, procedure: Procedure, scale_g: float) -> Planned:
    """What an extraction is planned to take and give before a batch of it is begun: no lot read, the rest as assumed.

    Parameters
    ----------
    scale_g : float
        Of what it is scaled by. [g]
    """
    plant = next(one.substance for one in procedure.lines if one.name == procedure.scaled_by)
    assumed = assumed_for(plant, NO_MARKER, procedure, "as is")
    shares = (assumed[one].value for one in ("assay of the plant", "loss on drying", "other extractables"))
    assay, drying, others = shares
    makeup = plant_makeup(assay, "as is", drying, others)
    strengths = {
        role: stock_named(procedure) if role == STOCK else ASSUMED[role].value for role in STATED
    } | {
        f"{STOCK}, {one.substance}": named_percent(one.substance) or stock_named(procedure)
        for one in procedure.lines
        if one.is_spirit
    }
    told = _by_step(procedure, _of_house(look, procedure))
    return _run(
        procedure,
        procedure,
        tuple(strengths.items()),
        tuple((name, float(share)) for name, share in makeup.items()),
        tuple(told.items()),
        scale_g,
        None,
        None,
    )


@remember(64)
def _run(
    procedure: Procedure,
    ran: Procedure,
    strengths: tuple[tuple[str, float], ...],
    plant: tuple[tuple[str, float], ...],
    told: tuple[tuple[str, float], ...],
    scale_g: float,
    dosed: str | None,
    dosed_g: float | None,
) -> Planned:
    """Every line that a procedure takes and gives, run once at its medians, and how its steps run."""
    try:
        feeds = feeds_of(procedure, dict(strengths), dict(plant))
    except StillroomError as error:
        return Planned({}, error.sentence)
    if dosed is not None:
        feeds[dosed] = Feed({"other extractables": 1.0})
    account = run_for_record(procedure, feeds, dict(told), scale_g, 1, dosed_g=dosed_g)
    grams = {
        (step.name, name): float(whole_mass(stream)[0])
        for step in account.steps
        for name, stream in (*step.taken.items(), *step.given.items())
    }
    return Planned(grams, account.because, runs=how_they_run(runs_of(ran, account, dict(told))))


def told_of_batch(look: Reader, batch: str) -> dict[str, float]:
    """What the steps of a batch are told of the house and of the plant, by "step/name"."""
    procedure = look.procedure_of(batch)
    told = _of_house(look, procedure)
    if any(GRIND in KINDS[one.kind].told for one in procedure.steps if one.kind in KINDS):
        known = known_of_plant(look, plant_lot_of(look, batch))
        told |= {one.role: one.value for one in known if one.role == GRIND}
    return _by_step(procedure, told)


def _of_house(look: Reader, procedure: Procedure) -> dict[str, float]:
    height = condition_of(look, ALTITUDE)
    told = {} if height is None else {ALTITUDE_M: height.value}
    return {**told, **told_of_glass(look, procedure)}


def _by_step(procedure: Procedure, told: Mapping[str, float]) -> dict[str, float]:
    return {
        f"{step.name}/{what}": value
        for step in procedure.steps
        for what, value in told.items()
        if step.kind in KINDS and what in KINDS[step.kind].told
    }


def _of_recipe(procedure: Procedure, begun: BatchBegun) -> dict[tuple[str, str], float]:
    """What a recipe weighs for the amount the batch was begun with; what is filled up or measured is not planned."""
    lines = (begun.planned or {}).get("lines_g", {})
    return {(procedure.steps[0].name, name): float(mass_g) for name, mass_g in lines.items()}


STATED = {
    STOCK: "spirit",
    "strength of the acid": "hydrochloric acid",
    "strength of the ammonia": "ammonia",
}
"""Strengths a plan asks for, and how the substances of their lines begin."""


def _strength(look: Reader, batch: str, procedure: Procedure, role: str) -> tuple[float, str]:
    """Per cent of the lot in use, v/v at 20 °C for spirit and w/w for acids, and its words; else the plan's own."""
    start = STATED[role]
    substances = frozenset(line.substance for line in procedure.lines if line.substance.startswith(start))
    otherwise = stock_named(procedure) if role == STOCK else ASSUMED[role].value
    return _strength_of(look, batch, substances, otherwise, of_spirit=role == STOCK)


def _each_spirit(look: Reader, batch: str, procedure: Procedure) -> Iterator[tuple[str, tuple[float, str]]]:
    """How strong each spirit is by itself, where a procedure takes several."""
    substances = dict.fromkeys(line.substance for line in procedure.lines if line.is_spirit)
    for one in substances if len(substances) > 1 else ():
        named = named_percent(one)
        otherwise = stock_named(procedure) if named is None else named
        yield f"{STOCK}, {one}", _strength_of(look, batch, frozenset({one}), otherwise, of_spirit=True)


def _strength_of(
    look: Reader, batch: str, substances: frozenset[str], otherwise: float, *, of_spirit: bool
) -> tuple[float, str]:
    lot = lot_in_use(look, batch, substances)
    if lot is None and of_spirit and substances:
        return otherwise, t(
            "{substance}: no lot of it stands, {percent:.1f} % v/v at 20 °C is taken",
            substance=", ".join(sorted(substances)),
            percent=otherwise,
        )
    if lot is None:
        return otherwise, ""
    found = strength_of_spirit(look, lot) if of_spirit else strength_of_acid(look, lot)
    if found.answer is None:
        return otherwise, t(
            "{lot}, taken as {percent:.1f} %: {says}", lot=lot.code, percent=otherwise, says=found.says
        )
    percent = found.answer.value
    name = (
        later("{lot}, {percent:.1f} % v/v at 20 °C ({says})")
        if of_spirit
        else later("{lot}, {percent:.1f} % w/w ({says})")
    )
    return percent, t(name, lot=lot.code, percent=percent, says=found.says)


def plant_lot_of(look: Reader, batch: str) -> str:
    """The lot of plant that a batch of an extraction uses, or would use; "" where there is none."""
    begun, plant = look.batch(batch), look.procedure_of(batch).plant
    customer = look.order(begun.order).customer if begun.order else ""
    lot = lot_in_use(look, batch, frozenset({plant}))
    return lot.code if lot else plant_at_hand(look, plant, counted_in(look, batch) or NO_MARKER, customer)


def _plant(
    look: Reader, batch: BatchBegun, procedure: Procedure
) -> tuple[Mapping[str, float], tuple[str, ...]]:
    """What the plant is made up of, and in words which lot that is."""
    if procedure.purpose != "extraction":
        return {}, ()
    says = tuple[str, ...]()
    line = next(one for one in procedure.lines if one.name == procedure.scaled_by)
    counted = counted_in(look, batch.code) or NO_MARKER
    assumed = assumed_for(line.substance, counted, procedure, "as is")
    drying = assumed["loss on drying"].value
    assay, matter = assumed["assay of the plant"].value, "as is"
    if code := plant_lot_of(look, batch.code):
        drying = next((one.value for one in known_of_plant(look, code) if one.role == DRYING), drying)
        says = (t("{lot}, {percent:.1f} % water", lot=code, percent=drying),)
        found = assay_for(look, code, counted)
        if found is not None and found.body.what == assay_name(counted.counted, "dried"):
            assay, matter = found.body.value, "dried"
        elif found is not None:
            assay, matter = strength_of(look, code, counted).value, "as is"
    makeup = plant_makeup(assay, matter, drying, assumed["other extractables"].value)
    return {name: float(share) for name, share in makeup.items()}, says
