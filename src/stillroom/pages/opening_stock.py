"""A table of lots before it is taken: what would stand on the shelf, or each cell that cannot be taken."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import page_facts
from stillroom.actions.lots.opening_stock import Opening
from stillroom.documents.blocks import Block, Page, Prose, Table
from stillroom.documents.lot_accounts import amount_text
from stillroom.texts.catalogue import t

MOST_SHOWN = 200
"""Rows of either table on the page. [1]"""


def show_opening(lab: Laboratory, opening: Opening) -> Page:
    """What a table of lots holds.

    Parameters
    ----------
    opening : Opening
        As it was looked at.
    """
    rows: tuple[tuple[str, ...], ...]
    blocks: tuple[Block, ...]
    if opening.troubles:
        lead = t(
            "{count} cells cannot be taken. Correct them in the file, and send it again.",
            count=len(opening.troubles),
        )
        rows = tuple((str(one.row), one.column, one.got, one.says) for one in opening.troubles[:MOST_SHOWN])
        blocks = (Table((t("Row"), t("Column"), t("Cell"), t("Why")), rows), *_more(len(opening.troubles)))
    else:
        lead = t("{lots} lots. Nothing is taken yet.", lots=len(opening.receipts))
        rows = tuple(
            (
                one.lot.code, str(one.lot.kind), one.lot.name,
                amount_text(one.movements[0].amount, one.movements[0].counted_in),
                one.lot.owner, one.lot.supplier, one.lot.stated, one.lot.use_by or "",
            )
            for one in opening.receipts[:MOST_SHOWN]
        )  # fmt: skip
        head = (
            t("Lot"),
            t("Kind"),
            t("Name"),
            t("Amount"),
            t("Owner"),
            t("From"),
            t("Label says"),
            t("Use by"),
        )
        blocks = (Table(head, rows), *_more(len(opening.receipts)))
    return Page(t("A table of lots"), "stock", "", blocks, **page_facts(lab), lead=lead)


def _more(rows: int) -> tuple[Block, ...]:
    return (Prose(t("{more} more rows are not shown.", more=rows - MOST_SHOWN)),) if rows > MOST_SHOWN else ()
