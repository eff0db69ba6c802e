"""The factor of a titrant is found: the standard weighed, its titres read, the factor written when it may be used."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Unpack

from stillroom.actions.book.acts import no_result, told_of_scales
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.shelf.titrants_in_date import FACTOR, STRENGTH, VOID_FACTOR, titrant_dates
from stillroom.answers.titrant_factor import Factored, Replicate, drift_told, factor_of
from stillroom.answers.titrant_words import (
    CONTENT_TAKEN,
    nominal_strength,
    refuse_no_room,
    standard_content,
)
from stillroom.errors import BadEntry, OutsideModel
from stillroom.evidence.answer import Answer, reading
from stillroom.quantities.entry import entry
from stillroom.quantities.numbers import number_in
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.records.people import Apparatus
from stillroom.store.reader import Reader
from stillroom.substances.acids import primary_standard
from stillroom.substances.titrants import refuse_wrong_standard, titrant_life
from stillroom.texts.catalogue import t

STANDARD_TAKEN, STANDARD_TITRE, STANDARD_BLANK = "standard taken", "standard titre", "standard blank"
SET_WITH, CONTENT, WARM = "set with", "content of the standard", "burette temperature"
"""Written beside the readings of a factor, so that it is found again once one of them is put right."""


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
    note: str = "",
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
    note : str
        How a temperature came that no room has; with it, it is kept and does not count.

    Returns
    -------
    Done
        Readings; strength and factor too where it was released. ``says`` tells factor, spread, drift and how long it
        serves in this room.
    """
    asked = {
        "lot": lot, "replicates": [list(one) for one in replicates], "standard": standard,
        "strength": strength, "blank": blank, "scale": scale, "burette": burette, "content": content,
        "temperature": temperature, **({"note": note} if note else {}),
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

        def keep(
            what: str, value: float, unit: str, text: str, of: str = "", spread: float | None = None
        ) -> None:
            numbers.append(pen.enter(ReadingTaken(lot, what, value, unit, text, of, series, spread)))

        def read(what: str, text: str, unit: str, of: Apparatus) -> None:
            tared = what == STANDARD_TAKEN
            value = entry(text, unit, zero_allowed=True, negative_allowed=tared, where=what).in_unit(unit)
            keep(what, value, unit, text, of.code, of.standard_uncertainty)

        for mass, titre in replicates:
            read(STANDARD_TAKEN, mass, "g", weigher)
            read(STANDARD_TITRE, titre, measurer.unit, measurer)
        read(STANDARD_BLANK, blank, measurer.unit, measurer)
        of_label = ReadingTaken(lot, SET_WITH, nominal.value, nominal.unit, standard, "", series)
        numbers.append(pen.enter(of_label, why=note))
        if content:
            keep(CONTENT, standard_content(content, "content").value, "", content)
        if temperature:
            warm = entry(temperature, "°C", where="temperature").in_unit("°C")
            if not note:
                do = "Look at the thermometer; or say in the note that it showed so"
                refuse_no_room(warm, temperature, do, "temperature")
            keep(WARM, warm, "°C", temperature)
        try:
            found = _factor_of(look, lot, series)
        except OutsideModel as error:
            return no_result(numbers, error)
        answer = found.factor.answer
        told = f"{lot}: factor {answer.value:.4f} ± {found.factor.expanded_uncertainty:.4f}. {found.because}"
        told = f"{told} {told_of_scales(look, lot, numbers)}".rstrip()
        if not found.released:
            return Done(tuple(numbers), told + " No factor was written: titrate again.")
        when = at or lab.clock()
        days, factors = _earlier(look, lot)
        numbers += [pen.enter(one) for one in _written(lot, series, of_label, answer)]
        _, drift = drift_told([*days, when.timestamp() / 86400.0], [*factors, answer.value])
        return Done(tuple(numbers), f"{told} {drift} {_serves(look, lot, when)}")


def factor_again(
    look: Reader, lot: str, series: str
) -> tuple[Entry[ReadingTaken] | None, tuple[ReadingTaken, ...]]:
    """The factor that a series of readings gave, and strength and factor as they give them now, or the old one void.

    Parameters
    ----------
    series : str
        "factor/1".
    """
    old = next(
        (one for one in look.readings(lot, series=series) if one.body.what in (FACTOR, VOID_FACTOR)), None
    )
    with_what = next((one.body for one in look.readings(lot, SET_WITH, series)), None)
    if with_what is None:
        return old, ()  # an older book does not say what it was set with
    try:
        found = _factor_of(look, lot, series)
    except OutsideModel:
        found = None
    if found is not None and found.released:
        return old, _written(lot, series, with_what, found.factor.answer)
    return old, (replace(old.body, what=VOID_FACTOR),) if old else ()


def _written(
    lot: str, series: str, nominal: ReadingTaken, factor: Answer
) -> tuple[ReadingTaken, ReadingTaken]:
    """The nominal strength and the factor, as they are written."""
    sure, name = factor.standard_uncertainty or 0.0, f"{nominal.value:g} {nominal.unit}"
    return (
        ReadingTaken(lot, STRENGTH, nominal.value, nominal.unit, name, standard_uncertainty=0.0),
        ReadingTaken(
            lot, FACTOR, factor.value, "", f"{factor.value:.5f}", series=series, standard_uncertainty=sure
        ),
    )


def _factor_of(look: Reader, lot: str, series: str) -> Factored:
    """The factor that the readings of a series give."""
    every = {one.entry_no: one for one in look.readings(lot, series=series, corrected=True)}

    def first_no(one: Entry[ReadingTaken]) -> int:
        while one.corrects in every:
            one = every[one.corrects]
        return one.entry_no

    there = sorted(look.readings(lot, series=series), key=first_no)

    def leaf(one: Entry[ReadingTaken], called: str = "") -> Answer:
        body = one.body
        off_alike = "" if body.what == STANDARD_BLANK else body.apparatus  # each time; near zero by itself
        return reading(
            called or body.what, body.value, body.unit, f"entry {one.entry_no}", entry_no=one.entry_no,
            standard_uncertainty=body.standard_uncertainty, cause=off_alike,
        )  # fmt: skip

    def each(what: str) -> list[Answer]:
        return [leaf(one) for one in there if one.body.what == what]

    (with_what,) = (one for one in there if one.body.what == SET_WITH)
    known = look.lot(lot)
    content, warm = each(CONTENT), each(WARM)
    return factor_of(
        with_what.body.as_written,
        [Replicate(*both) for both in zip(each(STANDARD_TAKEN), each(STANDARD_TITRE), strict=True)],
        nominal=leaf(with_what, "nominal strength"),
        content=content[0] if content else CONTENT_TAKEN,
        blank=each(STANDARD_BLANK)[0],
        temperature=warm[0] if warm else None,
        titrant=f"{known.substance} {known.name}",
    )


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
