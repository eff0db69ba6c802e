"""The density of a bulk, weighed with one bottle at the temperature of the room and brought to 20 °C."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stillroom.actions.book.acts import Act, Readings, no_result
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.product_made import product_in
from stillroom.actions.book.results_kept import result_of
from stillroom.actions.lots.ethanol_known import EthanolKnown
from stillroom.answers.budget import Stated
from stillroom.answers.density_by_bottle import density
from stillroom.answers.density_to_20 import density_at_20
from stillroom.answers.reckon_again import with_new_readings
from stillroom.asking.entries import needed, taken
from stillroom.asking.readers import Showed, Shown, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, leaves, reading
from stillroom.evidence.trails import from_trail, trail
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.records.lots import Lot
from stillroom.records.people import Apparatus
from stillroom.science.measuring.uncertainty import rectangular
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.ingredients import weighs_as_water
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import later, t

DENSITY = "density at 20 °C"
METHOD = "bottle and scale"
READ = EMPTY, OF_WATER, OF_IT, WARM = (
    "bottle empty", "bottle full of water", "bottle full of bulk", "temperature of the bottle",
)  # fmt: skip
OF_A_BULK = (0.5, 2.0)
"""What no bulk passes: whipped cream to clay in water (chosen). [g/mL]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottle(Said):
    """One bottle, weighed three times at one temperature."""

    scale: str = needed(Words(), label=later("Scale"), offers="scale", help="Scale they were weighed on.")
    thermometer: str = taken(
        "", Words(), label=later("Thermometer"), beside=True, offers="thermometer",
        left_out=later("A plain one, not in the list"), help="A plain one where left out.",
    )  # fmt: skip
    bottle_empty: Shown = needed(
        Showed(("g",), zero=True, negative=True),
        label=later("Bottle empty"),
        option="empty",
        help='The bottle empty: "48.20 g".',
    )
    bottle_full_of_water: Shown = needed(
        Showed(("g",), zero=True, negative=True),
        label=later("Bottle full of water"),
        option="water",
        help="Full of water.",
    )
    bottle_full_of_bulk: Shown = needed(
        Showed(("g",), zero=True, negative=True), label=later("Bottle full of bulk"), option="bulk",
        help="Full of the bulk, to the same mark.",
    )  # fmt: skip
    temperature_of_the_bottle: Shown = needed(
        Showed(("°C",)), label=later("Temperature of the bottle"), option="temperature",
        help='Of all of them: "30 °C".',
    )  # fmt: skip


def _write(pen: BookWriter, batch: str, said: Bottle) -> Done:
    """Enter the weighings and the density at 20 °C; where no formula brings it there, the readings stand."""
    look = pen.look
    look.batch(batch)
    scale, taken = look.apparatus(said.scale), Readings(pen, batch, "density/1")
    warm: Apparatus | str = look.apparatus(said.thermometer) if said.thermometer else ""
    plain = rectangular(rule("thermometer-limits").value)
    answers = [
        taken.take(EMPTY, said.bottle_empty, scale),
        taken.take(OF_WATER, said.bottle_full_of_water, scale),
        taken.take(OF_IT, said.bottle_full_of_bulk, scale),
        taken.take(WARM, said.temperature_of_the_bottle, warm, unit="°C", spread=plain),
    ]
    numbers = tuple(taken.numbers)
    try:
        found, says = _at_20(look, batch, answers)
    except OutsideModel as error:
        return no_result(numbers, error)
    body = _result(batch, found, says, numbers)
    return Done((*numbers, pen.enter(body)), body.because)


def _result(batch: str, found: Stated, says: str, numbers: tuple[int, ...]) -> ResultReckoned:
    """The density as a result; one that no bulk has does not count."""
    value, (low, high) = found.answer.value, OF_A_BULK
    counts = low <= value <= high
    if not counts:
        says = t(
            "It does not count. A mL of a bulk weighs {low:g} to {high:g} g, and of this {value:.3g} g. Correct the "
            "weighing that is wrong, or weigh the bottle again.",
            low=low, high=high, value=value,
        )  # fmt: skip
    return result_of(batch, DENSITY, found.answer, METHOD, counts, says, numbers, found.expanded.k)


def _again(
    look: Reader, entry: Entry[ResultReckoned], readings: Sequence[Entry[ReadingTaken]]
) -> ResultReckoned | None:
    """From the bottle as it is said now; whether it counts is judged anew."""
    return next(iter(_anew(look, entry.body.subject, readings)), None) if entry.body.what == DENSITY else None


