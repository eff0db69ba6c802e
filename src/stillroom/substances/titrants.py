"""How long a titrant keeps and how long its factor serves, as published for each; a general rule for any other.

Promises the rule of the row, with who says so. What is not listed is told as not listed.
"""

from dataclasses import dataclass

from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, published
from stillroom.reference.tables import Row, row, table
from stillroom.substances.acids import STANDARDS
from stillroom.substances.remembering import remember
from stillroom.substances.rules import rule

TABLE = "titrant_lives"
MOST_TITRANTS = 256
"""Whose days are remembered. [1]"""


@dataclass(frozen=True, slots=True)
class TitrantLife:
    """A titrant's days.

    ``life``, ``factor_life``: in a room up to 25 °C. [d]
    """

    titrant: str
    """Such as "sodium hydroxide", or "any titrant" where no row says its own."""
    life: Answer
    factor_life: Answer
    life_at_35c: Answer | None
    """Where somebody measured it. [d]"""
    said_by: str
    """Where the rule stands, in words."""
    kind: str
    """One of "acid" or "alkali"; "" for any other."""


@remember(MOST_TITRANTS)
def titrant_life(name: str) -> TitrantLife:
    """The days of a titrant, by any name that holds its own.

    Parameters
    ----------
    name : str
        "sodium hydroxide 0.02 mol/L", "NaOH". [text]

    Returns
    -------
    TitrantLife
        Of the row whose name stands in it, else the general rule. [record]
    """
    words = name.casefold()
    found = next(
        (
            one
            for one in table(TABLE).rows
            if any(key in words for key in (one.key, one.words("also")) if key)
        ),
        None,
    )
    if found is None:
        return TitrantLife(
            "any titrant",
            rule("titrant-life"),
            rule("titrant-factor-life"),
            None,
            "no rule of its own was found",
            "",
        )
    return TitrantLife(
        found.key,
        _days(found, "life_d", "life"),
        _days(found, "factor_life_d", "life of a factor"),
        _days(found, "life_at_35c_d", "life at 35 °C") if found["life_at_35c_d"] else None,
        found.words("where"),
        found.words("kind"),
    )


def refuse_wrong_standard(of: TitrantLife, standard: str) -> None:
    """Refuse a primary standard that the titrant does not react with.

    Parameters
    ----------
    of : TitrantLife
        [record]
    standard : str
        Key of ``primary_standards``. [text]

    Raises
    ------
    BadEntry
        An acid is weighed for an acid, or an alkali for an alkali.
    UnknownName
        There is no such standard.
    """
    goes_with = row(STANDARDS, standard).words("titrates")
    if of.kind and of.kind != goes_with:
        fitting = [one.key for one in table(STANDARDS).rows if one.words("titrates") == of.kind]
        raise BadEntry(
            worded(
                "The standard for {titrant} is one that takes up an {kind}", titrant=of.titrant, kind=of.kind
            ),
            worded("{standard}, which is weighed for an {goes_with}", standard=standard, goes_with=goes_with),
            worded(
                "Weigh {fitting} or {fitting_two}", fitting=", ".join(fitting[:-1]), fitting_two=fitting[-1]
            ),
            where="standard",
        )


def titrant_names() -> tuple[str, ...]:
    """Every titrant with a rule of its own, in the order of the table.

    Returns
    -------
    tuple of str
        Names. [text]
    """
    return tuple(one.key for one in table(TABLE).rows)


def _days(found: Row, column: str, what: str) -> Answer:
    return published(
        f"{what} of {found.key}",
        found.number(column),
        "d",
        f"{TABLE}, {found.key}",
        sources=(found.words("source"),),
    )
