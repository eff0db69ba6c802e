"""The factor of a titrant is found: the standard weighed, its titres read, the factor written when it may be used."""

from collections.abc import Sequence
from datetime import datetime
from typing import Unpack

from stillroom.actions.book.acts import no_result, told_of_scales
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.shelf.titrants_in_date import FACTOR, STRENGTH, titrant_dates
from stillroom.answers.titrant_factor import Replicate, drift_told, factor_of
from stillroom.answers.titrant_words import (
    CONTENT_TAKEN,
    burette_temperature,
    nominal_strength,
    standard_content,
)
from stillroom.errors import BadEntry, OutsideModel
from stillroom.evidence.answer import Answer, reading
from stillroom.quantities.entry import entry
from stillroom.quantities.numbers import number_in
from stillroom.records.entries import ReadingTaken
from stillroom.store.reader import Reader
from stillroom.substances.acids import primary_standard
from stillroom.substances.titrants import refuse_wrong_standard, titrant_life
from stillroom.texts.catalogue import t

STANDARD_TAKEN, STANDARD_TITRE, STANDARD_BLANK = "standard taken", "standard titre", "standard blank"


def find_factor(
    lab: Laboratory,
    lot: str,
    replicates: Sequence[tuple[str, str]],
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
    replicates : sequence of (str, str)
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
        "lot": lot, "replicates": [list(one) for one in replicates], "standard": standard,
        "strength": strength, "blank": blank, "scale": scale, "burette": burette, "content": content,
        "temperature": temperature,
    }  # fmt: skip
    with lab.act("find factor", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        look = pen.look
        of = look.lot(lot)
        called = f"{of.substance} {of.name}"
        standard = primary_standard(standard)
        refuse_wrong_standard(titrant_life(called), standard)
        nominal = nominal_strength(strength, "strength", of=called)
        weigher, measurer = look.apparatus(scale), look.apparatus(burette)
        series = f"factor/{len({one.body.series for one in look.readings(lot, STANDARD_TAKEN)}) + 1}"
        numbers: list[int] = []

        def read(what: str, text: str, unit: str, apparatus: str, spread: float) -> Answer:
            tared = what == STANDARD_TAKEN
            value = entry(text, unit, zero_allowed=True, negative_allowed=tared, where=what).in_unit(unit)
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
                read(STANDARD_TAKEN, mass, "g", scale, weigher.standard_uncertainty),
                read(STANDARD_TITRE, titre, measurer.unit, burette, measurer.standard_uncertainty),
            )
            for mass, titre in replicates
        ]
        empty = read(STANDARD_BLANK, blank, measurer.unit, burette, measurer.standard_uncertainty)
        try:
            found = factor_of(
                standard,
                entered,
                nominal=nominal,
                content=standard_content(content, "content") if content else CONTENT_TAKEN,
                blank=empty,
                temperature=burette_temperature(temperature, "temperature") if temperature else None,
                titrant=called,
            )
        except OutsideModel as error:
            return no_result(numbers, error)
        answer = found.factor.answer
        told = f"{lot}: factor {answer.value:.4f} ± {found.factor.expanded_uncertainty:.4f}. {found.because}"
        told = f"{told} {told_of_scales(look, lot, numbers)}".rstrip()
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


def factor_titrant(
    lab: Laboratory,
    lot: str,
    *,
    strength: str,
    factor: str,
    factor_standard_uncertainty: str,
    **sign: Unpack[Signed],
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
    number = number_in(factor, can_be=(0.5, 2.0), where="factor").value
    spread = number_in(factor_standard_uncertainty, where="factor uncertainty").value
    if not 0.5 < number < 2 or not 0 <= spread < 0.1:
        raise BadEntry(
            "The factor of a titrant lies near 1, known to better than a tenth", f"{factor} ± {spread}"
        )
    with lab.act("factor titrant", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        of = pen.look.lot(lot)
        nominal = nominal_strength(strength, "strength", of=f"{of.substance} {of.name}")
        first = pen.enter(
            ReadingTaken(lot, STRENGTH, nominal.value, nominal.unit, strength, standard_uncertainty=0.0)
        )
        second = pen.enter(ReadingTaken(lot, FACTOR, number, "", factor, standard_uncertainty=spread))
        return Done(
            (first, second),
            t("{lot}: {strength}, factor {factor}.", lot=lot, strength=strength, factor=factor),
        )


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
