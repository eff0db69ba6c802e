"""Index tables of lots of plant: identity decided, and what they are like."""

from sqlalchemy import Index, Table

from stillroom.store.foundation import number_column, text_column, yes_no_column
from stillroom.store.reagent_tables import MakesTable


def plant_tables(made: MakesTable) -> tuple[Table, Table]:
    """The tables of ``IdentityDecided`` and ``PlantDescribed``.

    Parameters
    ----------
    made : callable
        Makes one table of the index.
    """
    identities = made(
        "identities",
        "IdentityDecided",
        text_column("lot"),
        yes_no_column("accepted"),
        text_column("evidence"),
        text_column("voucher"),
        Index("identities_by_lot", "lot"),
    )
    return identities, made(
        "plants_described",
        "PlantDescribed",
        text_column("lot"),
        text_column("state"),
        number_column("moisture_percent", optional=True),
        number_column("moisture_standard_uncertainty_percent", optional=True),
        text_column("grind"),
        number_column("particle_mm", optional=True),
        number_column("particle_log_sd", optional=True),
        text_column("place"),
        text_column("harvested"),
        text_column("as_written"),
        Index("plants_described_by_lot", "lot"),
    )
