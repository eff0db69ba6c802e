"""The density of a bulk, weighed with one bottle at the temperature of the room and brought to 20 °C."""

from dataclasses import replace
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.results_kept import result_of
from stillroom.actions.lots.ethanol_known import EthanolKnown
from stillroom.answers.budget import Stated
from stillroom.answers.density_by_bottle import density
from stillroom.answers.density_to_20 import density_at_20
from stillroom.answers.reckon_again import with_new_readings
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, leaves, reading
from stillroom.evidence.trails import from_trail, trail
from stillroom.quantities.entry import with_unit
from stillroom.quantities.parse import parse
from stillroom.records.entries import ReadingTaken
from stillroom.science.measuring.uncertainty import rectangular
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.rules import rule

DENSITY = "density at 20 °C"
WATERS = ("water", "purified water")


def weigh_density(
    lab: Laboratory,
    batch: str,
    *,
    empty: str,
    full_of_water: str,
    full_of_bulk: str,
    temperature: str,
    scale: str,
    thermometer: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Density of a bulk by one bottle weighed empty, full of water, full of the bulk, all at one temperature.

    Where that is not 20 °C it is brought there by how the product expands; where no formula reaches, readings stand.

    Parameters
    ----------
    thermometer : str
        A plain one, as good as the rule of the laboratory says, when empty.
    """
    asked = {
        "batch": batch,
        "empty": empty,
        "water": full_of_water,
        "bulk": full_of_bulk,
        "temperature": temperature,
        "scale": scale,
        "thermometer": thermometer,
    }
    with lab.act("weigh density", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.batch(batch)
        weigher = pen.look.apparatus(scale)
        on_scale = (weigher.code, weigher.standard_uncertainty)
        warm = (
            (thermometer, pen.look.apparatus(thermometer).standard_uncertainty) if thermometer else _plain()
        )
        numbers, answers = [], []
        for what, text, dimension, unit, (tool, spread) in (
            ("bottle empty", empty, "mass", "g", on_scale),
            ("bottle full of water", full_of_water, "mass", "g", on_scale),
            ("bottle full of bulk", full_of_bulk, "mass", "g", on_scale),
            ("temperature of the bottle", with_unit(temperature, "°C"), "temperature", "°C", warm),
        ):
            value = parse(text, want=dimension, where=what).in_unit(unit)
            number = pen.enter(ReadingTaken(batch, what, value, unit, text, tool, "density/1", spread))
            numbers.append(number)
            answers.append(
                reading(
                    what,
                    value,
                    unit,
                    f"entry {number}",
                    entry_no=number,
                    standard_uncertainty=spread,
                )
            )
        try:
            found, says = _at_20(pen.look, batch, answers)
        except OutsideModel as error:
            return Done(tuple(numbers), error.sentence)
        body = result_of(
            batch, DENSITY, found.answer, "bottle and scale", True, says, tuple(numbers), found.expanded.k
        )
        return Done((*numbers, pen.enter(body)), says)


def _plain() -> tuple[str, float]:
    """A thermometer that does not stand in the list, and its standard uncertainty [°C]."""
    return "", rectangular(rule("thermometer-limits").value)


def _at_20(look: Reader, batch: str, answers: list[Answer]) -> tuple[Stated, str]:
    found = density(answers[0], answers[1], answers[2], answers[3])
    if found.serves_filling:
        return found.stated, found.says
    share, ethanol = _spirit_and_water(look, batch)
    return density_at_20(found, answers[3], share, ethanol)


def _spirit_and_water(look: Reader, batch: str) -> tuple[Answer, Answer]:
    """Spirit and water of what was weighed into a batch, and the ethanol in these, by mass [1]."""
    begun = look.batch(batch)
    lines = {one.name: one.substance for one in look.procedure(begun.procedure, begun.version).lines}
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
            if lines.get(one.line) in WATERS or (fraction and lines.get(one.line, "").startswith("spirit")):
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

    Parameters
    ----------
    pen : BookWriter
    batch : str
    why : str

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
