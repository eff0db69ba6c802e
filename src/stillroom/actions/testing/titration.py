"""A titration of all bases, or all acids: portions, blank and titrant as read; the assay is calculated from them.

Earlier portions tell how well the method repeats.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Unpack

from stillroom.actions.book.acts import Act, Readings, no_result, note_where_asked
from stillroom.actions.book.counted_marker import TOTAL_ALKALOIDS, counted_in, titrated_in
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.book.results_kept import DRYING, assay_for, assay_name, latest_result, result_of
from stillroom.actions.lots.spirit_lots import plant_of_batch
from stillroom.actions.shelf.titrants_in_date import FACTOR, STRENGTH, last_set, titrant_dates
from stillroom.actions.testing.drying import carrier_of
from stillroom.actions.testing.portions import Gave, ask_about_unlike
from stillroom.answers.budget import stated
from stillroom.answers.portions_agree import DRIED_NEITHER, judged_again
from stillroom.answers.repeatability import Repeatability, pooled
from stillroom.answers.titration import Portion, total_alkaloids
from stillroom.asking.entries import maybe, needed, taken
from stillroom.asking.readers import OneOf, Showed, Shown, Words
from stillroom.asking.said import Line, Said, lines
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, leaves, reading
from stillroom.evidence.trails import from_trail
from stillroom.quantities.numbers import CAN_BE, number_in
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.records.lots import Lot, Status
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.markers import molar_mass
from stillroom.substances.titrants import titrant_life
from stillroom.texts.catalogue import later, t

EARLIER_PORTION = "earlier portion"
BY_TITRATION = " by titration"
NO_RESULT = "No result: "
SAMPLE, TITRE, BLANK = "sample taken, portion", "sample titre, portion", "blank titre"
ALIKE = 0.1
"""Share of the largest titre that titres differ by anyway (chosen). [1]"""
ROOMS = "A burette is read between 5 and 40 °C"
WARM, NOMINAL, WITH = "burette temperature", "nominal titre", "titrated with"


def keep_earlier_portions(
    lab: Laboratory, procedure: str, sets: Sequence[Sequence[str]], *, carrier: str, **sign: Unpack[Signed]
) -> Done:
    """Write results of portions assayed before, sample by sample: from them the repeatability of the method is known.

    Parameters
    ----------
    procedure : str
        Procedure whose material was assayed.
    sets : sequence of sequences of str
        For each sample, its portions in per cent: [["37.9", "38.8"], ...].
    carrier : str
        "extract", or the part of the plant: repeatability differs between them.
    """
    asked = {"procedure": procedure, "sets": [list(one) for one in sets], "carrier": carrier}
    with lab.act("keep earlier portions", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.procedure(procedure)
        numbers = []
        before = {
            entry.body.series
            for entry in pen.look.readings_named(EARLIER_PORTION)
            if entry.body.series.startswith(f"{carrier}/")
        }
        for at_set, portions in enumerate(sets, start=len(before) + 1):
            for text in portions:
                value = number_in(text, can_be=CAN_BE["%"], where=f"{carrier}, set {at_set}").value
                body = ReadingTaken(
                    procedure, EARLIER_PORTION, value, "%", text, series=f"{carrier}/{at_set}"
                )
                numbers.append(pen.enter(body))
        return Done(
            tuple(numbers),
            t("{numbers} earlier portions of {carrier} are kept.", numbers=len(numbers), carrier=carrier),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Titrated(Line):
    """A portion of the sample, and the titrant it used."""

    sample_taken_portion: Shown = needed(
        Showed(("g",), zero=True, negative=True), must=later("Portion {at} needs both: sample taken, titrant used"),
        label=later("Sample, portion {at}"),
    )  # fmt: skip
    sample_titre_portion: Shown = needed(
        Showed(("mL", "g"), later("mL or g"), zero=True),
        must=later("Portion {at} needs both: sample taken, titrant used"),
        label=later("Titre, portion {at}"), beside=True,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Titration(Said):
    """What each portion used, the blank, and what it was measured with."""

    portions: tuple[Titrated, ...] = lines(
        Titrated, most=12, shown=4, written="1.0150 g, 8.42 mL", option="portion",
        help="Sample taken, titrant used; give it again for each.",
        must=later("An assay needs at least one portion"), do=later("Weigh one and titrate it"),
    )  # fmt: skip
    blank_titre: Shown | None = maybe(
        Showed(("mL", "g"), later("mL or g"), zero=True), label=later("Blank"), option="blank",
        hint=later("Without a blank nothing counts"), help='"20.06 mL"; without one nothing counts.',
    )  # fmt: skip
    nominal_titre: Shown | None = maybe(
        Showed(("mL", "g"), later("mL or g"), zero=True), label=later("Calculated blank"), beside=True,
        hint=later("Shows what leaving the blank out would do"), option="nominal",
        help="What the blank should have used, calculated.",
    )  # fmt: skip
    titrant: str = needed(Words(), label=later("Titrant"), offers="titrant", help="Lot of the titrant.")
    way: str = taken(
        "back", OneOf({"back": later("back"), "direct": later("direct")}, "a way to titrate"),
        label=later("Way"), beside=True, usual="back", help="Acid left over, or alkaloid itself.",
    )  # fmt: skip
    scale: str = needed(
        Words(), label=later("Scale"), offers="scale", help="Scale the portions were weighed on."
    )
    burette: str = needed(
        Words(), label=later("Titrant measured with"), beside=True, offers="burette or scale",
        help="Burette, or the scale of a weighed titrant.",
    )  # fmt: skip
    temperature: Shown | None = maybe(
        Showed(("°C",)), label=later("Temperature of the burette"), beside=True,
        hint=later("Titres are brought to 20 °C, as for the factor"),
        help='Of the burette: "31 °C"; titres are brought to 20 °C.',
    )  # fmt: skip
    note: str | None = note_where_asked()


def _write(pen: BookWriter, lot: str, said: Titration) -> Done:
    """Enter what was read, and what it gives as the compounds the markers of the lot name.

    A titrant past its use-by, or whose factor no longer serves, gives no result: what was calculated is kept and does
    not count.
    """
    taken = Readings(pen, lot, f"titration/{len(pen.look.readings(lot, BLANK)) + 1}", note=said.note)
    _read(taken, said)
    try:
        found = _results(pen.look, lot, taken.numbers, said.titrant, said.way, datetime.fromisoformat(pen.at))
    except OutsideModel as error:
        _keep_with(taken, said)
        return no_result(taken.numbers, error)
    if isinstance(found, str):
        _keep_with(taken, said)
        return Done(tuple(taken.numbers), t("No result: {why_not}. The readings are kept.", why_not=found))
    because, results = found
    return Done((*taken.numbers, *map(pen.enter, results)), because)


def _read(taken: Readings, said: Titration) -> None:
    """Enter what was weighed and read, and ask about what cannot be meant."""
    look, lot = taken.pen.look, taken.subject
    counted = titrated_in(look, lot)
    for compound in {counted.as_compounds[0], counted.as_compounds[-1]}:
        molar_mass(compound)
    weigher, measurer = look.apparatus(said.scale), look.apparatus(said.burette)
    _must_react(counted.of, look.lot(said.titrant).substance, said.way)
    status = look.status(said.titrant)
    if status is not Status.RELEASED:
        raise BadEntry(
            "A titrant must be released",
            worded("{titrant} is {status}", titrant=said.titrant, status=status.value),
            "Release it first, or take another",
            where="titrant",
        )
    read = [
        (
            taken.take(f"{SAMPLE} {count}", one.sample_taken_portion, weigher).value,
            taken.take(f"{TITRE} {count}", one.sample_titre_portion, measurer).value,
        )
        for count, one in enumerate(said.portions, 1)
    ]
    blank = taken.take(BLANK, said.blank_titre, measurer).value if said.blank_titre else None
    if blank is not None or said.way == "direct":
        _ask_about_unlike(said, read, blank or 0.0)
    if said.temperature:
        warm = taken.take(WARM, said.temperature, spread=0.0)
        if not _is_a_room(warm) and not said.note:
            do = "Look at the thermometer; or say in the note that it showed so"
            raise BadEntry(ROOMS, said.text["temperature"], do, where="temperature")
    if said.nominal_titre:
        taken.take(NOMINAL, said.nominal_titre, unit=measurer.unit, spread=0.0)


def _ask_about_unlike(said: Titration, read: Sequence[tuple[float, float]], blank: float) -> None:
    """Ask about a portion whose titre is not in proportion to its mass, as the others' are."""
    gave = [
        Gave(
            f"sample-titre-portion-{at}", f"{one.sample_taken_portion.text}, {one.sample_titre_portion.text}",
            mass, blank - titre if said.way == "back" else titre - blank,
        )
        for at, (one, (mass, titre)) in enumerate(zip(said.portions, read, strict=True), 1)
    ]  # fmt: skip
    ask_about_unlike(gave, ALIKE * max(blank, *(titre for _, titre in read)), said.note)