def _anew(look: Reader, batch: str, readings: Sequence[Entry[ReadingTaken]]) -> tuple[ResultReckoned, ...]:
    there = {one.body.what: one for one in readings}
    if not set(READ) <= set(there):
        return ()
    answers = [
        reading(
            one.body.what, one.body.value, one.body.unit, f"entry {one.entry_no}", entry_no=one.entry_no,
            standard_uncertainty=one.body.standard_uncertainty,
        )
        for one in (there[what] for what in READ)
    ]  # fmt: skip
    return (_result(batch, *_at_20(look, batch, answers), tuple(sorted(one.entry_no for one in readings))),)


def _needed(look: Reader, lot: Lot) -> tuple[str, ...]:
    if lot.kind.traits.made_as != "formula" or product_in(look, lot.code).each.by_mass:
        return ()
    return (DENSITY,)


weigh_density = Act(
    name="density",
    action="weigh density",
    said=Bottle,
    writes=_write,
    help="The density of the bulk of BATCH at 20 °C, from one bottle weighed empty, full of water and full of it.",
    of="BATCH",
    title=later("Density of the bulk"),
    lead=later("One bottle, weighed empty, full of water and full of the bulk, all at one temperature."),
    button=later("Calculate the density"),
    address="/make/{code}/density",
    then="/make/{code}/step",
    judged=(DENSITY,),
    needed=_needed,
    again=_again,
    anew=_anew,
)


def _at_20(look: Reader, batch: str, answers: list[Answer]) -> tuple[Stated, str]:
    found = density(answers[0], answers[1], answers[2], answers[3])
    if found.serves_filling:
        return found.stated, found.says
    share, ethanol = _spirit_and_water(look, batch)
    return density_at_20(found, answers[3], share, ethanol)


def _spirit_and_water(look: Reader, batch: str) -> tuple[Answer, Answer]:
    """Spirit and water of what was weighed into a batch, and the ethanol in these, by mass [1]."""
    lines = {one.name: one.substance for one in look.procedure_of(batch).lines}
    known = EthanolKnown(look)
    total_g = both_g = ethanol_g = 0.0
    number = look.begun(batch).entry_no
    for entry in look.steps(batch):
        for one in entry.body.weighings:
            if one.direction != "in":
                continue
            number = entry.entry_no
            total_g += one.actual_g
            fraction = known.share(one.lot).by_mass if one.lot else None
            substance = lines.get(one.line, "")
            if weighs_as_water(substance) or (fraction and substance.startswith("spirit")):
                both_g += one.actual_g
                ethanol_g += one.actual_g * (fraction or 0.0)
    where = f"what was weighed in, entry {number}"
    return (
        reading(
            "spirit and water in the product",
            both_g / total_g if total_g else 0.0,
            "1",
            where,
            entry_no=number,
            standard_uncertainty=None,
        ),
        reading(
            "ethanol in its spirit and water",
            ethanol_g / both_g if both_g else 0.0,
            "1",
            where,
            entry_no=number,
        ),
    )


def again_by_what_was_weighed_in(pen: BookWriter, batch: str, why: str) -> tuple[int, ...]:
    """Results of a batch that rest on what was weighed in, reckoned again once a weighing was put right.

    Returns
    -------
    tuple of int
        Entries of the new results. [entry numbers]
    """
    new = {one.name: one for one in _spirit_and_water(pen.look, batch)}
    numbers = []
    for entry in pen.look.results(batch):
        old = from_trail(entry.body.trail)
        moved = {
            one.key: new[one.name]
            for one in leaves(old)
            if one.leaf and one.name in new and one.leaf.entry_no != (new[one.name].leaf or one.leaf).entry_no
        }
        if not moved:
            continue
        found = with_new_readings(old, moved)
        body = replace(
            entry.body,
            value=found.value,
            standard_uncertainty=found.standard_uncertainty,
            trail=trail(found),
        )
        numbers.append(pen.enter(body, why=why, corrects=entry.entry_no))
    return tuple(numbers)


def density_answer(look: Reader, batch: str) -> Answer:
    """Density of the bulk as measured [g/mL].

    Raises
    ------
    BadEntry
        No measurement counts.
    """
    found = [entry for entry in look.results(batch, DENSITY) if entry.body.counts]
    if not found:
        raise BadEntry(
            "Filling by mass needs the density of the bulk",
            worded("none for {batch}", batch=batch),
            "Weigh a bottle of it",
        )
    return from_trail(found[-1].body.trail)
