"""How strong a lot of spirit was read to be, written beside it with how it was read.

Promises that from then on the account of spirit takes what was read in place of what was reckoned. Refuses a lot that
holds extract, which deceives every hydrometer.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.shelf.lot_strength import READ_STRENGTH
from stillroom.asking.question import NOTHING_NOTED
from stillroom.asking.said import Said, together
from stillroom.documents.doors import said_in
from stillroom.errors import NotAllowed
from stillroom.evidence.answer import Answer
from stillroom.questions.spirit_at_hand import (
    AtHand,
    StrengthSaid,
    at_hand,
    plain_thermometer,
    temperature_now,
    thermometer_said,
)
from stillroom.records.entries import ReadingTaken
from stillroom.records.entry_json import body_to_json
from stillroom.texts.catalogue import t


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthRead(Said):
    """How strong a lot was read to be, and how warm it is."""

    spirit: AtHand = together(StrengthSaid, at_hand)
    temperature: Answer = temperature_now()
    thermometer: Answer | None = thermometer_said()


def read_strength(lab: Laboratory, lot: str, fields: Mapping[str, str], **sign: Unpack[Signed]) -> Done:
    """Write how strong a lot of spirit was read to be; from then on it counts as that.

    Parameters
    ----------
    fields : mapping of str to str
        "have", "known-by", "temperature" and what tells how sure it is, as a dilution asks them.

    Raises
    ------
    BadEntry
        An entry is missing, or cannot be read.
    NotAllowed
        The lot is no spirit, or holds what would deceive the reading.
    """
    said = StrengthRead.read(said_in(fields), lab.today(), NOTHING_NOTED)
    found = said.spirit.stated(said.temperature, said.thermometer or plain_thermometer())
    answer = found.answer
    body = ReadingTaken(
        lot, READ_STRENGTH, answer.value, "%", said.spirit.words(said.temperature),
        standard_uncertainty=answer.standard_uncertainty,
    )  # fmt: skip
    with lab.act("read strength", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if not pen.look.lot(lot).kind.traits.is_clear:
            raise NotAllowed(
                "A strength is read in spirit with nothing dissolved in it",
                f"{lot}, {pen.look.lot(lot).kind}",
                "Distil a sample and read that; extract, sugar and glycerol deceive every hydrometer",
            )
        return Done((pen.enter(body),), t("{lot} holds {answer:.1f} % v/v.", lot=lot, answer=answer.value))
