"""What long calculations found, kept in a file beside the book by what they were calculated from.

It saves calculating again after a start, and nothing rests on it: each thing carries a seal of what it was calculated
from, the program included, and of itself, so that one that no longer holds or was damaged is made again. The file may
be taken away at any time; where it cannot be written nothing is kept. It is no part of the book: no copy carries it.
"""

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from stillroom.evidence.seal import Json, seal

_MADE = "CREATE TABLE IF NOT EXISTS reckoned (name TEXT PRIMARY KEY, of TEXT, found TEXT, seal TEXT)"
_BUSY_S = 0.2
"""Nobody waits longer for what can be calculated again."""
_CODE = (".py", ".toml", ".csv", ".yaml", ".json")


@dataclass(frozen=True)
class Reckoned:
    """The file beside one book."""

    path: Path | None
    """None for a book without a folder: nothing is kept."""

    def found(self, name: str, of: Json) -> str | None:
        """What was found under a name, where it was calculated from the same by the same program.

        Parameters
        ----------
        name : str
            What was calculated, for a person.
        of : Json
            All that it was calculated from.
        """
        if self.path is None or not self.path.exists():
            return None
        with suppress(sqlite3.Error), self._opened(self.path) as connection:
            query = "SELECT of, found, seal FROM reckoned WHERE name = ?"
            row = connection.execute(query, (name,)).fetchone()
            if row and row[0] == _sealed(of) and row[2] == seal([name, row[0], row[1]]):
                return str(row[1])
        return None

    def keep(self, name: str, of: Json, found: str) -> None:
        """Keep what was found; it takes the place of what stood under the name."""
        if self.path is None:
            return
        by = _sealed(of)
        for _ in ("as it stands", "anew where the file is none of ours"):
            try:
                with self._opened(self.path) as connection, connection:
                    connection.execute(_MADE)
                    row = (name, by, found, seal([name, by, found]))
                    connection.execute("INSERT OR REPLACE INTO reckoned VALUES (?, ?, ?, ?)", row)
                return
            except sqlite3.OperationalError:  # somebody else writes, or nothing can be written here
                return
            except sqlite3.DatabaseError:
                with suppress(OSError):
                    self.path.unlink()

    @contextmanager
    def _opened(self, path: Path) -> Iterator[sqlite3.Connection]:
        with closing(sqlite3.connect(path, timeout=_BUSY_S)) as connection:
            connection.execute("PRAGMA synchronous = OFF")
            yield connection


def _sealed(of: Json) -> str:
    return seal([_program(), of])


@cache
def _program() -> str:
    """Digest of the program and its tables."""
    found, root = hashlib.sha256(), Path(__file__).parents[1]
    for one in sorted(one for one in root.rglob("*") if one.suffix in _CODE):
        content = one.read_bytes()
        found.update(f"{one.relative_to(root)} {len(content)}\n".encode())
        found.update(content)
    return found.hexdigest()
