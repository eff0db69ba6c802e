"""Index tables of what things cost, of offers made and ended, of goods ordered and received."""

from sqlalchemy import Index, Table

from stillroom.store.foundation import number_column, text_column, yes_no_column
from stillroom.store.reagent_tables import MakesTable


def offer_tables(made: MakesTable) -> tuple[Table, Table, Table, Table, Table]:
    """The tables of ``PriceNoted``, ``OfferMade``, ``OfferEnded``, ``GoodsOrdered`` and ``LotReceived``.

    Parameters
    ----------
    made : callable
        Makes one table of the index.
    """
    return (
        made(
            "prices",
            "PriceNoted",
            text_column("of"),
            text_column("amount"),
            text_column("currency"),
            text_column("per"),
            text_column("as_written"),
            number_column("pack"),
            number_column("low_days"),
            number_column("high_days"),
            Index("prices_by_of", "of"),
        ),
        made(
            "offers",
            "OfferMade, without what was asked and told",
            text_column("code"),
            text_column("what"),
            text_column("customer"),
            text_column("title"),
            Index("offers_by_code", "code"),
        ),
        made(
            "offers_ended",
            "OfferEnded",
            text_column("code"),
            text_column("how"),
            text_column("why"),
            text_column("order"),
            Index("offers_ended_by_code", "code"),
        ),
        made(
            "goods_ordered",
            "GoodsOrdered",
            text_column("code"),
            text_column("substance"),
            text_column("as_written"),
            text_column("supplier"),
            text_column("comes"),
            text_column("price"),
            text_column("order"),
            yes_no_column("called_off"),
            Index("goods_ordered_by_code", "code"),
        ),
        made(
            "receipts",
            "LotReceived, without lot and movements",
            text_column("as_written"),
            text_column("apparatus"),
            text_column("goods"),
            Index("receipts_by_goods", "goods"),
        ),
    )
