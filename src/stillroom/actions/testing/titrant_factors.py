"""The factor of a titrant is found: the standard weighed, its titres read, the factor written when it may be used."""

from collections.abc import Sequence
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.shelf.titrants_in_date import FACTOR, STRENGTH, titrant_dates
from stillroom.actions.testing.titrating import Titrated
from stillroom.answers.titrant_factor import Replicate, drift_told, factor_of
from stillroom.errors import BadEntry
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.entry import entry, share
from stillroom.records.entries import ReadingTaken
from stillroom.store.reader import Reader
from stillroom.substances.titrants import refuse_wrong_standard, titrant_life

STANDARD_TAKEN, STANDARD_TITRE, STANDARD_BLANK = "standard taken", "standard titre", "standard blank"


def find_factor(
    lab: Laboratory,
    lot: str,
    replicates: Sequence[Titrated],
    *,
    standard: str,
    strength: str,
    blank: str,
    scale: str,
    burette: str,
    content: str = "",
    temperature: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Enter the titrations of a primary standard, and write the factor where its replicates agree.

    Parameters
    ----------
    lot : str
        Titrant.
    replicates : sequence of Titrated
        Standard taken, titrant used ("0.4123 g", "20.14 mL").
    standard : str
        "potassium hydrogen phthalate".
    strength : str
        Nominal: "0.1000 mol/L", or "0.1000 mol/kg" for a titrant that is weighed.
    blank : str
        Titrant used without the standard: "0.04 mL".
    scale, burette : str
        Apparatus the standard and the titrant were measured with.
    content : str
        Of the standard by its certificate: "99.95 %". 100 % is assumed where nothing is said.
    temperature : str
        Of the burette: "31 °C".

    Returns
    -------
    Done
        Readings; strength and factor too where it was released. ``says`` tells factor, spread, drift and how long it
        serves in this room.
    """
    asked = {
        "lot": lot, "replicates": [[one.mass, one.titre] for one in replicates], "standard": standard,
        "strength": strength, "blank": blank, "scale": scale, "burette": burette, "content": content,
        "temperature": temperature,
    }  # fmt: skip
    nominal = nominal_strength(strength)
    with lab.act("find factor", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look = pen.look
        of = look.lot(lot)
        refuse_wrong_standard(titrant_life(f"{of.substance} {of.name}"), standard)
        weigher, measurer = look.apparatus(scale), look.apparatus(burette)
        series = f"factor/{len({one.body.series for one in look.readings(lot, STANDARD_TAKEN)}) + 1}"
        numbers: list[int] = []

        def read(what: str, text: str, unit: str, apparatus: str, spread: float) -> Answer:
            value = entry(text, unit, zero_allowed=what == STANDARD_BLANK, where=what).in_unit(unit)
            number = pen.enter(ReadingTaken(lot, what, value, unit, text, apparatus, series, spread))
            numbers.append(number)
            cause = "" if what == STANDARD_BLANK else apparatus  # off alike each time; near zero by itself
            return reading(
                what,
                value,
                unit,
                f"entry {number}",
                entry_no=number,
                standard_uncertainty=spread,
                cause=cause,
            )

        entered = [
            Replicate(
                read(STANDARD_TAKEN, one.mass, "g", scale, weigher.standard_uncertainty),
                read(STANDARD_TITRE, one.titre, measurer.unit, burette, measurer.standard_uncertainty),
            )
            for one in replicates
        ]
        found = factor_of(
            standard,
            entered,
            nominal=nominal,
            content=standard_content(content),
            blank=read(STANDARD_BLANK, blank, measurer.unit, burette, measurer.standard_uncertainty),
            temperature=burette_temperature(temperature),
        )
        answer = found.factor.answer
        told = f"{lot}: factor {answer.value:.4f} ± {found.factor.expanded_uncertainty:.4f}. {found.because}"
        if not found.released:
            return Done(tuple(numbers), told + " No factor was written: titrate again.")
        when = at or lab.clock()
        days, factors = _earlier(look, lot)
        numbers.append(
            pen.enter(
                ReadingTaken(lot, STRENGTH, nominal.value, nominal.unit, strength, standard_uncertainty=0.0)
            )
        )
        numbers.append(
            pen.enter(
                ReadingTaken(
                    lot, FACTOR, answer.value, "", f"{answer.value:.5f}", series=series,
                    standard_uncertainty=answer.standard_uncertainty or 0.0,
                )
            )
        )  # fmt: skip
        _, drift = drift_told([*days, when.timestamp() / 86400.0], [*factors, answer.value])
        return Done(tuple(numbers), f"{told} {drift} {_serves(look, lot, when)}")


def nominal_strength(text: str, because: str = "as entered") -> Answer:
    """Strength a titrant is meant to have. [mol/L, or mol/kg where it is weighed].

    Raises
    ------
    BadEntry
        It is neither.
    """
    found = entry(text, basis_required=False, where="strength")
    if found.dimension not in ("concentration", "amount by mass"):
        raise BadEntry(
            "A titrant has a strength in mol/L, or in mol/kg when it is weighed",
            repr(text[:40]),
            'Write "0.1 mol/L"',
            where="strength",
        )
    unit = "mol/L" if found.dimension == "concentration" else "mol/kg"
    return reading("nominal strength", found.in_unit(unit), unit, because)


def standard_content(text: str) -> Answer:
    """Content of a primary standard by its certificate, "99.95 %"; 100 % is assumed where nothing is said. [1]."""
    if not text:
        return assumed("content of the standard", 1.0, "", "nobody entered its certificate")
    value = share(text, least=0.9, most=1.01, where="content")
    return reading("content of the standard", value, "", "its certificate, as entered")


def burette_temperature(text: str) -> Answer | None:
    """Temperature a burette was read at; None where nobody said. [°C]."""
    if not text:
        return None
    value = entry(text, "°C", where="temperature").in_unit("°C")
    if not 5.0 <= value <= 45.0:
        raise BadEntry(
            "A burette is read between 5 and 45 °C",
            repr(text[:40]),
            "Let it stand in the room",
            where="temperature",
        )
    return reading("temperature of the burette", value, "°C", "as entered")


def _earlier(look: Reader, lot: str) -> tuple[list[float], list[float]]:
    entries = look.readings(lot, FACTOR)
    days = [datetime.fromisoformat(one.done_at).timestamp() / 86400.0 for one in entries]
    return days, [one.body.value for one in entries]


def _serves(look: Reader, lot: str, when: datetime) -> str:
    dates = titrant_dates(look, lot, when)
    if dates.factor_until is None or dates.use_by is None:
        return ""
    room = "" if dates.room else " How warm the room is was never noted."
    return (
        f"Set the factor again by {dates.factor_until.isoformat()}, and use it by {dates.use_by.isoformat()}, "
        f"{dates.at_room}: a rule, until your own factors tell.{room}"
    )
