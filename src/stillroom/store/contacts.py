"""How to reach people and customers: the one part of the book that can be altered and erased.

Erased means erased: SQLite overwrites the place on disk. Copies made earlier still hold it.
"""

from sqlalchemy import Connection, delete, insert, select

from stillroom.store.tables import contacts


def contact(connection: Connection, about: str) -> dict[str, str]:
    """Every field kept about a person or customer."""
    query = (
        select(contacts.c.field, contacts.c.value).where(contacts.c.about == about).order_by(contacts.c.field)
    )
    return {row.field: row.value for row in connection.execute(query)}


def keep_contact(connection: Connection, about: str, field: str, value: str) -> None:
    """Write one field, in place of what stood there."""
    connection.execute(delete(contacts).where(contacts.c.about == about, contacts.c.field == field))
    connection.execute(insert(contacts), [{"about": about, "field": field, "value": value}])


def erase_contact(connection: Connection, about: str) -> int:
    """Erase everything kept about a person or customer, and tell how many fields that were."""
    return connection.execute(delete(contacts).where(contacts.c.about == about)).rowcount
