"""What is kept of a person's PIN: how it is known again, how often it was tried wrongly, when a try counts again.

It stands outside the journal and travels with no copy. Nothing here knows a PIN or decides about one.
"""

from dataclasses import asdict, dataclass

from sqlalchemy import Connection, delete, insert, select, update

from stillroom.store.tables import pins


@dataclass(frozen=True, slots=True)
class PinKept:
    """The row of one person.

    ``set_by``, ``set_at``: who set it, and when (ISO).
    """

    person: str
    """Code of the person."""
    hashed: str
    """The PIN as argon2 writes it, with its own salt."""
    wrong_tries: int
    """Tries counted since the last right one."""
    not_before: str
    """No try is looked at before this time (ISO, UTC); "" when one may be made at once."""
    set_by: str
    set_at: str


@dataclass(frozen=True, slots=True)
class Pins:
    """The PINs of a book within one transaction."""

    connection: Connection

    def kept(self, person: str) -> PinKept | None:
        """The row of a person, or None."""
        row = self.connection.execute(select(pins).where(pins.c.person == person)).one_or_none()
        return None if row is None else PinKept(**row._mapping)

    def all(self) -> tuple[PinKept, ...]:
        """Every row, by person."""
        rows = self.connection.execute(select(pins).order_by(pins.c.person))
        return tuple(PinKept(**row._mapping) for row in rows)

    def keep(self, row: PinKept) -> None:
        """Write a row, in place of the one that stood there."""
        self.erase(row.person)
        self.connection.execute(insert(pins), [asdict(row)])

    def count(self, person: str, *, wrong_tries: int, not_before: str) -> None:
        """Write how often was tried and when a try counts again."""
        changed = {"wrong_tries": wrong_tries, "not_before": not_before}
        self.connection.execute(update(pins).where(pins.c.person == person).values(changed))

    def forgive(self, person: str, hashed: str) -> None:
        """Begin to count anew, unless the PIN was changed meanwhile."""
        changed = {"wrong_tries": 0, "not_before": ""}
        where = (pins.c.person == person, pins.c.hashed == hashed)
        self.connection.execute(update(pins).where(*where).values(changed))

    def erase(self, person: str) -> None:
        """Take away what is kept of a person's PIN."""
        self.connection.execute(delete(pins).where(pins.c.person == person))
