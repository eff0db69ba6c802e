"""What keeps the book growing only: triggers that refuse to change, to erase, or to write out of turn.

They stop a slip of the hand in any program that opens the database. They do not stop somebody who takes
them away on purpose; ``verify`` names what such a person altered, and names the missing triggers.
"""

from sqlalchemy import Connection, Table, text

from stillroom.store.tables import GROWING, INDEX, head, journal

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


def guard_names(dialect: str) -> tuple[str, ...]:
    """Every trigger a book must have, sorted."""
    if dialect == "sqlite":
        kept = [f"{table.name}_keeps_{what}" for table in GROWING for what in ("update", "delete", "place")]
        return tuple(
            sorted([*kept, "head_advances", "head_keeps_delete", "head_keeps_place", "journal_in_turn"])
        )
    kept = [f"{table.name}_keeps_{what}" for table in GROWING for what in ("rows", "truncate")]
    return tuple(
        sorted([*kept, "head_advances", "head_keeps_rows", "head_keeps_truncate", "journal_in_turn"])
    )


def guards_present(connection: Connection) -> tuple[str, ...]:
    """The triggers the database has and heeds, sorted."""
    if connection.dialect.name == "sqlite":
        asked = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    else:
        asked = (
            "SELECT t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid"
            " WHERE NOT t.tgisinternal AND t.tgenabled IN ('O', 'A')"
            " AND c.relnamespace = current_schema()::regnamespace"
        )
    return tuple(sorted(connection.execute(text(asked)).scalars()))


def guard_foundation(connection: Connection) -> None:
    """Guard the journal and its head; contacts stay free."""
    if connection.dialect.name == "sqlite":
        _guard_growing_sqlite(connection, journal)
        _sqlite(connection, head, "keeps_delete", "DELETE", "1", _ONLY_GROWS)
        _sqlite(connection, head, "keeps_place", "INSERT", "EXISTS (SELECT 1 FROM head)", _ONLY_GROWS)
        _sqlite(connection, head, "advances", "UPDATE", _HEAD_IS_WRONG, _ADVANCES)
        turn = _ENTRY_IS_OUT_OF_TURN.replace("IS DISTINCT FROM", "IS NOT")
        _sqlite(connection, journal, "in_turn", "INSERT", turn, _IN_TURN)
        return
    for name, wrong, says in (
        ("only_grows", "TRUE", _ONLY_GROWS),
        ("head_advances", _HEAD_IS_WRONG, _ADVANCES),
        ("journal_in_turn", _ENTRY_IS_OUT_OF_TURN, _IN_TURN),
    ):
        connection.execute(
            text(
                f"CREATE FUNCTION stillroom_{name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN"
                f" IF {wrong} THEN RAISE EXCEPTION '{says}'; END IF; RETURN NEW; END $$"
            )
        )
    _guard_growing_postgresql(connection, journal)
    _postgresql(connection, head, "keeps_rows", "DELETE", "only_grows")
    _postgresql(connection, head, "keeps_truncate", "TRUNCATE", "only_grows")
    _postgresql(connection, head, "advances", "UPDATE", "head_advances")
    _postgresql(connection, journal, "in_turn", "INSERT", "journal_in_turn")


def guard_index(connection: Connection) -> None:
    """Guard every table of the index; a table that is dropped loses its triggers with it."""
    for table in INDEX.sorted_tables:
        if connection.dialect.name == "sqlite":
            _guard_growing_sqlite(connection, table)
        else:
            _guard_growing_postgresql(connection, table)


def _guard_growing_sqlite(connection: Connection, table: Table) -> None:
    _sqlite(connection, table, "keeps_update", "UPDATE", "1", _ONLY_GROWS)
    _sqlite(connection, table, "keeps_delete", "DELETE", "1", _ONLY_GROWS)
    # INSERT OR REPLACE erases the old row without asking the trigger above.
    same = " AND ".join(f'"{one.name}" = NEW."{one.name}"' for one in table.primary_key)
    taken = f"EXISTS (SELECT 1 FROM {table.name} WHERE {same})"
    _sqlite(connection, table, "keeps_place", "INSERT", taken, _ONLY_GROWS)


def _guard_growing_postgresql(connection: Connection, table: Table) -> None:
    _postgresql(connection, table, "keeps_rows", "UPDATE OR DELETE", "only_grows")
    _postgresql(connection, table, "keeps_truncate", "TRUNCATE", "only_grows")


def _sqlite(connection: Connection, table: Table, name: str, event: str, wrong: str, says: str) -> None:
    connection.exec_driver_sql(
        f"CREATE TRIGGER {table.name}_{name} BEFORE {event} ON {table.name}"
        f" WHEN {wrong} BEGIN SELECT RAISE(ABORT, '{says}'); END"
    )


def _postgresql(connection: Connection, table: Table, name: str, event: str, function: str) -> None:
    each = "STATEMENT" if event == "TRUNCATE" else "ROW"
    connection.exec_driver_sql(
        f"CREATE TRIGGER {table.name}_{name} BEFORE {event} ON {table.name}"
        f" FOR EACH {each} EXECUTE FUNCTION stillroom_{function}()"
    )
