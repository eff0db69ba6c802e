"""What keeps the book growing only: triggers that refuse to change, to erase, or to write out of turn.

They stop a slip of the hand in any program that opens the database. They do not stop somebody who takes
them away on purpose; ``verify`` names what such a person altered, and every guard that is missing or replaced.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, Table, text

from stillroom.store.tables import GROWN, head, journal

_ONLY_GROWS = "what happened is never edited: this table only grows"
_ADVANCES = "the head only goes forward, to an entry that is there"
_IN_TURN = "an entry takes the next number and names the digest before it"

_HEAD_IS_WRONG = (
    "NEW.one <> 1 OR NEW.entry_no <= OLD.entry_no"
    " OR NOT EXISTS (SELECT 1 FROM journal j WHERE j.entry_no = NEW.entry_no AND j.digest = NEW.digest)"
)
_ENTRY_IS_OUT_OF_TURN = (
    "NEW.entry_no <> (SELECT coalesce(max(j.entry_no), 0) + 1 FROM journal j)"
    " OR (NEW.entry_no > 1 AND NEW.before IS DISTINCT FROM"
    " (SELECT j.digest FROM journal j WHERE j.entry_no = NEW.entry_no - 1))"
)
_FUNCTIONS = {
    "stillroom_only_grows": ("TRUE", _ONLY_GROWS),
    "stillroom_head_advances": (_HEAD_IS_WRONG, _ADVANCES),
    "stillroom_journal_in_turn": (_ENTRY_IS_OUT_OF_TURN, _IN_TURN),
}
_EVENT_BITS = {"INSERT": 4, "DELETE": 8, "UPDATE": 16, "TRUNCATE": 32}
_ROW, _BEFORE = 1, 2


@dataclass(frozen=True, slots=True)
class _Guard:
    """One trigger: when it wakes, what it looks for, what it says; on a server a function looks and says."""

    table: Table
    name: str
    events: tuple[str, ...]
    wrong: str = "1"
    says: str = _ONLY_GROWS
    function: str = "stillroom_only_grows"

    @property
    def called(self) -> str:
        return f"{self.table.name}_{self.name}"

    @property
    def on_sqlite(self) -> str:
        return (
            f"CREATE TRIGGER {self.called} BEFORE {self.events[0]} ON {self.table.name}"
            f" WHEN {self.wrong} BEGIN SELECT RAISE(ABORT, '{self.says}'); END"
        )

    @property
    def on_postgresql(self) -> str:
        each = "STATEMENT" if self.events == ("TRUNCATE",) else "ROW"
        return (
            f"CREATE TRIGGER {self.called} BEFORE {' OR '.join(self.events)} ON {self.table.name}"
            f" FOR EACH {each} EXECUTE FUNCTION {self.function}()"
        )

    @property
    def as_the_server_keeps_it(self) -> str:
        bits = _BEFORE + sum(_EVENT_BITS[one] for one in self.events)
        return f"{self.table.name} {bits + (_ROW if self.events != ('TRUNCATE',) else 0)} {self.function}"


def guard_names(dialect: str) -> tuple[str, ...]:
    """Every trigger a book must have, sorted."""
    return tuple(sorted(one.called for one in (*_of_foundation(dialect), *_of_tables(GROWN, dialect))))


def guards_present(connection: Connection) -> tuple[str, ...]:
    """The triggers the database has and heeds, sorted."""
    return tuple(sorted(_found(connection)))


def weakened_guards(connection: Connection) -> list[str]:
    """What of the guards is missing, laid aside, replaced or not ours, each in one sentence."""
    dialect = connection.dialect.name
    guards = (*_of_foundation(dialect), *_of_tables(GROWN, dialect))
    wanted = {
        one.called: one.on_sqlite if dialect == "sqlite" else one.as_the_server_keeps_it for one in guards
    }
    found = _found(connection)
    if dialect != "sqlite":
        wanted |= {name: _body(*told) for name, told in _FUNCTIONS.items()}
        found |= _functions_found(connection)
    said = [f"The guard {one} is missing" for one in sorted(wanted.keys() - found.keys())]
    both = sorted(wanted.keys() & found.keys())
    said += [f"The guard {one} was replaced" for one in both if wanted[one] != found[one]]
    return said + [f"The trigger {one} is none of the book's" for one in sorted(found.keys() - wanted.keys())]


def guard_foundation(connection: Connection) -> None:
    """Guard the journal and its head; contacts stay free."""
    if connection.dialect.name != "sqlite":
        for name, told in _FUNCTIONS.items():
            connection.execute(
                text(f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ {_body(*told)} $$")
            )
    _make(connection, _of_foundation(connection.dialect.name))


def guard_index(connection: Connection) -> None:
    """Guard every table of the index; a table that is dropped loses its triggers with it."""
    _make(connection, _of_tables(GROWN, connection.dialect.name))


def _make(connection: Connection, guards: Iterable[_Guard]) -> None:
    for one in guards:
        connection.exec_driver_sql(
            one.on_sqlite if connection.dialect.name == "sqlite" else one.on_postgresql
        )


def _of_foundation(dialect: str) -> tuple[_Guard, ...]:
    turn = _ENTRY_IS_OUT_OF_TURN.replace("IS DISTINCT FROM", "IS NOT")
    keeps = (
        (
            _Guard(head, "keeps_delete", ("DELETE",)),
            _Guard(head, "keeps_place", ("INSERT",), "EXISTS (SELECT 1 FROM head)"),
        )
        if dialect == "sqlite"
        else (_Guard(head, "keeps_rows", ("DELETE",)), _Guard(head, "keeps_truncate", ("TRUNCATE",)))
    )
    return (
        *_of_tables([journal], dialect),
        *keeps,
        _Guard(head, "advances", ("UPDATE",), _HEAD_IS_WRONG, _ADVANCES, "stillroom_head_advances"),
        _Guard(journal, "in_turn", ("INSERT",), turn, _IN_TURN, "stillroom_journal_in_turn"),
    )


def _of_tables(tables: Iterable[Table], dialect: str) -> tuple[_Guard, ...]:
    found: list[_Guard] = []
    for one in tables:
        if dialect != "sqlite":
            found += [
                _Guard(one, "keeps_rows", ("UPDATE", "DELETE")),
                _Guard(one, "keeps_truncate", ("TRUNCATE",)),
            ]
            continue
        # INSERT OR REPLACE erases the old row without asking the trigger against deletion.
        same = " AND ".join(f'"{key.name}" = NEW."{key.name}"' for key in one.primary_key)
        found += [
            _Guard(one, "keeps_update", ("UPDATE",)),
            _Guard(one, "keeps_delete", ("DELETE",)),
            _Guard(one, "keeps_place", ("INSERT",), f"EXISTS (SELECT 1 FROM {one.name} WHERE {same})"),
        ]
    return tuple(found)


def _body(wrong: str, says: str) -> str:
    return f"BEGIN IF {wrong} THEN RAISE EXCEPTION '{says}'; END IF; RETURN NEW; END"


def _found(connection: Connection) -> dict[str, str]:
    if connection.dialect.name == "sqlite":
        asked = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
    else:
        asked = (
            "SELECT t.tgname, c.relname || ' ' || t.tgtype || ' ' || p.proname"
            " FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_proc p ON p.oid = t.tgfoid"
            " WHERE NOT t.tgisinternal AND t.tgenabled IN ('O', 'A')"
            " AND c.relnamespace = current_schema()::regnamespace"
        )
    return {name: str(told) for name, told in connection.execute(text(asked))}


def _functions_found(connection: Connection) -> dict[str, str]:
    asked = (
        "SELECT proname, prosrc FROM pg_proc WHERE pronamespace = current_schema()::regnamespace"
        " AND proname LIKE 'stillroom\\_%'"
    )
    return {name: " ".join(body.split()) for name, body in connection.execute(text(asked))}
