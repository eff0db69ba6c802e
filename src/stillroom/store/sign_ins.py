"""What is kept of passwords and of who is signed in: seals and times, outside the journal, in no copy.

Nothing here knows a password or a token, or decides about one (``actions.house.signing_in`` does).
"""

from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert, select

from stillroom.store.foundation import passwords, sessions, tries


@dataclass(frozen=True, slots=True)
class SignIns:
    """Passwords, sessions and wrong tries of a book within one transaction. Times are ISO, UTC, so that they sort."""

    connection: Connection

    def password(self, person: str) -> str | None:
        """The password of a person as argon2 writes it; None where none was set."""
        return self.connection.scalar(select(passwords.c.hashed).where(passwords.c.person == person))

    def keep_password(self, person: str, hashed: str, set_by: str, set_at: str) -> None:
        """Write a password in place of the one before, and sign the person out everywhere."""
        self.erase(person)
        row = {"person": person, "hashed": hashed, "set_by": set_by, "set_at": set_at}
        self.connection.execute(insert(passwords), [row])

    def erase(self, person: str) -> None:
        """Take away a password, the sessions it began, and the tries at it."""
        for table in (passwords, sessions, tries):
            self.connection.execute(delete(table).where(table.c.person == person))

    def begin(self, token_sha256: str, person: str, begun_at: str, ends_at: str) -> None:
        """Write that somebody is signed in, and forget what has ended."""
        self.connection.execute(delete(sessions).where(sessions.c.ends_at <= begun_at))
        row = {"token_sha256": token_sha256, "person": person, "begun_at": begun_at, "ends_at": ends_at}
        self.connection.execute(insert(sessions), [row])

    def whose(self, token_sha256: str, now: str) -> str | None:
        """Who is signed in with a token; None where nobody is, or not any more."""
        c = sessions.c
        return self.connection.scalar(
            select(c.person).where(c.token_sha256 == token_sha256, c.begun_at <= now, c.ends_at > now)
        )

    def end(self, token_sha256: str) -> None:
        """Sign a token out."""
        self.connection.execute(delete(sessions).where(sessions.c.token_sha256 == token_sha256))

    def tried(self, address: str, person: str) -> tuple[int, str]:
        """How often was tried wrongly from an address, and when a try counts again; "" for at once."""
        c = tries.c
        row = self.connection.execute(
            select(c.wrong, c.not_before).where(c.address == address, c.person == person)
        ).one_or_none()
        return (row.wrong, row.not_before) if row else (0, "")

    def count(self, address: str, person: str, wrong: int, not_before: str) -> None:
        """Write how often was tried from an address, and when a try counts again."""
        self.forgive(address, person)
        row = {"address": address, "person": person, "wrong": wrong, "not_before": not_before}
        self.connection.execute(insert(tries), [row])

    def forgive(self, address: str, person: str) -> None:
        """Begin to count again."""
        self.connection.execute(delete(tries).where(tries.c.address == address, tries.c.person == person))

    def forget_tries(self, before: str) -> None:
        """Forget tries that hold nobody back since a time."""
        self.connection.execute(delete(tries).where(tries.c.not_before < before))
