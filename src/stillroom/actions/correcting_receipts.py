"""The amount of a received lot put right: what the shelf holds follows it."""

from collections.abc import Mapping
from dataclasses import replace

from stillroom.actions.laboratory import Done
from stillroom.actions.put_right import Field, Way, enter_again
from stillroom.actions.receiving import received
from stillroom.actions.shelf_gaps import settle
from stillroom.records.entries import Entry, LotReceived
from stillroom.store.pen import Pen
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def _fields(_: Reader, entry: Entry[LotReceived]) -> tuple[Field, ...]:
    return (Field("amount", t("correcting.amount"), entry.body.as_written),)


def _applies(pen: Pen, entry: Entry[LotReceived], changed: Mapping[str, str], why: str) -> Done:
    old, text = entry.body, changed["amount"]
    number_of, counted_in, sure_g = received(old.lot, text)
    moves = tuple(replace(one, amount=number_of, counted_in=counted_in) for one in old.movements)
    number = enter_again(
        pen, entry, replace(old, movements=moves, as_written=text, mass_standard_uncertainty_g=sure_g), why
    )
    gaps = settle(pen, (old.lot.code,))
    return Done(
        (number, *gaps.entries),
        t("done.receipt_said_now_says", lot_code=old.lot.code, as_written=old.as_written, amount=text)
        + gaps.says,
    )


RECEIPT = Way(_fields, _applies, "correcting.shelf_follows")
