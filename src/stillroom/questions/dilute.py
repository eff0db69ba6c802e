"""Dilute spirit: how strong it is, what is wanted, how much, how warm; the recipe in masses, volumes and marks.

Promises masses that close, the reading to expect and what puts it right. The temperature is asked, never filled in. The
calculation is ``answers.spirit_diluted``; what is told and taught of it is ``dilute_told``. Writes nothing.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from stillroom.answers.drops import Dropper, dropper
from stillroom.answers.spirit_diluted import diluted
from stillroom.answers.spirit_seen import seen
from stillroom.asking.entries import Assumption, Flag, maybe, needed, taken
from stillroom.asking.question import Question, Sentence, Way
from stillroom.asking.readers import ASKED, Figure, OneOf, Own
from stillroom.asking.said import Part, Said, together
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, published, reading
from stillroom.quantities.entry import entry, step_of
from stillroom.quantities.numbers import number_in
from stillroom.quantities.strength_words import read_strength
from stillroom.quantities.strengths import USUAL_C, Strength
from stillroom.questions.dilute_told import Dilution, Words, label, recipe, teach, tell
from stillroom.questions.spirit_amounts import Amount, How, amount_in, how_in, want_words, wanted_in
from stillroom.questions.spirit_at_hand import (
    BOTTLE,
    AtHand,
    StrengthSaid,
    as_written,
    at_hand,
    plain_thermometer,
    temperature_now,
    thermometer_said,
)
from stillroom.questions.spirit_unsaid import (
    BESIDE,
    PLAIN_THERMOMETER,
    division_said,
    plain_alcoholometer,
    strength_assumed,
)
from stillroom.records.written_values import one_line
from stillroom.reference.tables import row, table
from stillroom.science.liquids.vessels import mark_for_volume_ml
from stillroom.substances.rules import rule
from stillroom.substances.spirits import pretended_in_spirit
from stillroom.texts.catalogue import later

TO_THE_MARK: How = "to the mark"
AMOUNT_AS = (
    "L wanted", "mL wanted", "kg wanted", f"mL {TO_THE_MARK}", "L at hand", "mL at hand", "kg at hand",
)  # fmt: skip
VESSEL, VESSELS = "soda-lime glass", "vessel_materials"
CALLED_AT_MOST = 40
"""Letters of what a vessel is called, as they stand in a title."""
ONLY_SPIRIT, DISSOLVED = "ethanol and water only", "extract, sugar or glycerol too"
HOLDS = {ONLY_SPIRIT: later("ethanol and water only"), DISSOLVED: later("extract, sugar or glycerol too")}
TRIED_G_PER_100ML, TRIED_PERCENT = 2.0, 70.0
DROPS_OF = {"water": later("water"), "spirit": later("spirit")}
SAME = 1e-9
"""Strengths that differ by less are one strength, written in two ways."""


# ---- what is asked


def ways_to_say_how_much() -> Mapping[str, str]:
    """What an amount may be a figure of."""
    return {one: one for one in AMOUNT_AS}


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountSaid(Part):
    """An amount, and what it is an amount of."""

    amount: str = needed(
        Own(as_written, "figure"), label=later("How much"), short=later("Amount"), argument=True,
        must=later("An amount is needed"), do=later("Say how much is wanted, or at hand"),
    )  # fmt: skip
    amount_as: tuple[How, str] = taken(
        ("wanted", ""), Own(how_in, "choice", named=ways_to_say_how_much),
        label=later("Of what"), beside=True, chosen="L wanted", usual="wanted",
        flags={
            "at-hand": Flag("at hand", help="AMOUNT is the spirit at hand: all of it is diluted."),
            "to-mark": Flag(TO_THE_MARK, help="AMOUNT is the mark of a vessel, which is filled to it."),
        },
    )  # fmt: skip


def amount_said(said: AmountSaid) -> Amount:
    """A volume or a mass."""
    how, unit = said.amount_as
    return amount_in(said.amount, "amount", how=how, unit=unit)


def vessels() -> tuple[str, ...]:
    """What a measuring vessel may be made of."""
    return tuple(one.key for one in table(VESSELS).rows)


def called_in(text: str, where: str) -> str:
    """What a vessel is called, in one line."""
    return one_line(text, where)[:CALLED_AT_MOST]


def drops_counted(text: str, where: str) -> Answer:
    """How many drops: "20", "20 drops"."""
    number = number_in(re.sub(r"\s*drops\s*$", "", text, flags=re.IGNORECASE), where=where).value
    return reading("drops counted", number, "drops", ASKED)


def drops_weighed(text: str, where: str) -> Answer:
    """What they weigh together, doubted by its last figure [g]."""
    mass = entry(text, "g", where=where)
    return reading(
        "drops together", mass.in_unit("g"), "g", "as asked, doubted by its last figure",
        standard_uncertainty=step_of(mass, "g") / 12.0**0.5,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Drops(Part):
    """A dropper that was weighed: so many drops of a liquid, and their mass."""

    drops_counted: Answer | None = maybe(
        Own(drops_counted, "figure"), label=later("A dropper that was weighed: drops, their mass, of what"),
        short=later("Drops counted"), folded=True,
        hint=later("Twenty drops onto the scale; spirit drops are far smaller than those of water"),
    )  # fmt: skip
    drops_weigh: Answer | None = maybe(
        Own(drops_weighed, "figure", "g"), label=later("Together they weigh"), beside=True
    )
    drops_of: str = taken(
        "water", OneOf(DROPS_OF, must=later("Drops are of water or of the spirit")),
        label=later("Drops of"), beside=True, chosen="water",
    )  # fmt: skip


def dropper_of(said: Drops) -> Dropper | None:
    """The dropper; None where nobody weighed one."""
    if said.drops_counted and said.drops_weigh:
        return dropper(said.drops_of, said.drops_counted, said.drops_weigh)
    if said.drops_counted or said.drops_weigh:
        where = "drops-weigh" if said.drops_counted else "drops-counted"
        raise BadEntry(
            "A dropper is calibrated by a count and a weighing", "one of them", "Give both", where=where
        )
    return None


def drops_in_words(text: str, _: int) -> dict[str, str]:
    """The entries of a dropper, from "20 drops of water weigh 0.98 g"."""
    counted, drops, weighed = " ".join(text.split()).partition(" drops of ")
    of, weigh, mass = weighed.partition(" weigh ")
    if not drops or not weigh or of not in DROPS_OF:
        raise BadEntry(
            "A dropper is a count, a liquid and a mass", repr(text[:40]), 'Write "20 drops of water weigh 0.98 g"',
            where="--drops",
        )  # fmt: skip
    return {"drops-counted": counted, "drops-of": of, "drops-weigh": mass}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shows(Part):
    """What the alcoholometer shows in the mixture now, and how warm that is."""

    shows: str = taken(
        "", Own(as_written, "figure", "% v/v"),
        label=later("The mixture stands there: what the alcoholometer shows, and how warm it is"),
        short=later("The alcoholometer shows"), hint=later("Leave it alone, or what to add"), folded=True,
    )  # fmt: skip
    shows_at: Answer | None = maybe(
        Figure(of="temperature of the mixture", symbol="°C", unit="°C"),
        label=later("Temperature of the mixture"), beside=True,
    )  # fmt: skip


def shown(said: Shows) -> Strength | None:
    """The reading; None where nobody looked."""
    if not said.shows:
        return None
    return read_strength(
        said.shows, known_by="alcoholometer", read_at_c=said.shows_at.value if said.shows_at else None,
        otherwise_at_c=USUAL_C, bare_ratio="v/v", where="shows",
    )  # fmt: skip


def shown_in_words(text: str, _: int) -> dict[str, str]:
    """The entries of a reading in the mixture, from "71.5 % at 24 °C"."""
    reads, at = (one.strip() for one in (*re.split(" at | à ", text, maxsplit=1), "")[:2])
    return {"shows": reads, "shows-at": at}


def _marks(it: Dilution) -> tuple[str, float]:
    """The material whose mark stands furthest from that of the one taken, and how far [mL]."""
    volume, temperature = it.found.product_volume.value, it.found.temperature.value
    marks = {
        one.key: float(mark_for_volume_ml(volume, temperature, one.number("cubic_expansion_per_k")))
        for one in table(VESSELS).rows
    }
    furthest = max(marks, key=lambda name: abs(marks[name] - marks[VESSEL]))
    return furthest, marks[furthest] - marks[VESSEL]


def vessel_because(it: Dilution, _: Said) -> str:
    """Why soda-lime glass is taken."""
    if it.words.how == TO_THE_MARK:
        return later("most measuring glasses")
    return later("most measuring glasses; it matters for the marks only, never for the masses")


def vessel_effect(it: Dilution, _: Said) -> str:
    """What another material would do."""
    furthest, moves = _marks(it)
    if abs(moves) < 1e-6:
        return later("nothing at 20 °C, where the marks are right")
    if it.words.how == TO_THE_MARK:
        less, more = (
            later("{vessel} would hold {moves:.2g} mL less"),
            later("{vessel} would hold {moves:.2g} mL more"),
        )
        return worded(less if moves > 0 else more, vessel=furthest, moves=abs(moves))
    higher = later("the mark would stand {moves:.2g} mL higher in {vessel}")
    lower = later("the mark would stand {moves:.2g} mL lower in {vessel}")
    return worded(higher if moves > 0 else lower, vessel=furthest, moves=abs(moves))


def vessel_share(it: Dilution, _: Said) -> float:
    """Part of the volume that another material moves [1]."""
    return abs(_marks(it)[1]) / it.found.product_volume.value / BESIDE


@dataclass(frozen=True, slots=True, kw_only=True)
class ToDilute(Said):
    """Spirit at hand, the strength wanted, how much, how warm."""

    spirit: AtHand = together(StrengthSaid, at_hand)
    want: Answer = needed(
        Own(wanted_in, "figure", "% v/v"),
        must=later("The strength wanted is needed"), do=later("Say what the mixture is to hold"),
        label=later("Want"), short=later("Strength wanted"), ratio_said=True, help='Strength wanted: "70.0 % v/v".',
    )  # fmt: skip
    amount: Amount = together(AmountSaid, amount_said)
    temperature: Answer = temperature_now()
    vessel: str = taken(
        VESSEL, OneOf(vessels, later("a material of a measuring vessel")),
        label=later("The measuring vessel: made of, called"), short=later("Measuring vessel"), folded=True,
        help='What the measuring vessel is made of: "polypropylene".',
        unsaid=Assumption(
            what=later("what the measuring vessel is made of"), taken=VESSEL, because=vessel_because,
            effect=vessel_effect, share=vessel_share,
        ),
    )  # fmt: skip
    vessel_called: str = taken(
        "", Own(called_in), label=later("What the vessel is called"), beside=True, help="What the vessel is called.",
    )  # fmt: skip
    holds: str = taken(
        ONLY_SPIRIT,
        OneOf(HOLDS, must=worded("The spirit holds {holds}, or {holds_two}", holds=ONLY_SPIRIT, holds_two=DISSOLVED)),
        label=later("What the spirit holds"), folded=True,
        hint=later("With anything dissolved, density and alcoholometer are not believed"),
        help='What the spirit holds: "extract, sugar or glycerol too".',
    )  # fmt: skip
    division: Answer | None = division_said()
    thermometer: Answer | None = thermometer_said(PLAIN_THERMOMETER)
    dropper: Dropper | None = together(Drops, dropper_of)
    shows: Strength | None = together(Shows, shown)


# ---- how it is worked out


def work(said: ToDilute) -> Dilution:
    """Weigh spirit and water, and tell what an alcoholometer should show."""
    dissolved = said.holds == DISSOLVED
    if dissolved and (said.spirit.is_read or said.shows):
        raise BadEntry(
            "Density and alcoholometer are believed in ethanol and water only",
            worded("something dissolved: {pretence}", pretence=_pretence()),
            "Take the strength it had before, distil a sample and read that, or go by mass",
            where="known-by" if said.spirit.is_read else "shows",
        )
    thermometer = said.thermometer or plain_thermometer()
    alcoholometer = said.division or plain_alcoholometer()
    have = said.spirit.stated(said.temperature, thermometer)
    want = _reached(said.want, have.answer)
    of = have.answer if said.amount.how == "at hand" else want
    expansion = expansion_of(said.vessel)
    found = diluted(
        have, want, said.amount.of(of, said.temperature, expansion), said.temperature,
        at_hand=said.amount.how == "at hand", vessel_expansion=expansion,
        alcoholometer=alcoholometer, thermometer=thermometer,
    )  # fmt: skip
    looked = None
    if said.shows is not None:
        try:
            looked = seen(found, *_read_now(said.shows, said.temperature), alcoholometer, thermometer)
        except StillroomError as error:
            raise error.at("shows") from error
    words = Words(
        said.spirit.words(said.temperature), want_words(want), said.amount.words, said.amount.how,
        f"{said.temperature.value:g} °C", said.vessel, said.vessel_called,
    )  # fmt: skip
    return Dilution(found, words, said.dropper, looked, dissolved)


def _reached(want: Answer, have: Answer) -> Answer:
    """The strength wanted, which is no more than there is."""
    if abs(want.value - have.value) <= SAME * have.value:
        want = replace(want, value=have.value)
    if not 0.0 < want.value <= have.value:
        raise BadEntry(
            worded(
                "The strength wanted must lie above 0 and up to the {have:.1f} % v/v at hand", have=have.value
            ),
            f"{want.value:.4g} % v/v",
            "Take stronger spirit, or want less" if want.value > 0 else "Say what the mixture is to hold",
            where="want",
        )
    return want


def expansion_of(vessel: str) -> Answer:
    """How a measuring vessel of that material grows with warmth [1/K]."""
    found = row(VESSELS, vessel)
    return published(
        f"expansion of {vessel}", found.number("cubic_expansion_per_k"), "1/K", f"{VESSELS}, {vessel}",
        sources=(found.words("source"),),
    )  # fmt: skip


def _read_now(shows: Strength, temperature: Answer) -> tuple[Answer, Answer]:
    """What the alcoholometer shows, and how warm the mixture is."""
    at = temperature
    if shows.temperature_said and shows.temperature_c is not None:
        at = reading("temperature of the mixture", shows.temperature_c, "°C", ASKED)
    return reading("reading in the mixture", shows.value, "%", ASKED, basis="v/v, as read"), at


def _pretence() -> str:
    """What two grams of solids make of 70 % v/v, worked out."""
    volume = rule("dissolved-solids-volume").value
    taken_for = 100.0 * float(pretended_in_spirit(TRIED_PERCENT / 100.0, TRIED_G_PER_100ML, volume))
    return worded(
        "{grams:g} g in 100 mL make {true:g} % v/v look like {taken_for:.0f} %",
        grams=TRIED_G_PER_100ML, true=TRIED_PERCENT, taken_for=taken_for,
    )  # fmt: skip


def assume(it: Dilution, said: ToDilute) -> tuple[Assumption, ...]:
    """What was taken of the spirit because nobody said it."""
    return strength_assumed(said.spirit, it.found.have, it.found.mixture, said.temperature)


QUESTION = Question(
    name="dilute",
    title=later("Dilute spirit"),
    lead=later("How strong it is, what you want, how much, how warm it is now."),
    button=later("Calculate"),
    help='Spirit and water for AMOUNT ("5.000 L"): masses, marks, what adding volumes gives, the reading to expect.',
    kind="spirit diluted",
    asks=Way(ToDilute, work, tell, teach, assume, labels=label, makes=recipe),
    sentences=(
        BOTTLE,
        Sentence(
            "drops", help='A dropper that was weighed: "20 drops of water weigh 0.98 g".',
            says=("drops-counted", "drops-weigh", "drops-of"), reads=drops_in_words,
        ),
        Sentence(
            "shows", help='The mixture stands there, and its alcoholometer shows: "71.5 % at 24 °C".',
            says=("shows", "shows-at"), reads=shown_in_words,
        ),
    ),
)  # fmt: skip