def _results(
    look: Reader, lot: str, numbers: Sequence[int], titrant: str, way: str, when: datetime
) -> tuple[str, tuple[ResultReckoned, ...]] | str:
    """What the readings of one titration give, and what is told of it; or why there is nothing to calculate with."""
    why_not = titrant_dates(look, titrant, when).why_not(titrant, when.date())
    strength, factor = last_set(look, titrant, STRENGTH), last_set(look, titrant, FACTOR)
    if strength is None or factor is None:
        return why_not
    there = {one.body.what: _leaf(one) for one in look.readings(lot) if one.entry_no in numbers}
    if WARM in there and not _is_a_room(there[WARM]):
        raise OutsideModel(ROOMS, f"{there[WARM].value:g} °C", "Look at the thermometer")
    known, counted = look.lot(lot), titrated_in(look, lot)
    drying = latest_result(look, lot, DRYING)
    assay = total_alkaloids(
        [
            Portion(one, there[f"{TITRE} {name.split()[-1]}"])
            for name, one in there.items()
            if name.startswith(SAMPLE)
        ],
        blank=there.get(BLANK),
        strength=_of_titrant(titrant, strength),
        factor=_of_titrant(titrant, factor),
        loss_on_drying=from_trail(drying.body.trail) if drying else None,
        way="back" if way == "back" else "direct",
        nominal=there.get(NOMINAL),
        repeatability=_repeatability(look, known),
        carrier=carrier_of(known),
        of=counted.of,
        markers=(counted.as_compounds[0], counted.as_compounds[-1]),
        as_compound=counted.as_compounds[0],
        temperature=there.get(WARM),
        titrant=look.lot(titrant).substance,
    )
    because = f"{NO_RESULT}{why_not}. {assay.because}" if why_not else assay.because
    compounds = counted.as_compounds
    compound, mean = (f"{counted.of} as {one}" for one in (compounds[0], _mean_of(compounds)))
    found_as = (
        (mean, assay.as_is, assay.dried),
        (compound, assay.as_is_compound, assay.dried_compound),
    )
    method, results = f"{counted.of}{BY_TITRATION}", []
    for name, as_is, dried in found_as if len(compounds) > 1 else found_as[1:]:
        for matter, found, it_counts in (
            ("as is", as_is, assay.counts),
            ("dried", dried, assay.dried_counts),
        ):
            if found is not None:
                what, counts = assay_name(name, matter), it_counts and not why_not
                k = found.expanded.k
                results.append(result_of(lot, what, found.answer, method, counts, because, tuple(numbers), k))
    return because, tuple(results)


