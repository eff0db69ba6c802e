"""Titrations are entered as read: titrant, earlier portions, masses and titres; the results are reckoned."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from stillroom.actions.book.counted_marker import TOTAL_ALKALOIDS, titrated_in
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.results_kept import DRYING, assay_name, latest_result, result_of
from stillroom.actions.shelf.titrants_in_date import FACTOR, STRENGTH, titrant_dates
from stillroom.actions.testing.drying import carrier_of
from stillroom.answers.budget import Stated
from stillroom.answers.repeatability import Repeatability, pooled
from stillroom.answers.titration import Assay, Portion, total_alkaloids
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.evidence.trails import from_trail
from stillroom.quantities.entry import with_unit
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from stillroom.records.entries import ReadingTaken, ResultReckoned
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Status
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.substances.markers import molar_mass
from stillroom.substances.titrants import titrant_life
from stillroom.texts.catalogue import t

EARLIER_PORTION = "earlier portion"


METHOD = "total alkaloids by titration"


@dataclass(frozen=True, slots=True)
class Titrated:
    """One portion as a person enters it: sample taken, titrant used ("1.0150 g", "8.42 mL")."""

    mass: str
    titre: str


def factor_titrant(
    lab: Laboratory,
    lot: str,
    *,
    strength: str,
    factor: str,
    factor_standard_uncertainty: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write the nominal strength of a titrant and the factor found against its primary standard.

    Parameters
    ----------
    strength : str
        Nominal: "0.0200 mol/L", or "0.0200 mol/kg" for a titrant that is weighed.
    factor : str
        True over nominal: "1.004".
    factor_standard_uncertainty : str
        One standard uncertainty of the factor: "0.002".
    """
    asked = {"lot": lot, "strength": strength, "factor": factor, "u": factor_standard_uncertainty}
    quantity = parse(strength, zero_allowed=False, where="strength")
    if quantity.unit not in ("mol/L", "mol/kg"):
        raise BadEntry(
            "A titrant has a strength in mol/L, or in mol/kg when it is weighed", strength, where="strength"
        )
    number = number_in(factor, where="factor").value
    spread = number_in(factor_standard_uncertainty, where="factor uncertainty").value
    if not 0.5 < number < 2 or not 0 <= spread < 0.1:
        raise BadEntry(
            "The factor of a titrant lies near 1, known to better than a tenth", f"{factor} ± {spread}"
        )
    with lab.act("factor titrant", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.lot(lot)
        first = pen.enter(
            ReadingTaken(lot, STRENGTH, quantity.value, quantity.unit, strength, standard_uncertainty=0.0)
        )
        second = pen.enter(ReadingTaken(lot, FACTOR, number, "", factor, standard_uncertainty=spread))
        return Done(
            (first, second),
            t("{lot}: {strength}, factor {factor}.", lot=lot, strength=strength, factor=factor),
        )


def keep_earlier_portions(
    lab: Laboratory,
    procedure: str,
    sets: Sequence[Sequence[str]],
    *,
    carrier: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
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
    with lab.act("keep earlier portions", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.procedure(procedure)
        numbers = []
        before = {
            entry.body.series
            for entry in pen.look.entries(kind="reading taken")
            if isinstance(entry.body, ReadingTaken)
            and entry.body.what == EARLIER_PORTION
            and entry.body.series.startswith(f"{carrier}/")
        }
        for at_set, portions in enumerate(sets, start=len(before) + 1):
            for text in portions:
                value = number_in(text, where=f"{carrier}, set {at_set}").value
                body = ReadingTaken(
                    procedure, EARLIER_PORTION, value, "%", text, series=f"{carrier}/{at_set}"
                )
                numbers.append(pen.enter(body))
        return Done(
            tuple(numbers),
            t("{numbers} earlier portions of {carrier} are kept.", numbers=len(numbers), carrier=carrier),
        )


def titrate(
    lab: Laboratory,
    lot: str,
    portions: Sequence[Titrated],
    *,
    blank: str,
    titrant: str,
    scale: str,
    burette: str,
    nominal: str = "",
    way: str = "back",
    temperature: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Enter a titration of all bases, or all acids, and reckon its results as the compounds its markers name.

    Parameters
    ----------
    lot : str
        Bark or extract.
    portions : sequence of Titrated
    blank : str
        Titrant used by the blank; empty when none was done, and then nothing counts.
    titrant : str
        Lot of the titrant, whose strength and factor stand in the book.
    scale, burette : str
        Apparatus the sample and the titrant were measured with.
    nominal : str
        What the blank should have used by reckoning, to show what leaving it out would do.
    way : "back" or "direct"
    temperature : str
        Of the burette, "31 °C": titres are brought to 20 °C, as those behind the factor are.

    Returns
    -------
    Done
        Readings and results; ``says`` tells whether they count and why. A titrant past its use-by, or whose factor
        no longer serves, gives no result: what was reckoned is kept and does not count.
    """
    asked = {
        "lot": lot,
        "portions": [[one.mass, one.titre] for one in portions],
        "blank": blank,
        "titrant": titrant,
        "scale": scale,
        "burette": burette,
        "nominal": nominal,
        "way": way,
        **({"temperature": temperature} if temperature else {}),
    }
    if way not in ("back", "direct"):
        raise BadEntry("A titration is done back or direct", way, where="way")
    with lab.act("titrate", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        why_not = titrant_dates(pen.look, titrant, when := at or lab.clock()).why_not(titrant, when.date())
        numbers, assay = _read_titration(
            pen, lot, portions, blank, titrant, scale, burette, nominal, way, temperature
        )
        readings = tuple(numbers)
        if assay is None:
            return Done(readings, t("No result: {why_not}. The readings are kept.", why_not=why_not))
        because = f"No result: {why_not}. {assay.because}" if why_not else assay.because
        counted = titrated_in(pen.look, lot)
        known = counted.as_compounds
        compound, mean = (f"{counted.of} as {one}" for one in (known[0], _mean_of(known)))
        found_as = (
            (mean, assay.as_is, assay.dried),
            (compound, assay.as_is_compound, assay.dried_compound),
        )
        for what, found, counts in (
            (assay_name(name, matter), one, it_counts)
            for name, as_is, dried in (found_as if len(known) > 1 else found_as[1:])
            for matter, one, it_counts in (
                ("as is", as_is, assay.counts and not why_not),
                ("dried", dried, assay.dried_counts and not why_not),
            )
        ):
            if found is not None:
                method = METHOD if counted.of == TOTAL_ALKALOIDS else f"{counted.of} by titration"
                numbers.append(pen.enter(_result(lot, what, found, counts, because, readings, method)))
        return Done(tuple(numbers), because)


def _read_titration(
    pen: BookWriter,
    lot: str,
    portions: Sequence[Titrated],
    blank: str,
    titrant: str,
    scale: str,
    burette: str,
    nominal: str,
    way: str,
    temperature: str,
) -> tuple[list[int], Assay | None]:
    look = pen.look
    known, counted = look.lot(lot), titrated_in(look, lot)
    for compound in {counted.as_compounds[0], counted.as_compounds[-1]}:
        molar_mass(compound)
    weigher, measurer = look.apparatus(scale), look.apparatus(burette)
    _must_react(counted.of, look.lot(titrant).substance, way)
    status = look.status(titrant)
    if status is not Status.RELEASED:
        raise BadEntry(
            "A titrant must be released",
            worded("{titrant} is {status}", titrant=titrant, status=status.value),
            "Release it first, or take another",
        )
    numbers: list[int] = []
    series = f"titration/{len(look.readings(lot, 'blank titre')) + 1}"

    def read(what: str, text: str, unit: str, apparatus: str, spread: float, cause: str = "") -> Answer:
        value = parse(text, zero_allowed=True, where=what).in_unit(unit)
        number = pen.enter(ReadingTaken(lot, what, value, unit, text, apparatus, series, spread))
        numbers.append(number)
        where = f"entry {number}"
        return reading(what, value, unit, where, entry_no=number, standard_uncertainty=spread, cause=cause)

    titre_unit = measurer.unit
    entered = []
    for count, one in enumerate(portions, start=1):
        # An instrument is off alike for every portion; the blank, near zero, by itself.
        mass = read(
            f"sample taken, portion {count}", one.mass, "g", scale, weigher.standard_uncertainty,
            f"samples on {scale}",
        )  # fmt: skip
        titre = read(
            f"sample titre, portion {count}", one.titre, titre_unit, burette, measurer.standard_uncertainty,
            f"titres by {burette}",
        )  # fmt: skip
        entered.append(Portion(mass, titre))
    blank_answer = (
        read("blank titre", blank, titre_unit, burette, measurer.standard_uncertainty) if blank else None
    )
    burette_at = (
        read("burette temperature", with_unit(temperature, "°C"), "°C", "", 0.0) if temperature else None
    )
    if burette_at is not None and not 5.0 <= burette_at.value <= 40.0:
        raise BadEntry("A burette is read between 5 and 40 °C", temperature, where="temperature")
    nominal_answer = read("nominal titre", nominal, titre_unit, "", 0.0) if nominal else None
    if not (look.readings(titrant, STRENGTH) and look.readings(titrant, FACTOR)):
        return numbers, None
    carrier = carrier_of(known)
    drying = latest_result(look, lot, DRYING)
    assay = total_alkaloids(
        entered,
        blank=blank_answer,
        strength=_of_titrant(look, titrant, STRENGTH),
        factor=_of_titrant(look, titrant, FACTOR),
        loss_on_drying=from_trail(drying.body.trail) if drying else None,
        way="back" if way == "back" else "direct",
        nominal=nominal_answer,
        repeatability=_repeatability(look, known.kind),
        carrier=carrier,
        of=counted.of,
        markers=(counted.as_compounds[0], counted.as_compounds[-1]),
        as_compound=counted.as_compounds[0],
        temperature=burette_at,
    )
    return numbers, assay


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


def _of_titrant(look: Reader, titrant: str, what: str) -> Answer:
    found = look.readings(titrant, what)
    body = found[-1].body
    return reading(
        f"{what} of {titrant}",
        body.value,
        body.unit,
        f"entry {found[-1].entry_no}",
        entry_no=found[-1].entry_no,
        standard_uncertainty=body.standard_uncertainty or None,
    )


def _repeatability(look: Reader, kind: LotKind) -> Repeatability | None:
    """From earlier portions: of extracts for an extract, of anything else for a plant, whichever part was named."""
    sets: dict[str, list[float]] = {}
    entries = []
    for entry in look.entries(kind="reading taken"):
        body = entry.body
        if (
            isinstance(body, ReadingTaken)
            and body.what == EARLIER_PORTION
            and body.series.startswith("extract/") != (kind.traits.carrier == "plant")
        ):
            sets.setdefault(body.series, []).append(body.value)
            entries.append(entry.entry_no)
    if not sets:
        return None
    return pooled(
        list(sets.values()), f"{len(entries)} earlier portions, entries {entries[0]} to {entries[-1]}"
    )


def _result(
    lot: str,
    what: str,
    found: Stated,
    counts: bool,
    because: str,
    readings: tuple[int, ...],
    method: str,
) -> ResultReckoned:
    k = found.expanded.k
    return result_of(lot, what, found.answer, method, counts, because, readings, k)
