"""Index tables of what went otherwise in a batch: given up, deviations."""

from sqlalchemy import Index, Table

from stillroom.store.foundation import text_column, yes_no_column
from stillroom.store.reagent_tables import MakesTable


def batch_tables(made: MakesTable) -> tuple[Table, Table]:
    """The tables of ``BatchGivenUp`` and ``DeviationNoted``.

    Parameters
    ----------
    made : callable
        Makes one table of the index.
    """
    return (
        made(
            "batches_given_up",
            "BatchGivenUp",
            text_column("batch"),
            text_column("why"),
            yes_no_column("taken_up_again"),
            Index("batches_given_up_by_batch", "batch"),
        ),
        made(
            "deviations",
            "DeviationNoted",
            text_column("batch"),
            text_column("step"),
            text_column("what"),
            text_column("done_about_it"),
            yes_no_column("closed"),
            Index("deviations_by_batch", "batch"),
        ),
    )
