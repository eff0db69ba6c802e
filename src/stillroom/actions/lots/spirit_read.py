"""How strong a lot of spirit was read to be, written beside it with how it was read.

Promises that from then on the account of spirit takes what was read in place of what was reckoned. Refuses a lot that
holds extract, which deceives every hydrometer.
"""

from collections.abc import Mapping
from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.dilute_entries import (
    NEEDED,
    have_in,
    known_by_in,
    refuse_outside,
    temperature_in,
    thermometer_in,
)
from stillroom.actions.entries_missing import refuse_missing
from stillroom.actions.shelf.lot_strength import READ_STRENGTH
from stillroom.errors import NotAllowed
from stillroom.records.entries import ReadingTaken
from stillroom.records.entry_json import body_to_json
from stillroom.texts.catalogue import t


def read_strength(
    lab: Laboratory,
    lot: str,
    fields: Mapping[str, str],
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write how strong a lot of spirit was read to be; from then on it counts as that.

    Parameters
    ----------
    lot : str
    fields : mapping of str to str
        "have", "known-by", "temperature" and what tells how sure it is, as a dilution asks them.

    Raises
    ------
    BadEntry
        An entry is missing, or cannot be read.
    NotAllowed
        The lot is no spirit, or holds what would deceive the reading.
    """
    refuse_missing(fields, {name: NEEDED[name] for name in ("have", "temperature")})
    temperature = temperature_in(fields, "temperature")
    refuse_outside(temperature)
    found, words = have_in(fields, known_by_in(fields), temperature, thermometer_in(fields))
    answer = found.answer
    body = ReadingTaken(
        lot, READ_STRENGTH, answer.value, "%", words, standard_uncertainty=answer.standard_uncertainty
    )
    with lab.act("read strength", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if not pen.look.lot(lot).kind.traits.is_clear:
            raise NotAllowed(
                "A strength is read in spirit with nothing dissolved in it",
                f"{lot}, {pen.look.lot(lot).kind}",
                "Distil a sample and read that; extract, sugar and glycerol deceive every hydrometer",
            )
        return Done((pen.enter(body),), t("{lot} holds {answer:.1f} % v/v.", lot=lot, answer=answer.value))
