"""A content by the light a solution absorbs: portions and standards as the photometer showed them, then the content.

The figures are kept whatever they give. What standards and glass may be off stands in the rules of the laboratory,
where nobody said it.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.actions.book.acts import Act, Readings, no_result, note_where_asked
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.results_kept import DRYING, assay_name, latest_result, result_of
from stillroom.actions.testing.drying import carrier_of
from stillroom.actions.testing.outside import marker_named, what_the_lot_counts
from stillroom.actions.testing.portions import Gave, ask_about_unlike
from stillroom.answers.absorbance import Absorbed, Measured, absorbed
from stillroom.answers.standard_line import Standard
from stillroom.asking.entries import maybe, needed
from stillroom.asking.readers import Own, Showed, Shown, Words
from stillroom.asking.said import Line, Said, lines
from stillroom.errors import BadEntry, OutsideModel, worded
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.evidence.trails import from_trail
from stillroom.quantities.basis import Basis
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.quantities.rounding import shown
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.records.lots import Lot
from stillroom.records.orders import StatedStrength
from stillroom.science.measuring.absorbance import specific_absorbance
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.markers import marker_key, molar_mass
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import later, t

METHOD = "absorbance"
SAMPLE, SHOWN = "sample taken, portion", "absorbance, portion"
CONTENT, OF_STANDARD = "content of standard", "absorbance of standard"
BLANK, VOLUME, DILUTED = "absorbance without it", "made up to", "diluted, times"
SPECIFIC, MOLAR, SURE, COUNTED = (
    "specific absorbance",
    "molar absorptivity",
    "standards sure to",
    "counted by absorbance",
)
ALIKE = 0.05
"""What absorbances differ by anyway (chosen). [1]"""
IN_REACH = (-0.2, 4.0)
"""What a photometer can show: beyond it a figure is asked about once [1]."""
_STEP = re.compile(r"\s*(.+?)\s+(?:to|in|→|->)\s+(.+?)\s*")


def _plain(text: str, where: str) -> float:
    """A figure without a unit."""
    return number_in(text, can_be=(-1.0, 1e6), where=where).value


def times_diluted(text: str, where: str) -> float:
    """How many times something was diluted: "5 mL to 25 mL, 2 mL to 25 mL", or the number itself.

    Raises
    ------
    BadEntry
        It says neither, or makes more out of less.
    """
    if not re.search(r"[a-zµ]", text, re.IGNORECASE):
        times = number_in(text.rstrip("× x"), can_be=(1.0, 1e6), where=where).value
    else:
        times = 1.0
        for each in re.split(r";|,\s", text):
            said = _STEP.fullmatch(each)
            if said is None:
                raise BadEntry(
                    "A dilution is a part and what it was made up to",
                    repr(each[:40]),
                    'Write "5 mL to 25 mL"',
                    where=where,
                )
            part, whole = (parse(one, want="volume", where=where).in_unit("mL") for one in said.groups())
            times *= whole / part
    if times < 1.0:
        raise BadEntry(
            "A dilution makes more out of less", repr(text[:40]), 'Write "5 mL to 25 mL"', where=where
        )
    return times


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion(Line):
    """A portion of the sample, and what its solution showed."""

    sample_taken_portion: Shown = needed(
        Showed(("g",), zero=True, negative=True), must=later("Portion {at} needs both: sample taken, absorbance"),
        label=later("Sample, portion {at}"),
    )  # fmt: skip
    absorbance_portion: float = needed(
        Own(_plain, "figure"), must=later("Portion {at} needs both: sample taken, absorbance"),
        label=later("Absorbance, portion {at}"), beside=True,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class OfStandard(Line):
    """A standard, and what it showed."""

    standard_content: Shown = needed(
        Showed(("mg/L",), zero=True), must=later("Standard {at} needs both: content, absorbance"),
        label=later("Standard {at}"),
    )  # fmt: skip
    standard_absorbance: float = needed(
        Own(_plain, "figure"), must=later("Standard {at} needs both: content, absorbance"),
        label=later("Absorbance of standard {at}"), beside=True,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Absorbances(Said):
    """What the photometer showed of sample and standards, and how the solutions were made."""

    marker: str = needed(
        Own(marker_named), label=later("What is counted"), hint=later("total phenols, flavonoids, tannins"),
        must=later("An assay names what it counts"), do=later("Write it as the label has it"),
        help="What is counted: total phenols.",
    )  # fmt: skip
    reckoned_as: str | None = maybe(
        Own(marker_named), label=later("Counted as which compound"), beside=True, option="counted-as",
        hint=later("that of the standards: gallic acid; leave empty where it is the marker itself"),
        help="Counted as which compound: gallic acid.",
    )  # fmt: skip
    portions: tuple[Portion, ...] = lines(
        Portion, most=6, shown=2, written="0.2000 g, 0.523", option="portion",
        help="Sample taken, absorbance of its solution; give it again for each.",
        must=later("An assay needs at least one portion"), do=later("Weigh one and measure it"),
    )  # fmt: skip
    scale: str = needed(
        Words(), label=later("Scale"), offers="scale", help="Scale the portions were weighed on."
    )
    made_up_to: Shown = needed(
        Showed(("mL",)), label=later("Each portion was made up to"), beside=True, help='"100 mL".'
    )
    diluted: float | None = maybe(
        Own(times_diluted), label=later("Then diluted"), hint="5 mL to 25 mL, 2 mL to 25 mL",
        help='Then diluted: "5 mL to 25 mL, 2 mL to 25 mL", or how many times.',
    )  # fmt: skip
    without: float | None = maybe(
        Own(_plain, "figure"), label=later("Absorbance without it"), beside=True,
        hint=later("Of the sample without the reagent, or once it was taken out"),
        help="What the sample shows that is none of it.",
    )  # fmt: skip
    standards: tuple[OfStandard, ...] = lines(
        OfStandard, most=8, shown=3, written="20 mg/L, 0.226", option="standard",
        help="Content and absorbance of a standard; give it again for each. Five tell their scatter.",
    )  # fmt: skip
    specific_absorbance: float | None = maybe(
        Own(_plain, "figure"), label=later("Without standards: A (1 %, 1 cm)"), folded=True,
        help="In place of standards: A(1 %, 1 cm), in a cell of 1 cm.",
    )  # fmt: skip
    molar_absorptivity: float | None = maybe(
        Own(_plain, "figure"), label=later("Or the molar absorptivity, in L/(mol cm)"), folded=True,
        help="Or the molar absorptivity, in L/(mol cm).",
    )  # fmt: skip
    sure: Shown | None = maybe(
        Showed(("%",)), label=later("How far the standards, or the absorptivity, may be off"), folded=True,
        help='How far standards or absorptivity may be off either way: "2 %".',
    )  # fmt: skip
    note: str | None = note_where_asked()


def _write(pen: BookWriter, lot: str, said: Absorbances) -> Done:
    """Enter what was shown, and the content it gives."""
    if not pen.look.lot(lot).kind.traits.carrier:
        raise BadEntry(
            "The content of plant material, an extract or an ingredient is measured here",
            f"{lot}, {pen.look.lot(lot).kind.value}", "The content of a product follows from its extract",
        )  # fmt: skip
    against = [
        bool(said.standards),
        said.specific_absorbance is not None,
        said.molar_absorptivity is not None,
    ]
    if sum(against) != 1:
        raise BadEntry(
            "An absorbance is read against standards, or by one printed absorptivity",
            "neither" if not any(against) else "several of them", "Say one of them", where="standard-content-1",
        )  # fmt: skip
    _ask_beyond_reach(said)
    taken = Readings(pen, lot, f"{METHOD}/{len(pen.look.readings(lot, COUNTED)) + 1}", note=said.note)
    scale = pen.look.apparatus(said.scale)
    masses_g = []
    for at, one in enumerate(said.portions, 1):
        masses_g.append(taken.take(f"{SAMPLE} {at}", one.sample_taken_portion, scale).value)
        _take(taken, f"{SHOWN} {at}", one.absorbance_portion, said.text[f"absorbance-portion-{at}"])
    for at, of in enumerate(said.standards, 1):
        taken.take(f"{CONTENT} {at}", of.standard_content, spread=0.0)
        _take(taken, f"{OF_STANDARD} {at}", of.standard_absorbance, said.text[f"standard-absorbance-{at}"])
    _ask_about_unlike(said, masses_g)
    off = rule("volumetric-limits").value / 100.0 / math.sqrt(3.0)
    taken.take(VOLUME, said.made_up_to, spread=off * said.made_up_to.value("mL"))
    if said.diluted is not None:
        _take(taken, DILUTED, said.diluted, said.text["diluted"], off * said.diluted)
    for what, figure, field in (
        (BLANK, said.without, "without"), (SPECIFIC, said.specific_absorbance, "specific-absorbance"),
        (MOLAR, said.molar_absorptivity, "molar-absorptivity"),
    ):  # fmt: skip
        if figure is not None:
            _take(taken, what, figure, said.text[field])
    if said.sure is not None:
        taken.take(SURE, said.sure, spread=0.0)
    compound = said.reckoned_as or said.marker
    _take(taken, COUNTED, 1.0, f"{said.marker} as {compound}")
    readings = pen.look.readings(lot, series=taken.series)
    try:
        found, results = _results(pen.look, lot, readings)
    except OutsideModel as error:
        return no_result(taken.numbers, error)
    sure = found.as_is
    read = shown(sure.answer.value, sure.expanded_uncertainty) if math.isfinite(sure.k) else None
    told = (
        t("{what}: {value} % ± {sure}. ", what=results[0].what, value=read.value, sure=read.uncertainty)
        if read is not None and found.counts
        else ""
    )
    return Done((*taken.numbers, *map(pen.enter, results)), f"{told}{found.because}")


def _ask_beyond_reach(said: Absorbances) -> None:
    """Ask about what a photometer cannot show, once: with a note it is kept."""
    low, high = IN_REACH
    read = [(f"absorbance-portion-{at}", one.absorbance_portion) for at, one in enumerate(said.portions, 1)]
    read += [
        (f"standard-absorbance-{at}", one.standard_absorbance) for at, one in enumerate(said.standards, 1)
    ]
    for field, one in read:
        if not low <= one <= high and not said.note:
            raise BadEntry(
                worded("A photometer shows between {low:g} and {high:g}", low=low, high=high), f"{one:g}",
                "Look at the point; or say in the note that it showed so", where=field,
            )  # fmt: skip


def _ask_about_unlike(said: Absorbances, masses_g: Sequence[float]) -> None:
    """Ask about a portion whose absorbance is not in proportion to its mass, as the others' are."""
    gave = [
        Gave(
            f"absorbance-portion-{at}", f"{one.sample_taken_portion.text}, {one.absorbance_portion:g}",
            mass, one.absorbance_portion - (said.without or 0.0),
        )
        for at, (one, mass) in enumerate(zip(said.portions, masses_g, strict=True), 1)
    ]  # fmt: skip
    ask_about_unlike(gave, ALIKE, said.note)


