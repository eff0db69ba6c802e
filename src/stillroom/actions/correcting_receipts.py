"""The amount of a received lot put right, what the shelf holds follows it; its name and supplier too."""

from collections.abc import Mapping
from dataclasses import replace

from stillroom.actions.laboratory import Done
from stillroom.actions.put_right import Field, Way, enter_again
from stillroom.actions.receiving import received
from stillroom.actions.shelf_gaps import settle
from stillroom.records.entries import Entry, LotReceived
from stillroom.records.written_values import one_line
from stillroom.store.pen import Pen
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def _fields(_: Reader, entry: Entry[LotReceived]) -> tuple[Field, ...]:
    lot = entry.body.lot
    return (
        Field("amount", t("correcting.amount"), entry.body.as_written),
        Field("name", t("correcting.lot_name"), lot.name),
        Field("supplier", t("correcting.supplier"), lot.supplier),
    )


def _applies(pen: Pen, entry: Entry[LotReceived], changed: Mapping[str, str], why: str) -> Done:
    named = {name: one_line(text, name) for name, text in changed.items() if name != "amount"}
    lot = entry.body.lot
    lot = replace(lot, name=named.get("name", lot.name), supplier=named.get("supplier", lot.supplier))
    if "amount" not in changed:
        body = replace(entry.body, lot=lot)
        code, what = body.lot.code, ", ".join(named)
        return Done(
            (enter_again(pen, entry, body, why),), t("done.batch_said_now_says", batch=code, what=what)
        )
    old, text = replace(entry.body, lot=lot), changed["amount"]
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
