"""Dilute spirit with nothing set up: how strong, wanted, how much, how warm; a doubt for everything nobody said.

Promises the recipe in masses, volumes and marks, with what was taken in place of an entry listed by its effect.
Reads text as a person writes it and writes nothing. The temperature is asked, never filled in.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stillroom.actions.dilute_entries import (
    NEEDED,
    TO_THE_MARK,
    VESSEL,
    alcoholometer_in,
    amount_in,
    expansion_of,
    have_in,
    known_by_in,
    refuse_outside,
    strength_in,
    temperature_in,
    thermometer_in,
    want_in,
    want_words,
)
from stillroom.actions.dilute_seen import dropper_in, refuse_dissolved, shown_in
from stillroom.actions.dilute_unsaid import left_unsaid
from stillroom.actions.entries_missing import refuse_missing
from stillroom.answers.spirit_diluted import Diluted, diluted
from stillroom.answers.spirit_seen import Seen, seen
from stillroom.answers.spirit_strength import (
    KnownBy,
    strength_by_label_percent,
)
from stillroom.documents.alcoholometer_blocks import SaidBesides
from stillroom.documents.asking_dilute import DilutionWords
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer
from stillroom.quantities.strengths import SIXTY_FAHRENHEIT_C
from stillroom.records.answer_entries import LeftUnsaid
from stillroom.records.written_values import one_line

CALLED_AT_MOST = 40
"""Letters of what a vessel is called, as they stand in a title."""
SAME = 1e-9
"""Strengths that differ by less are one strength, written in two ways."""


@dataclass(frozen=True, slots=True)
class DilutedAsAsked:
    """A dilution with the words it was asked in.

    Attributes
    ----------
    found : Diluted
    words : DilutionWords
    unsaid : tuple of (LeftUnsaid, float)
        What nobody said, with the share of the answer it moves.
    besides : SaidBesides
        A dropper that was weighed, a reading in the mixture, something dissolved.
    """

    found: Diluted
    words: DilutionWords
    unsaid: tuple[tuple[LeftUnsaid, float], ...]
    besides: SaidBesides


def work_out_dilution(fields: Mapping[str, str]) -> DilutedAsAsked:
    """Work a dilution out from its fields.

    Parameters
    ----------
    fields : mapping of str to str
        The four entries (``ENTRIES``) and what else was said: "have-plus-minus", "read-at", "reference",
        "bottle-empty", "bottle-water", "bottle-spirit", "vessel", "vessel-called", "division", "thermometer", "holds",
        "drops-counted", "drops-weigh", "drops-of", "shows", "shows-at".

    Raises
    ------
    BadEntry
        An entry is missing, or cannot be read.
    OutsideModel
        A figure lies outside the density table, or more strength is wanted than there is.
    """
    bottle = fields.get("known-by") == "bottle" or fields.get("bottle-spirit")
    refuse_missing(fields, {name: told for name, told in NEEDED.items() if not (bottle and name == "have")})
    temperature = temperature_in(fields, "temperature")
    refuse_outside(temperature)
    thermometer = thermometer_in(fields)
    known_by = known_by_in(fields)
    dissolved, known_dropper = refuse_dissolved(fields, known_by), dropper_in(fields)
    have, words = have_in(fields, known_by, temperature, thermometer)
    want = want_in(fields)
    if abs(want.value - have.answer.value) <= SAME * have.answer.value:
        want = replace(want, value=have.answer.value)
    if not 0.0 < want.value <= have.answer.value:
        raise BadEntry(
            worded(
                "The strength wanted must lie above 0 and up to the {have:.1f} % v/v at hand",
                have=have.answer.value,
            ),
            f"{want.value:.4g} % v/v",
            "Take stronger spirit, or want less" if want.value > 0 else "Say what the mixture is to hold",
            where="want",
        )
    vessel = fields.get("vessel", "") or VESSEL
    expansion = expansion_of(vessel)
    amount, at_hand, amount_words = amount_in(fields, have.answer, want, temperature, expansion)
    alcoholometer = alcoholometer_in(fields)
    found = diluted(
        have,
        want,
        amount,
        temperature,
        at_hand=at_hand,
        vessel_expansion=expansion,
        alcoholometer=alcoholometer,
        thermometer=thermometer,
    )
    looked = shown_in(fields, temperature)
    return DilutedAsAsked(
        found,
        DilutionWords(
            words,
            want_words(want),
            amount_words,
            f"{temperature.value:g} °C",
            vessel,
            at_hand,
            to_mark=fields.get("amount-as", "").endswith(TO_THE_MARK),
            called=one_line(called, "vessel-called")[:CALLED_AT_MOST]
            if (called := fields.get("vessel-called"))
            else "",
        ),
        left_unsaid(found, fields, known_by, vessel, _meant_otherwise(found, fields, known_by)),
        SaidBesides(
            known_dropper, _seen(found, looked, alcoholometer, thermometer) if looked else None, dissolved
        ),
    )


def _seen(found: Diluted, looked: tuple[Answer, Answer], alcoholometer: Answer, thermometer: Answer) -> Seen:
    reads, at = looked
    try:
        return seen(found, reads, at, alcoholometer, thermometer)
    except StillroomError as error:
        raise error.at("shows") from error


def _meant_otherwise(found: Diluted, fields: Mapping[str, str], known_by: KnownBy) -> float | None:
    """What the spirit would be if its label meant 15.56 °C, less what it is now. [% v/v]."""
    if known_by not in ("label", "certificate") or strength_in(fields).temperature_said:
        return None
    stated = next(one.value for name, one in found.have.answer.inputs if name == "volume_percent")
    return strength_by_label_percent(stated, SIXTY_FAHRENHEIT_C, 0.0) - found.have.answer.value
