"""What a liquid takes out of a plant: a part of the filtrate dried in a dish, as the scale showed it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.actions.book.acts import Act, Readings, no_result
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.results_kept import result_of
from stillroom.answers.extractive import extractive
from stillroom.asking.entries import needed
from stillroom.asking.readers import Own, Showed, Shown, Words
from stillroom.asking.said import Said
from stillroom.errors import OutsideModel, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.records.lots import Lot
from stillroom.records.written_values import one_line
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import later, t

METHOD = "extractive"
DISH, DRIED, SAMPLE = "empty dish", "dish with the dry residue", "sample taken"
LIQUID, TAKEN = "liquid poured on", "part of the filtrate"
PARAMETERS = {
    "empty_mass_g": DISH, "dried_mass_g": DRIED, "taken_volume_ml": TAKEN, "liquid_volume_ml": LIQUID,
    "sample_mass_g": SAMPLE,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Dried(Said):
    """A sample, the liquid it stood in, and a part of the filtrate dried."""

    liquid: str = needed(
        Own(one_line), label=later("Liquid"), hint=later("water, ethanol 70 % v/v"),
        must=later("An extractive is what one liquid takes out"), do=later("Write which: water"), help='"water".',
    )  # fmt: skip
    scale: str = needed(
        Words(), label=later("Scale"), beside=True, offers="scale", help="Scale they were weighed on."
    )
    sample: Shown = needed(
        Showed(("g",), zero=True, negative=True), label=later("Sample taken"), help='"5.00 g".'
    )
    poured: Shown = needed(
        Showed(("mL",)), label=later("Liquid poured on"), beside=True, help='All of it: "100 mL".'
    )
    taken: Shown = needed(
        Showed(("mL",)), label=later("Part of the filtrate that was dried"), help='"20 mL".'
    )
    dish: Shown = needed(
        Showed(("g",), zero=True, negative=True), label=later("Empty dish"), help='Empty: "31.2040 g".'
    )
    with_residue: Shown = needed(
        Showed(("g",), zero=True, negative=True), label=later("Dish with the dry residue"), beside=True,
        help="Dried at 105 °C to constant mass, cooled.",
    )  # fmt: skip


def _write(pen: BookWriter, lot: str, said: Dried) -> Done:
    """Enter the weighings, and the extractive."""
    pen.look.lot(lot)
    before = [one for one in pen.look.readings(lot) if one.body.what.startswith(f"{LIQUID}, ")]
    taken, scale = Readings(pen, lot, f"{METHOD}/{len(before) + 1}"), pen.look.apparatus(said.scale)
    off = rule("volumetric-limits").value / 100.0 / math.sqrt(3.0)
    taken.take(SAMPLE, said.sample, scale)
    taken.take(f"{LIQUID}, {said.liquid}", said.poured, spread=off * said.poured.value("mL"))
    taken.take(TAKEN, said.taken, spread=off * said.taken.value("mL"))
    taken.take(DISH, said.dish, scale)
    taken.take(DRIED, said.with_residue, scale)
    try:
        body = _result(lot, pen.look.readings(lot, series=taken.series))
    except OutsideModel as error:
        return no_result(taken.numbers, error)
    return Done((*taken.numbers, pen.enter(body)), body.because)


def _result(lot: str, readings: Sequence[Entry[ReadingTaken]]) -> ResultReckoned:
    """The extractive that a series of readings gives.

    Raises
    ------
    OutsideModel
        Nothing follows from them.
    """
    by_what = {one.body.what.partition(", ")[0]: one for one in readings}
    there = {what: _leaf(one) for what, one in by_what.items()}
    residue = there[DRIED].value - there[DISH].value
    if residue < 0.0 or not there[SAMPLE].value > 0.0:
        raise OutsideModel(
            "A sample and its residue weigh more than nothing",
            worded("sample {sample:g} g, residue {residue:g} g", sample=there[SAMPLE].value, residue=residue),
            "Look whether two weighings were exchanged, or a figure misread",
        )  # fmt: skip
    if there[TAKEN].value > there[LIQUID].value:
        raise OutsideModel(
            "A part of the filtrate is less than all the liquid",
            worded("{part:g} of {all:g} mL", part=there[TAKEN].value, all=there[LIQUID].value),
            "Look which volume is which",
        )  # fmt: skip
    liquid = by_what[LIQUID].body.what.partition(", ")[2]
    of = f"extractive, {liquid}"
    found = extractive({name: there[what] for name, what in PARAMETERS.items()}, of)
    counts = found.answer.value <= 100.0
    because = (
        t("{percent:.3g} % of it goes into {liquid}.", percent=found.answer.value, liquid=liquid)
        if counts
        else t("It does not count: it would be more than all there is. Correct the figure that is wrong.")
    )
    numbers = tuple(sorted(one.entry_no for one in readings))
    return result_of(lot, of, found.answer, METHOD, counts, because, numbers, found.k)


def _leaf(entry: Entry[ReadingTaken]) -> Answer:
    body = entry.body
    return reading(
        body.what, body.value, body.unit, f"entry {entry.entry_no}", entry_no=entry.entry_no,
        standard_uncertainty=body.standard_uncertainty or None,
    )  # fmt: skip


def _again(
    _: Reader, entry: Entry[ResultReckoned], readings: Sequence[Entry[ReadingTaken]]
) -> ResultReckoned | None:
    return _result(entry.body.subject, readings) if entry.body.method == METHOD else None


def _anew(_: Reader, lot: str, readings: Sequence[Entry[ReadingTaken]]) -> tuple[ResultReckoned, ...]:
    return (
        (_result(lot, readings),) if any(one.body.what.startswith(f"{LIQUID}, ") for one in readings) else ()
    )


def _stands(_: Reader, lot: Lot) -> str:
    return t("Weigh an extractive") if lot.kind.traits.carrier == "plant" else ""


weigh_extractive = Act(
    name="extractive",
    action="weigh extractive",
    said=Dried,
    writes=_write,
    help="What a liquid takes out of LOT, from a dried part of the filtrate.",
    title=later("Extractive"),
    called=later("Extractive"),
    stands=_stands,
    lead=later(
        "What water, or spirit of one strength, takes out of the plant: as a rule 5 g in 100 mL for a day, filtered, "
        "20 mL dried at 105 °C to constant mass."
    ),
    button=later("Calculate the extractive"),
    address="/stock/{code}/extractive",
    cautions=("oven",),
    again=_again,
    anew=_anew,
)
