"""The tables that never change their shape: the journal, its head, and what stands outside it so that it can be erased.

Columns are made here for every table. Text is TEXT, so that it stays word for word.
"""

from types import NoneType, UnionType
from typing import Any, Literal, get_args, get_origin

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    Integer,
    MetaData,
    Table,
    Text,
)

FOUNDATION = MetaData()


def text_column(name: str, *, optional: bool = False) -> Column[str]:
    """A column of text, kept word for word."""
    return Column(name, Text, nullable=optional)


def number_column(name: str, *, optional: bool = False) -> Column[float]:
    """A column of numbers with all their digits."""
    return Column(name, Float(53), nullable=optional)


def whole_column(name: str, *, optional: bool = False) -> Column[int]:
    """A column of whole numbers."""
    return Column(name, BigInteger, nullable=optional)


def yes_no_column(name: str) -> Column[bool]:
    """A column that is yes or no."""
    return Column(name, Boolean, nullable=False)


def column_of(name: str, said: Any) -> Column[Any] | None:
    """The column of a field of such a type; None where it is not one value."""
    kinds = (
        [one for one in get_args(said) if one is not NoneType] if get_origin(said) is UnionType else [said]
    )
    optional = kinds != [said]
    kind = type(get_args(kinds[0])[0]) if get_origin(kinds[0]) is Literal else kinds[0]
    if len(kinds) > 1 or not isinstance(kind, type):
        return None
    if issubclass(kind, bool):
        return yes_no_column(name)
    for base, column in ((str, text_column), (float, number_column), (int, whole_column)):
        if issubclass(kind, base):
            return column(name, optional=optional)
    return None


journal = Table(
    "journal",
    FOUNDATION,
    Column("entry_no", Integer, primary_key=True, autoincrement=False),
    Column("corrects", Integer, ForeignKey("journal.entry_no"), unique=True, nullable=True),
    text_column("text"),
    text_column("before"),
    Column("digest", Text, unique=True, nullable=False),
    CheckConstraint("entry_no > 0", name="journal_counts_from_one"),
    CheckConstraint("corrects < entry_no", name="journal_corrects_something_earlier"),
    comment="Every entry word for word; digest = SHA-256 of the digest before, a line break, and the text",
)
head = Table(
    "head",
    FOUNDATION,
    Column("one", Integer, primary_key=True, autoincrement=False),
    Column("entry_no", Integer, ForeignKey("journal.entry_no"), nullable=False),
    text_column("digest"),
    CheckConstraint("one = 1", name="head_is_one_row"),
    comment="The last entry; the lock on this row is the right to write",
)
contacts = Table(
    "contacts",
    FOUNDATION,
    Column("about", Text, primary_key=True),
    Column("field", Text, primary_key=True),
    text_column("value"),
    comment="How to reach a person or customer; outside the journal, so that it can be erased",
)
pins = Table(
    "pins",
    FOUNDATION,
    Column("person", Text, primary_key=True),
    text_column("hashed"),
    Column("wrong_tries", Integer, nullable=False),
    text_column("not_before"),
    text_column("set_by"),
    text_column("set_at"),
    CheckConstraint("wrong_tries >= 0", name="pins_count_from_none"),
    comment="How a person's PIN is known again, and how often it was tried wrongly; never copied",
)
passwords = Table(
    "passwords",
    FOUNDATION,
    Column("person", Text, primary_key=True),
    text_column("hashed"),
    text_column("set_by"),
    text_column("set_at"),
    comment="How a password is known again, of people who come in from elsewhere; never copied",
)
sessions = Table(
    "sessions",
    FOUNDATION,
    Column("token_sha256", Text, primary_key=True),
    text_column("person"),
    text_column("begun_at"),
    text_column("ends_at"),
    comment="Who is signed in, until when; of the token only its seal is kept; never copied",
)
tries = Table(
    "tries",
    FOUNDATION,
    Column("address", Text, primary_key=True),
    Column("person", Text, primary_key=True),
    Column("wrong", Integer, nullable=False),
    text_column("not_before"),
    CheckConstraint("wrong >= 0", name="tries_count_from_none"),
    comment="Passwords tried wrongly, by address and person; never copied",
)
NEVER_COPIED = (pins, passwords, sessions, tries)
"""What proves who somebody is: it stays with the book it was set in."""