def _take(taken: Readings, what: str, value: float, text: str, spread: float | None = None) -> None:
    """Enter a figure that has no unit."""
    body = ReadingTaken(taken.subject, what, value, "", text, "", taken.series, spread)
    taken.numbers.append(taken.pen.enter(body, why=taken.note or ""))


def _results(
    look: Reader, lot: str, readings: Sequence[Entry[ReadingTaken]]
) -> tuple[Absorbed, tuple[ResultReckoned, ...]]:
    """What the readings of one assay give, as is and dried.

    Raises
    ------
    OutsideModel
        Nothing follows from them.
    """
    there = {one.body.what: _leaf(one) for one in readings}
    marker, _, compound = next(one.body.as_written for one in readings if one.body.what == COUNTED).partition(
        " as "
    )
    counted, as_what = (marker_key(one) or one for one in (marker, compound))
    strength = StatedStrength(0.0, counted, as_what, "")
    drying = latest_result(look, lot, DRYING)
    found = absorbed(
        [
            Measured(one, there[f"{SHOWN} {name.split()[-1]}"])
            for name, one in there.items()
            if name.startswith(SAMPLE)
        ],
        against=_against(there, as_what),
        blank=there.get(BLANK, _none("nothing else absorbs there", 0.0)),
        volume=there[VOLUME],
        dilution=there.get(DILUTED, _none("not diluted", 1.0)),
        sure_percent=there.get(SURE),
        loss_on_drying=from_trail(drying.body.trail) if drying else None,
        basis=Basis(
            ratio="w/w",
            of=counted,
            reckoned_as=as_what,
            carrier=carrier_of(look.lot(lot)),
            matter="as is",
        ),
    )
    numbers = tuple(sorted(one.entry_no for one in readings))
    results = [
        result_of(
            lot,
            assay_name(strength.counted, matter),
            one.answer,
            METHOD,
            found.counts,
            found.because,
            numbers,
            one.k,
        )
        for matter, one in (("as is", found.as_is), ("dried", found.dried))
        if one is not None
    ]
    return found, tuple(results)