def _is_a_room(warm: Answer) -> bool:
    return 5.0 <= warm.value <= 40.0


def _leaf(entry: Entry[ReadingTaken]) -> Answer:
    """A reading as the sum takes it: an instrument is off alike for every portion; the blank, near zero, by itself."""
    body = entry.body
    alike = {SAMPLE: f"samples on {body.apparatus}", TITRE: f"titres by {body.apparatus}"}
    return reading(
        body.what, body.value, body.unit, f"entry {entry.entry_no}", entry_no=entry.entry_no,
        standard_uncertainty=body.standard_uncertainty,
        cause=next((cause for what, cause in alike.items() if body.what.startswith(what)), ""),
    )  # fmt: skip


def _keep_with(taken: Readings, said: Titration) -> None:
    """Write what it was titrated with, where no result says so: it is found once a reading is put right."""
    words = f"{said.titrant}, {said.way}"
    body = ReadingTaken(taken.subject, WITH, 1.0, "", words, "", taken.series)
    taken.numbers.append(taken.pen.enter(body, why=said.note or ""))


def _anew(look: Reader, lot: str, readings: Sequence[Entry[ReadingTaken]]) -> tuple[ResultReckoned, ...]:
    with_what = next((one for one in readings if one.body.what == WITH), None)
    if with_what is None:
        return ()
    titrant, _, way = with_what.body.as_written.rpartition(", ")
    numbers = sorted(one.entry_no for one in readings if one is not with_what)
    found = _results(look, lot, numbers, titrant, way, datetime.fromisoformat(with_what.done_at))
    return () if isinstance(found, str) else found[1]


