"""Amounts of money: whole decimals with a currency code, never mixed, never floated.

Rounds nothing and knows no exchange rates.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

from stillroom.errors import BadEntry, worded
from stillroom.quantities.parse import parse
from stillroom.quantities.rounding import to_decimals
from stillroom.quantities.units import CURRENCIES

EURO = "EUR"
"""What money is counted in where nobody says."""
_THOUSANDS_OR_DECIMALS = re.compile(r"(?<![\d.,])(?P<whole>[1-9]\d{0,2})\.(?P<three>\d{3})(?![\d.,])")


def one_reading(text: str, *, where: str = "") -> None:
    """Refuse an amount of money whose point may part thousands or decimals.

    Parameters
    ----------
    text : str
        "120.000 VND/kg". [text]
    where : str
        Field, for the error. [text]

    Raises
    ------
    BadEntry
        Three figures follow the only point.
    """
    found = _THOUSANDS_OR_DECIMALS.search(text.split("/")[0])
    if found:
        whole, three = found["whole"], found["three"]
        raise BadEntry(
            "A number must have one reading",
            repr(text[:40]),
            worded(
                "Write {one} or {other}",
                one=text.replace(found[0], whole + three, 1).strip(),
                other=text.replace(found[0], f"{whole}.{three}".rstrip("0").rstrip("."), 1).strip(),
            ),
            where=where,
        )


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in one currency."""

    amount: Decimal
    """Exact amount [currency]."""
    currency: str
    """Three-letter code [ISO 4217]."""

    def __post_init__(self) -> None:
        if self.currency not in CURRENCIES:
            raise BadEntry(
                "Money needs a three-letter currency code", repr(self.currency[:20]), "Write 12.50 EUR"
            )
        if not self.amount.is_finite():
            raise BadEntry("An amount of money must be a finite number", str(self.amount))

    @classmethod
    def parse(cls, text: str, *, where: str = "") -> "Money":
        """Read an amount such as "12.50 EUR".

        Parameters
        ----------
        text : str
            As written [text].
        where : str
            File, line or field, for the error [text].

        Returns
        -------
        Money
            The exact amount with its currency [currency].

        Raises
        ------
        BadEntry
            No amount, no code, or a comma that could mean two things.
        """
        if not any(one.isalpha() or one == "€" for one in text):
            raise BadEntry("Money needs a currency code", repr(text[:40]), "Write 12.50 EUR", where=where)
        found = parse(text, negative_allowed=True, where=where)
        if found.dimension != f"money in {found.unit}":
            raise BadEntry("Money needs a currency code", repr(text[:40]), "Write 12.50 EUR", where=where)
        return cls(to_decimals(found.value, max(found.decimals or 0, 0)), found.unit)

    @classmethod
    def typed(cls, text: str, *, where: str = "") -> "Money":
        """Read an amount as somebody types it now; "120.000 VND" is asked back, thousands or decimals.

        Parameters
        ----------
        text : str
            As written, before a stroke and what it is for. [text]
        where : str
            Field, for the error. [text]

        Raises
        ------
        BadEntry
            As ``parse``, or a point that could mean two things.
        """
        one_reading(text, where=where)
        return cls.parse(text, where=where)

    def plus(self, other: "Money") -> "Money":
        """Add an amount of the same currency.

        Parameters
        ----------
        other : Money
            The amount to add [currency].

        Returns
        -------
        Money
            The sum [currency].

        Raises
        ------
        BadEntry
            The currencies differ.
        """
        if other.currency != self.currency:
            raise BadEntry(
                "Amounts in two currencies cannot be added",
                worded(
                    "{in_words} and {in_words_two}", in_words=self.in_words(), in_words_two=other.in_words()
                ),
                "Enter both in one currency",
            )
        return Money(self.amount + other.amount, self.currency)

    def times(self, number: Decimal | int) -> "Money":
        """Multiply by an exact number.

        Parameters
        ----------
        number : Decimal or int
            How many [1].

        Returns
        -------
        Money
            The product, not rounded [currency].
        """
        return Money(self.amount * number, self.currency)

    def in_words(self) -> str:
        """The amount and its code, such as "12.50 EUR" [text]."""
        return f"{self.amount} {self.currency}"


def amount_text(amount: float | Decimal, currency: str) -> str:
    """An amount with the decimals that its currency has, without its code.

    Parameters
    ----------
    amount : float or Decimal
        In the currency. [currency]
    currency : str
        Three-letter code. [ISO 4217]

    Examples
    --------
    The peso of Chile and the yen have no smaller part (ISO 4217, by the tables of Unicode CLDR):

    >>> amount_text(7.5, "EUR"), amount_text(7.6, "CLP"), amount_text(7.6, "JPY")
    ('7.50', '8', '8')
    """
    from babel.numbers import get_currency_precision

    return f"{amount:.{get_currency_precision(currency)}f}"


def money_text(amount: float | Decimal, currency: str) -> str:
    """An amount as it is printed: "310.00 EUR".

    Parameters
    ----------
    amount : float or Decimal
        In the currency. [currency]
    currency : str
        Three-letter code. [ISO 4217]
    """
    return f"{amount_text(amount, currency)} {currency}"
