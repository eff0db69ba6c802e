"""Standardise a titrant: its factor, from a primary standard that was weighed and titrated, and how long it serves.

Promises the release rule and the drift against the last factor. The calculation is ``answers.titrant_factor``. Writes
nothing: ``actions.testing.titrant_factors`` writes the same into a book.
"""

import math
from dataclasses import dataclass
from datetime import date, timedelta

from stillroom.answers.titrant_factor import (
    STATED_AT_C,
    Factored,
    Replicate,
    days_it_serves,
    drift_told,
    factor_of,
)
from stillroom.answers.titrant_words import (
    CONTENT_TAKEN,
    burette_temperature,
    nominal_strength,
    standard_content,
)
from stillroom.asking.entries import Assumption, HangsOn, maybe, needed, taken
from stillroom.asking.question import Question, Way
from stillroom.asking.readers import ASKED, Figure, HalfWidth, Number, OneOf, Own, Words
from stillroom.asking.said import Line, Said, lines
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.numbers import number_in
from stillroom.questions.factor_told import Factor, tell
from stillroom.substances.acids import primary_standard, standard_names
from stillroom.substances.rules import rule
from stillroom.substances.titrants import refuse_wrong_standard, titrant_life, titrant_names
from stillroom.texts.catalogue import later, t

MOST_REPLICATES, SHOWN_REPLICATES = 6, 3
WEAK_MOL_L = 0.1
"""Below it a solution does not keep."""
SCALE, BURETTE, WEIGHED = (
    "how sure the scale is",
    "how sure the burette is",
    "how sure the weighed titrant is",
)
LIMITS = {SCALE: "standard-scale-limits", BURETTE: "burette-limits", WEIGHED: "titrant-weighed-limits"}
"""What the doubt of a reading is called, and the rule taken where nobody says it."""


# ---- what is asked


def used_in(nominal: Answer) -> str:
    """Unit in which so strong a titrant is used: it is weighed where its strength is by mass."""
    return "g" if nominal.unit == "mol/kg" else "mL"


def titre_read(nominal: Answer) -> Number:
    """How a titre of so strong a titrant is read."""
    return Number(used_in(nominal))


def blank_read(nominal: Answer) -> Number:
    """How a blank is read: it may be zero."""
    return Number(used_in(nominal), zero=True)


def titre_half_width(nominal: Answer) -> HalfWidth:
    """How the doubt of a titre is read."""
    return HalfWidth(used_in(nominal))


def strength_of(titrant: str) -> Own[Answer]:
    """How the nominal strength of a titrant is read [mol/L or mol/kg]."""
    return Own(lambda text, where: nominal_strength(text, where, ASKED, of=titrant))


def factor_in(text: str, where: str) -> float:
    """A factor found before [1]."""
    value = number_in(text, can_be=(0.5, 2.0), where=where).value
    if not 0.5 < value < 2.0:
        raise BadEntry(
            "The factor of a titrant lies near 1", repr(text[:40]), "Look at the point", where=where
        )
    return value


