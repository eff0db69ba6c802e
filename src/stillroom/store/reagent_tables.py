"""Index tables of reagents: bottles opened, dangerous recipes ticked."""

from typing import Protocol

from sqlalchemy import Index, Table
from sqlalchemy.schema import SchemaItem

from stillroom.store.foundation import text_column, yes_no_column


class MakesTable(Protocol):
    """Makes one table of the index from its name, its comment and its columns."""

    def __call__(self, name: str, comment: str, *columns: SchemaItem, lines: bool = False) -> Table:
        """One table."""
        ...


def reagent_tables(made: MakesTable) -> tuple[Table, Table]:
    """The tables of ``LotOpened`` and ``ReagentAllowed``.

    Parameters
    ----------
    made : callable
        Makes one table of the index.
    """
    return (
        made(
            "lot_openings",
            "LotOpened",
            text_column("lot"),
            text_column("note"),
            Index("lot_openings_by_lot", "lot"),
        ),
        made(
            "reagents_allowed",
            "ReagentAllowed",
            text_column("reagent"),
            yes_no_column("allowed"),
            text_column("why"),
            Index("reagents_allowed_by_reagent", "reagent"),
        ),
    )
