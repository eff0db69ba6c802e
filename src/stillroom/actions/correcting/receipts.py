"""A receipt corrected: the amount, and the shelf follows; the label, the dates, whose it is, what people call it."""

from collections.abc import Mapping
from dataclasses import replace

from stillroom.actions.book.correction import Field, Way, enter_again
from stillroom.actions.book.laboratory import Done
from stillroom.actions.lots.receiving import receipt
from stillroom.actions.lots.shelf_gaps import settle
from stillroom.records.entries import Entry, LotReceived
from stillroom.records.lots import Lot
from stillroom.records.written_values import iso_date, one_line
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

CALLED = frozenset({"name", "supplier", "owner", "goods"})
"""What may be said otherwise without looking at the rest of the receipt again."""


def _fields(_: Reader, entry: Entry[LotReceived]) -> tuple[Field, ...]:
    lot = entry.body.lot
    found = (
        Field("amount", t("amount"), entry.body.as_written),
        Field("name", t("Name of the lot"), lot.name),
        Field("supplier", t("Supplier"), lot.supplier),
        Field("substance", t("Substance"), lot.substance),
        Field("stated", t("Label says"), lot.stated),
        Field("use by", t("Use by"), lot.use_by or "", kind="date"),
        Field("owner", t("Owner"), lot.owner),
        Field("goods", t("Of what was ordered"), entry.body.goods),
    )
    if not lot.kind.traits.is_clear:
        return found
    return (*found, Field("denatured with", t("Denatured with"), lot.denatured_with))


def _lot(lot: Lot, changed: Mapping[str, str]) -> Lot:
    """The lot as it should have been described."""
    said = {name: one_line(text, name) if text else "" for name, text in changed.items() if name != "amount"}
    use_by = said.get("use by", lot.use_by or "")
    return replace(
        lot,
        name=said.get("name", lot.name),
        supplier=said.get("supplier", lot.supplier),
        substance=said.get("substance", lot.substance),
        stated=said.get("stated", lot.stated),
        use_by=iso_date(use_by, "use by") if use_by else None,
        owner=said.get("owner", lot.owner) or "ours",
        denatured_with=said.get("denatured with", lot.denatured_with),
    )


def _applies(pen: BookWriter, entry: Entry[LotReceived], changed: Mapping[str, str], why: str) -> Done:
    old, lot = entry.body, _lot(entry.body.lot, changed)
    text = changed.get("amount", old.as_written)
    same = set(changed) <= CALLED or not text
    body = replace(old, lot=lot) if same else receipt(lot, text, old.apparatus)
    body = replace(body, goods=changed.get("goods", old.goods).strip())
    number = enter_again(pen, entry, body, why)
    gaps = settle(pen, (lot.code,))
    if "amount" in changed:
        says = t(
            "{lot_code}: said {as_written}, now {amount}.",
            lot_code=lot.code,
            as_written=old.as_written,
            amount=text,
        )
    else:
        says = t("{batch}: {what} corrected.", batch=lot.code, what=", ".join(changed))
    return Done((number, *gaps.entries), says + gaps.says)


RECEIPT = Way(_fields, _applies, later("What the shelf holds follows it."))