def day_in(text: str, where: str) -> date:
    """A day: "2026-11-04"."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadEntry(
            "A day is written like 2026-11-04", repr(text[:20]), "Year, month, day", where=where
        ) from None


def is_a_volume(_: Factor, said: "Standardised") -> bool:
    """Whether the titrant is measured by volume."""
    return used_in(said.strength) == "mL"


def titre_limits(_: Factor, said: "Standardised") -> str:
    """What is taken for the doubt of a titre."""
    unit = used_in(said.strength)
    return f"± {rule(LIMITS[_titre_doubt(unit)]).value:g} {unit}"


def scale_limits(_: Factor, __: Said) -> str:
    """What is taken for the doubt of the scale."""
    return f"± {rule(LIMITS[SCALE]).value:g} g"


def titre_called(_: Factor, said: "Standardised") -> str:
    """What the doubt of a titre is called."""
    return _titre_doubt(used_in(said.strength))


def moved_by_scale(it: Factor, _: Said) -> float:
    """Part of the factor that the doubt of the scale moves [1]."""
    return _moved(it.found, SCALE, "standard taken")


def moved_by_titre(it: Factor, said: "Standardised") -> float:
    """Part of the factor that the doubt of a titre moves [1]."""
    return _moved(it.found, _titre_doubt(used_in(said.strength)), "titre", "blank")


def scale_effect(it: Factor, said: "Standardised") -> str:
    """The same in words."""
    return t("moves the factor by ± {percent:.2g} %", percent=100 * moved_by_scale(it, said))


def titre_effect(it: Factor, said: "Standardised") -> str:
    """The same in words."""
    return t("moves the factor by ± {percent:.2g} %", percent=100 * moved_by_titre(it, said))


@dataclass(frozen=True, slots=True, kw_only=True)
class Titrated(Line):
    """A portion of the standard, and what it took."""

    mass: float = needed(
        Number("g"),
        must=later("Replicate {at} needs both: standard weighed, titrant used"),
        label=later("Standard {at}, titrant used"),
    )
    titre: float = needed(
        HangsOn("strength", titre_read, unit=later("mL or g")),
        must=later("Replicate {at} needs both: standard weighed, titrant used"),
        label=later("Titre {at}"), beside=True,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Standardised(Said):
    """A titrant, its standard, and what each portion took."""

    titrant: str = taken(
        "", Words(titrant_names), label=later("Titrant, nominal strength"), short=later("Titrant"),
        hint=later("Such as sodium hydroxide, 0.1 mol/L; mol/kg when it is weighed"),
    )  # fmt: skip
    strength: Answer = needed(
        HangsOn("titrant", strength_of, kind="text"), label=later("Nominal strength"), beside=True,
        must=later("The nominal strength is needed"), do=later('Write "0.1 mol/L", or mol/kg when it is weighed'),
    )  # fmt: skip
    standard: str = needed(
        OneOf(standard_names, later("a primary standard"), alias=primary_standard),
        label=later("Primary standard"),
    )
    replicates: tuple[Titrated, ...] = lines(
        Titrated, most=MOST_REPLICATES, shown=SHOWN_REPLICATES,
        must=later("A factor needs at least one replicate"), do=later("Weigh the standard and titrate it"),
    )  # fmt: skip
    blank: float = needed(
        HangsOn("strength", blank_read, unit=later("mL or g")), label=later("Blank, without the standard"),
        must=later("A factor needs a blank"),
        do=later('Titrate without the standard: "0.04 mL", or g when it is weighed'),
    )  # fmt: skip
    at: Answer | None = maybe(
        Own(burette_temperature, "figure", "°C"), label=later("How warm the burette was"), folded=True,
        unsaid=Assumption(
            what=later("how warm the burette was"), taken="20 °C", because=later("volumes are taken as read"),
            effect=later("a burette at 30 °C holds 0.24 % less at 20 °C"), share=0.0024, counts=is_a_volume,
        ),
    )  # fmt: skip
    last_factor: float | None = maybe(
        Own(factor_in, "figure"), label=later("The last factor, and its day"), folded=True,
        unsaid=Assumption(
            what=later("the last factor"), taken=later("none"), because=later("nobody said"),
            effect=later("no drift is told"), share=0.0001,
        ),
    )  # fmt: skip
    last_on: date | None = maybe(Own(day_in, "date"), label=later("Its day"), beside=True)
    room: Answer = taken(
        assumed("room temperature", STATED_AT_C, "°C", "nobody said: what the rules are stated for"),
        Figure(
            of="room temperature", symbol="°C", unit="°C", low=-5.0, high=55.0,
            must=later("A room lies between -5 and 55 °C"), do=later("Read the thermometer again"),
        ),
        label=later("How warm the room is"), folded=True, house="room temperature",
        unsaid=Assumption(
            what=later("how warm the room is"), taken=f"{STATED_AT_C:g} °C",
            because=later("the rules are stated for it"), effect=later("a warm room takes days off"), share=0.0005,
        ),
    )  # fmt: skip
    content: Answer = taken(
        CONTENT_TAKEN,
        Own(standard_content, "figure", "%"),
        label=later("Content of the standard"), hint=later("By its certificate"), folded=True,
        unsaid=Assumption(
            what=later("content of the standard"), taken="100 %", because=later("nobody entered its certificate"),
            effect=later("in proportion"), share=0.001,
        ),
    )  # fmt: skip
    scale_plus_minus: float | None = maybe(
        HalfWidth("g"), label=later("How sure the scale is"), folded=True,
        unsaid=Assumption(
            what=SCALE, taken=scale_limits, because=later("common practice, no source"),
            effect=scale_effect, share=moved_by_scale,
        ),
    )  # fmt: skip
    titre_plus_minus: float | None = maybe(
        HangsOn("strength", titre_half_width, unit=later("mL or g")), label=later("How sure a titre is"), folded=True,
        unsaid=Assumption(
            what=titre_called, taken=titre_limits, because=later("common practice, no source"),
            effect=titre_effect, share=moved_by_titre,
        ),
    )  # fmt: skip


# ---- how it is worked out


def work(said: Standardised) -> Factor:
    """Find the factor, how far it moved, and how long it serves."""
    of, unit = titrant_life(said.titrant), used_in(said.strength)
    refuse_wrong_standard(of, said.standard)
    titre_doubt = _titre_doubt(unit)
    for one in said.replicates:
        if one.titre <= said.blank:
            raise BadEntry(
                "A titre is more than its blank",
                worded("{titre:g} {unit}, {blank:g} of blank", titre=one.titre, blank=said.blank, unit=unit),
                "Look at the point", where=f"titre-{one.number}",
            )  # fmt: skip
    replicates = tuple(
        Replicate(
            _read(f"standard taken {one.number}", one.mass, "g", SCALE, said.scale_plus_minus),
            _read(f"titre {one.number}", one.titre, unit, titre_doubt, said.titre_plus_minus),
        )
        for one in said.replicates
    )
    found = factor_of(
        said.standard,
        replicates,
        nominal=said.strength,
        content=said.content,
        blank=_read("blank", said.blank, unit, titre_doubt, said.titre_plus_minus, by_itself=True),
        temperature=said.at,
        titrant=said.titrant,
    )
    lasts = days_it_serves(said.room, of, "factor")
    again = said.today + timedelta(days=int(lasts.value))
    return Factor(
        said.titrant, said.standard, said.strength.value < WEAK_MOL_L, replicates, found, of, _drift(said, found),
        days_it_serves(said.room, of, "life"), lasts, again,
    )  # fmt: skip


def _titre_doubt(unit: str) -> str:
    return WEIGHED if unit == "g" else BURETTE


def _read(
    name: str, amount: float, unit: str, doubt: str, half: float | None, *, by_itself: bool = False
) -> Answer:
    """A reading: an instrument is off alike for every replicate; near zero it is off by itself."""
    cause = "" if by_itself else doubt
    if half is not None:
        return reading(name, amount, unit, ASKED, standard_uncertainty=half / 2.0, cause=cause)
    limits = rule(LIMITS[doubt]).value
    return reading(
        name, amount, unit, f"{ASKED}, right within {limits:g} {unit} either way: common practice, no source",
        standard_uncertainty=limits / math.sqrt(3.0), cause=cause, shape="rectangular",
    )  # fmt: skip


def _moved(found: Factored, *named: str) -> float:
    parts = [one for one in found.factor.budget.contributions if one.name.startswith(named)]
    return 2.0 * math.hypot(*(one.contribution for one in parts)) / found.factor.answer.value


def _drift(said: Standardised, found: Factored) -> str:
    """How the factor moved since the last one, in words; "" where none was said."""
    if said.last_factor is None:
        return ""
    if said.last_on is None:
        raise BadEntry("A last factor has its day", "none", 'Write "2026-11-04"', where="last-on")
    if said.last_on >= said.today:
        raise BadEntry(
            "The last factor was found before today", repr(said.text["last-on"][:20]), "Check the day", where="last-on"
        )  # fmt: skip
    now, last = found.factor.answer.value, said.last_factor
    moved, sure = 100.0 * (now - last) / last, 100.0 * found.factor.expanded_uncertainty / last
    beyond = "more" if abs(moved) > sure else "no more"
    _, told = drift_told([0.0, float((said.today - said.last_on).days)], [last, now])
    since = said.last_on.isoformat()
    return f"Since {since} it moved by {moved:+.2f} %, {beyond} than this factor is sure of. {told}"


QUESTION = Question(
    name="factor",
    title=later("Standardise a titrant"),
    lead=later("A primary standard weighed three times, what each took of the titrant, and a blank."),
    button=later("Calculate"),
    help='Factor of a titrant from REPLICATES of its primary standard ("0.4085 g, 20.06 mL"); three at least.',
    kind="titrant factor",
    asks=Way(Standardised, work, tell),
)
