"""Small rules of the laboratory as answers: each opens to its row and its source.

Promises the figure of the table, nothing else; which rule applies is decided where it is used.
"""

from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import row

TABLE = "laboratory_rules"


def rule(key: str) -> Answer:
    """The figure of one rule.

    Parameters
    ----------
    key : str
        Row of the table ``laboratory_rules`` ("night"). [text]

    Returns
    -------
    Answer
        The figure in the unit of its row. [the row's unit]

    Raises
    ------
    UnknownName
        There is no such rule; the nearest names are offered.
    """
    found = row(TABLE, key)
    return published(
        found.words("meaning"),
        found.number("value"),
        found.words("unit"),
        f"{TABLE}, {key}",
        sources=(found.words("source"),),
    )