def _against(there: Mapping[str, Answer], compound: str) -> list[Standard] | Answer:
    """The standards, or the printed absorptivity for 1 %."""
    if MOLAR in there:
        return reckoned(
            f"A(1 %, 1 cm) of {compound}", specific_absorbance, unit="",
            inputs={"molar_absorptivity_l_mol_cm": there[MOLAR], "molar_mass_g_mol": molar_mass(compound)},
            says="ten times the molar absorptivity over the molar mass",
        )  # fmt: skip
    if SPECIFIC in there:
        return there[SPECIFIC]
    return [
        Standard(one, there[f"{OF_STANDARD} {name.split()[-1]}"])
        for name, one in there.items()
        if name.startswith(CONTENT)
    ]


def _none(because: str, value: float) -> Answer:
    return reading(because, value, "", "not said")


def _leaf(entry: Entry[ReadingTaken]) -> Answer:
    """A reading as the sum takes it: scale and glass are off alike for every portion."""
    body = entry.body
    return reading(
        body.what, body.value, body.unit, f"entry {entry.entry_no}", entry_no=entry.entry_no,
        standard_uncertainty=body.standard_uncertainty or None,
        cause=f"samples on {body.apparatus}" if body.what.startswith(SAMPLE) else "",
    )  # fmt: skip


