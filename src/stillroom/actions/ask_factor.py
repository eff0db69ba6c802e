"""The factor of a titrant with nothing set up: standard weighed, titres read, how well they agree, how long it serves.

Promises the release rule and the drift against the last factor; what was taken in place of an entry is listed by its
effect. Writes nothing: ``titrant_factors.find_factor`` writes the same into a book.
"""

import math
from collections.abc import Mapping
from datetime import date, timedelta

from stillroom.actions.testing.titrant_factors import burette_temperature, nominal_strength, standard_content
from stillroom.answers.titrant_factor import (
    STATED_AT_C,
    Factored,
    Replicate,
    days_it_serves,
    drift_told,
    factor_of,
)
from stillroom.documents.asking_factor import FactorTold, factor_page
from stillroom.documents.blocks import NO_BOOK, Page, PageFacts
from stillroom.documents.doors import Unsaid, opened_at, question_address, said_in
from stillroom.errors import BadEntry, Phrase, UnknownName, worded
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.entry import entry, with_unit, without_sign
from stillroom.quantities.numbers import number_in
from stillroom.reference.tables import row, table
from stillroom.substances.acids import STANDARDS
from stillroom.substances.rules import rule
from stillroom.substances.titrants import refuse_wrong_standard, titrant_life

QUESTION = "factor"
ASKED = "as asked"
MOST_REPLICATES = 6
ENTRIES = ("titrant", "strength", "standard", "mass-1", "titre-1", "blank")
_SURE = {
    "scale": ("scale-plus-minus", "standard-scale-limits", "g", "how sure the scale is"),
    "mL": ("titre-plus-minus", "burette-limits", "mL", "how sure the burette is"),
    "g": ("titre-plus-minus", "titrant-weighed-limits", "g", "how sure the weighed titrant is"),
}
"""Field, rule taken where it is empty, unit, and words, for the scale and for titres of either unit."""


def work_out_factor(fields: Mapping[str, str], today: date, facts: PageFacts = NO_BOOK) -> Page:
    """Work the factor of a titrant out from its fields.

    Parameters
    ----------
    fields : mapping of str to str
        "titrant", "strength", "standard", "mass-1", "titre-1" and so on to 6, "blank"; what else was said: "at" (the
        burette), "room", "content", "scale-plus-minus", "titre-plus-minus", "last-factor", "last-on".
    today : date
        Day from which the days it serves count.
    facts : PageFacts
        Of the laboratory, where one is open.

    Raises
    ------
    StillroomError
        An entry is missing, cannot be read, or does not go with another.
    """
    said = said_in(fields)
    nominal = _nominal(said)
    unit = "g" if nominal.unit == "mol/kg" else "mL"
    try:
        known = (one.key for one in table(STANDARDS).rows)
        standard = UnknownName.unless(said.get("standard", ""), "a primary standard", known)
    except UnknownName as error:
        raise error.at("standard") from error
    of = titrant_life(said.get("titrant", ""))
    refuse_wrong_standard(of, standard)
    replicates = _replicates(said, unit)
    if not said.get("blank"):
        raise BadEntry(
            "A factor needs a blank",
            "none",
            worded('Titrate without the standard: "0.04 {unit}"', unit=unit),
            where="blank",
        )
    found = factor_of(
        standard,
        replicates,
        nominal=nominal,
        content=standard_content(said.get("content", "")),
        blank=_read(said, "blank", unit, "blank", unit, zero=True),
        temperature=burette_temperature(said.get("at", "")),
    )
    room = _room(said)
    lives = days_it_serves(room, of, "life"), days_it_serves(room, of, "factor")
    told = FactorTold(
        titrant=said.get("titrant", "") or "titrant",
        standard=standard,
        nominal=said["strength"],
        replicates=tuple(replicates),
        found=found,
        drift=_drift(said, found, today),
        life=lives[0],
        factor_life=lives[1],
        again=(today + timedelta(days=int(lives[1].value))).isoformat(),
        room=with_unit(said.get("room", ""), "°C"),
        rule_of=of,
        drying=row(STANDARDS, standard).words("drying"),
        weak=nominal.value < 0.1,
    )
    return factor_page(told, _unsaid(said, found, unit), href=question_address(QUESTION, said), **facts)


def _nominal(said: Mapping[str, str]) -> Answer:
    text = said.get("strength", "")
    if not text:
        raise BadEntry(
            "The nominal strength is needed",
            "nothing",
            'Write "0.1 mol/L", or mol/kg when it is weighed',
            where="strength",
        )
    return nominal_strength(text, ASKED)


