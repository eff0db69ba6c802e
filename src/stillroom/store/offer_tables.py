"""Index tables of what things cost, and of offers: made, ended."""

from sqlalchemy import Index, Table

from stillroom.store.foundation import number_column, text_column
from stillroom.store.reagent_tables import MakesTable


def offer_tables(made: MakesTable) -> tuple[Table, Table, Table]:
    """The tables of ``PriceNoted``, ``OfferMade`` and ``OfferEnded``.

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
    )