def _again(
    look: Reader, entry: Entry[ResultReckoned], readings: Sequence[Entry[ReadingTaken]]
) -> ResultReckoned | None:
    """Line, dilution and portions are judged anew."""
    if entry.body.method != METHOD:
        return None
    return next(
        (one for one in _results(look, entry.body.subject, readings)[1] if one.what == entry.body.what), None
    )


def _anew(look: Reader, lot: str, readings: Sequence[Entry[ReadingTaken]]) -> tuple[ResultReckoned, ...]:
    return _results(look, lot, readings)[1] if any(one.body.what == COUNTED for one in readings) else ()


def _stands(_: Reader, lot: Lot) -> str:
    return t("Assay by absorbance") if "assay" in lot.kind.traits.tested_by else ""


measure_absorbance = Act(
    name=METHOD,
    action="measure absorbance",
    said=Absorbances,
    writes=_write,
    help="The content of LOT by the light its solution absorbs, against standards or a printed absorptivity.",
    title=later("Assay by absorbance"),
    called=later("Assay by absorbance"),
    stands=_stands,
    lead=later(
        "What the photometer showed, at one wavelength and in one cell. Standards are measured on the same day, in the "
        "same way as the sample."
    ),
    button=later("Calculate the assay"),
    address="/test/{code}/absorbance",
    cautions=(),
    offered=what_the_lot_counts,
    again=_again,
    anew=_anew,
    quiet=False,
)