def _needed(look: Reader, lot: Lot) -> tuple[str, ...]:
    """The assay of an extract made here: the one that serves, or the one that should be there."""
    if lot.kind.traits.made_as != "extraction":
        return ()
    counted = counted_in(look, lot.made_by or lot.code)
    if counted is None:
        return ()
    found = assay_for(look, lot.code, counted)
    return (found.body.what if found else assay_name(counted.counted),)


def _again(
    look: Reader, entry: Entry[ResultReckoned], readings: Sequence[Entry[ReadingTaken]]
) -> ResultReckoned | None:
    """How far the portions fall apart, and whether it counts, is judged anew."""
    if not entry.body.method.endswith(BY_TITRATION):
        return None
    old, there = from_trail(entry.body.trail), {one.body.what: one for one in readings}
    numbers = {one.entry_no for one in readings}
    new = {}
    for one in leaves(old):
        now = there.get(one.name)
        if one.leaf is not None and now is not None and one.leaf.entry_no not in numbers:
            new[one.key] = reading(
                one.name, now.body.value, one.unit, f"entry {now.entry_no}", entry_no=now.entry_no,
                standard_uncertainty=now.body.standard_uncertainty, basis=one.basis, cause=one.leaf.cause,
            )  # fmt: skip
    found = judged_again(old, new, _repeatability(look, look.lot(entry.body.subject)), entry.body.because)
    if found is None:
        return None
    void = found.because.startswith(NO_RESULT) or (
        DRIED_NEITHER in found.because and "dried" in entry.body.what
    )
    numbers_now = tuple(sorted(one.entry_no for one in readings))
    return result_of(
        entry.body.subject, entry.body.what, found.answer, entry.body.method, found.agrees and not void,
        found.because, numbers_now, stated(found.answer).expanded.k,
    )  # fmt: skip


titrate = Act(
    name="titration",
    action="titrate",
    said=Titration,
    writes=_write,
    help="Total alkaloids of LOT by titration.",
    title=later("Titration of total alkaloids"),
    called=later("Titration"),
    lead=later(
        "Sample taken and titrant used (in g when weighed), portion by portion, beside a blank without sample."
    ),
    button=later("Calculate the assay"),
    address="/test/{code}/titration",
    links=(
        (later("Standardise a titrant"), "/test/titrant/standard"),
        (later("Enter a known factor"), "/test/titrant/factor"),
    ),
    cautions=("missing-control", "assay-aliquots"),
    needed=_needed,
    again=_again,
    anew=_anew,
    quiet=False,
)


def _must_react(of: str, titrant: str, way: str) -> None:
    """Refuse a titrant that does not react with what is looked for; one of no known kind is taken."""
    kind = titrant_life(titrant).kind
    wanted = "alkali" if (of == TOTAL_ALKALOIDS) == (way == "back") else "acid"
    if kind and kind != wanted:
        raise BadEntry(
            worded("{of} are titrated {way} with an {wanted}", of=of.capitalize(), way=way, wanted=wanted),
            worded("{titrant}, an {kind}", titrant=titrant, kind=kind),
            "Take the other titrant, or look whether it was done back or direct",
            where="titrant",
        )


def _mean_of(alkaloids: Sequence[str]) -> str:
    return f"the mean of {alkaloids[0]} and {alkaloids[-1]}"


def _of_titrant(titrant: str, found: Entry[ReadingTaken]) -> Answer:
    body = found.body
    return reading(
        f"{body.what} of {titrant}",
        body.value,
        body.unit,
        f"entry {found.entry_no}",
        entry_no=found.entry_no,
        standard_uncertainty=body.standard_uncertainty or None,
    )


def _repeatability(look: Reader, lot: Lot) -> Repeatability | None:
    """From earlier portions of the same plant: of its extracts for an extract, else of the plant itself."""
    of_plant = lot.kind.traits.carrier == "plant"
    plant = lot.substance if of_plant else plant_of_batch(look, lot.made_by) if lot.made_by else ""
    sets: dict[str, list[float]] = {}
    entries = []
    for entry in look.readings_named(EARLIER_PORTION):
        body = entry.body
        if body.series.startswith("extract/") != of_plant and look.procedure(body.subject).plant == plant:
            sets.setdefault(body.series, []).append(body.value)
            entries.append(entry.entry_no)
    if not sets:
        return None
    return pooled(
        list(sets.values()), f"{len(entries)} earlier portions, entries {entries[0]} to {entries[-1]}"
    )
