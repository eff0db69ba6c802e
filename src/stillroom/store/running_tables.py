"""Tables that run along with the journal instead of growing with it: balances, what stands where, words to search by.

They hold nothing that the other tables do not say; ``running`` moves them with every entry, makes them again, and
proves them. Nothing guards them, and ``verify`` compares every row.
"""

from sqlalchemy import Column, ForeignKey, Index, Integer, MetaData, Table, Text

from stillroom.store.foundation import journal, text_column, whole_column, yes_no_column


def running_tables(index: MetaData) -> tuple[Table, Table, Table, Table]:
    """Balances, months, standings and the pieces of words.

    Parameters
    ----------
    index : MetaData
        Of the index: they are dropped and made again with it.
    """

    def table(name: str, comment: str, *columns: Column[str] | Column[int] | Column[bool] | Index) -> Table:
        entry_no = Column("entry_no", Integer, ForeignKey(journal.c.entry_no), nullable=False)
        return Table(name, index, entry_no, *columns, comment=comment, info={"runs": True})

    def key(name: str) -> Column[str]:
        return Column(name, Text, primary_key=True)

    return (
        table(
            "balances",
            "What the movements of a lot sum up to in an account, and the entry that moved it last",
            key("lot"),
            key("account"),
            key("counted_in"),
            whole_column("amount"),
            Index("balances_by_account", "account", "amount", "lot"),
        ),
        table(
            "months",
            "What came to the shelf of a lot in a month, less what left it, and the entry that moved it last",
            key("lot"),
            key("month"),
            key("counted_in"),
            whole_column("amount"),
            Index("months_by_month", "month", "lot"),
        ),
        table(
            "standings",
            "Every lot, batch, order, offer, thing ordered and procedure as it stands now; the entry brought it in",
            key("what"),
            key("code"),
            text_column("kind"),
            text_column("name"),
            text_column("state"),
            whole_column("amount"),
            text_column("counted_in"),
            text_column("day"),
            yes_no_column("ahead"),
            Index("standings_in_order", "what", "ahead", "entry_no"),
            Index("standings_by_state", "what", "state", "entry_no"),
        ),
        table(
            "word_pieces",
            "Three letters in a row of every word to search by, and the first entry that used the word",
            key("piece"),
            key("word"),
            whole_column("pieces"),
        ),
    )
