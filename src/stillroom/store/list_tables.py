"""Index tables that lists rest on: the words something is searched by, and the steps a procedure has."""

from sqlalchemy import Index, Table

from stillroom.store.foundation import text_column
from stillroom.store.reagent_tables import MakesTable


def list_tables(made: MakesTable) -> tuple[Table, Table]:
    """The words of lots, batches and orders, and the names of the steps of ``ProcedureWritten``.

    Parameters
    ----------
    made : callable
        Makes one table of the index.
    """
    return (
        made(
            "words",
            "Words that a lot, batch or order is searched by",
            text_column("code"),
            text_column("word"),
            Index("words_by_word", "word", "code"),
            Index("words_by_code", "code"),
            lines=True,
        ),
        made("procedure_steps", "The steps of a procedure, by name", text_column("name"), lines=True),
    )
