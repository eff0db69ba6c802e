"""Index tables of the day: schedules kept, and what was tapped or went otherwise."""

from sqlalchemy import Table

from stillroom.store.foundation import number_column, text_column, whole_column
from stillroom.store.reagent_tables import MakesTable


def day_tables(made: MakesTable) -> tuple[Table, Table]:
    """The tables of ``DayPlanned`` and ``BenchNoted``.

    Parameters
    ----------
    made : callable
        Makes one table of the index.
    """
    return (
        made(
            "days_planned",
            "DayPlanned, without its plan",
            text_column("begins"),
            whole_column("horizon_min"),
        ),
        made(
            "bench_notes",
            "BenchNoted",
            text_column("what"),
            text_column("subject"),
            text_column("step"),
            number_column("minutes"),
            text_column("why"),
        ),
    )