def _replicates(said: Mapping[str, str], unit: str) -> list[Replicate]:
    made = []
    for at in range(1, MOST_REPLICATES + 1):
        pair = [said.get(f"{what}-{at}", "") for what in ("mass", "titre")]
        if not any(pair):
            continue
        for what, text in zip(("mass", "titre"), pair, strict=True):
            if not text:
                must = f"Replicate {at} needs both: standard weighed, titrant used"
                raise BadEntry(must, worded("no {what}", what=Phrase(what)), where=f"{what}-{at}")
        mass = _read(said, f"mass-{at}", "g", f"standard taken {at}", "scale")
        made.append(Replicate(mass, _read(said, f"titre-{at}", unit, f"titre {at}", unit)))
    if not made:
        raise BadEntry(
            "A factor needs at least one replicate",
            "none",
            "Weigh the standard and titrate it",
            where="mass-1",
        )
    return made


def _read(
    said: Mapping[str, str], field: str, unit: str, name: str, tool: str, *, zero: bool = False
) -> Answer:
    doubt, otherwise, doubt_unit, what = _SURE[tool]
    cause = (
        "" if zero else what
    )  # an instrument is off alike for every replicate; near zero it is off by itself
    amount = entry(said[field], unit, zero_allowed=zero, where=field).in_unit(unit)
    if said.get(doubt):
        half = entry(without_sign(said[doubt]), doubt_unit, where=doubt).in_unit(doubt_unit)
        return reading(name, amount, unit, ASKED, standard_uncertainty=half / 2.0, cause=cause)
    limits = rule(otherwise).value
    return reading(
        name, amount, unit, f"{ASKED}, right within {limits:g} {unit} either way: common practice, no source",
        standard_uncertainty=limits / math.sqrt(3.0), cause=cause, shape="rectangular",
    )  # fmt: skip


def _room(said: Mapping[str, str]) -> Answer:
    if not said.get("room"):
        return assumed("room temperature", STATED_AT_C, "°C", "nobody said: what the rules are stated for")
    value = entry(said["room"], "°C", where="room").in_unit("°C")
    if not -5.0 <= value <= 55.0:
        raise BadEntry(
            "A room lies between -5 and 55 °C",
            repr(said["room"][:40]),
            "Read the thermometer again",
            where="room",
        )
    return reading("room temperature", value, "°C", ASKED)


def _drift(said: Mapping[str, str], found: Factored, today: date) -> str:
    if not said.get("last-factor"):
        return ""
    last = number_in(said["last-factor"], where="last-factor").value
    if not 0.5 < last < 2.0:
        raise BadEntry(
            "The factor of a titrant lies near 1",
            repr(said["last-factor"][:40]),
            "Look at the point",
            where="last-factor",
        )
    if not said.get("last-on"):
        raise BadEntry("A last factor has its day", "none", 'Write "2026-11-04"', where="last-on")
    try:
        on = date.fromisoformat(said["last-on"])
    except ValueError:
        raise BadEntry(
            "A day is written like 2026-11-04",
            repr(said["last-on"][:20]),
            "Year, month, day",
            where="last-on",
        ) from None
    if on >= today:
        raise BadEntry(
            "The last factor was found before today",
            repr(said["last-on"][:20]),
            "Check the day",
            where="last-on",
        )
    now = found.factor.answer.value
    moved = 100.0 * (now - last) / last
    sure = 100.0 * found.factor.expanded_uncertainty / last
    beyond = "more" if abs(moved) > sure else "no more"
    _, told = drift_told([0.0, float((today - on).days)], [last, now])
    return f"Since {on.isoformat()} it moved by {moved:+.2f} %, {beyond} than this factor is sure of. {told}"


def _unsaid(said: Mapping[str, str], found: Factored, unit: str) -> tuple[Unsaid, ...]:
    items: list[Unsaid] = []

    def add(what: str, taken: str, because: str, effect: str, share: float, field: str) -> None:
        items.append(Unsaid(what, taken, because, effect, share, field, opened_at(QUESTION, said, field)))

    for tool, alone in (("scale", "standard taken"), (unit, ("titre", "blank"))):
        field, otherwise, doubt_unit, what = _SURE[tool]
        named = (what, *([alone] if isinstance(alone, str) else alone))
        if said.get(field):
            continue
        parts = [one for one in found.factor.budget.contributions if one.name.startswith(named)]
        share = 2.0 * math.hypot(*(one.contribution for one in parts)) / found.factor.answer.value
        add(
            what, f"± {rule(otherwise).value:g} {doubt_unit}", "common practice, no source",
            f"moves the factor by ± {100 * share:.2g} %", share, field,
        )  # fmt: skip
    if unit == "mL" and not said.get("at"):
        add(
            "how warm the burette was", "20 °C", "volumes are taken as read",
            "a burette at 30 °C holds 0.24 % less at 20 °C", 0.0024, "at",
        )  # fmt: skip
    if not said.get("content"):
        add(
            "content of the standard",
            "100 %",
            "nobody entered its certificate",
            "in proportion",
            0.001,
            "content",
        )
    if not said.get("room"):
        add(
            "how warm the room is", f"{STATED_AT_C:g} °C", "the rules are stated for it", "a warm room takes days off",
            0.0005, "room",
        )  # fmt: skip
    if not said.get("last-factor"):
        add("the last factor", "none", "nobody said", "no drift is told", 0.0001, "last-factor")
    return tuple(items)
