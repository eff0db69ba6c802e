"""Files beside the book, filed by their hash: written to disk before any entry names them, never changed.

A file that no entry names (the writer was killed in between) is swept; a file that an entry names is never
missing, and ``verify`` says so if it is.
"""

import hashlib
import math
import os
import re
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from stillroom.errors import BookTrouble, UnknownName, worded
from stillroom.store.halves import not_taken, reach_disk

_SEAL = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Attachments:
    """The folder of a book's files; ``None`` when a book on a server was given no folder."""

    folder: Path | None

    def keep(self, content: bytes) -> str:
        """Write a file so that it survives a loss of power, and return its seal.

        Returns
        -------
        str
            SHA-256 of the content, 64 hexadecimal digits.
        """
        seal = hashlib.sha256(content).hexdigest()
        path = self.path(seal)
        if path.exists():
            return seal
        half = path.with_name(f"{path.name}.{os.getpid()}.half")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            half.touch(mode=0o600)
            with half.open("wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            half.replace(path)
            for folder in (path.parent, path.parent.parent, path.parent.parent.parent):
                reach_disk(folder)
        except OSError as trouble:
            half.unlink(missing_ok=True)
            raise not_taken(path, trouble) from trouble
        return seal

    def read(self, seal: str) -> bytes:
        """The content under a seal.

        Raises
        ------
        UnknownName
            There is no such file.
        BookTrouble
            The file was changed.
        """
        path = self.path(seal)
        if not path.is_file():
            raise UnknownName(
                worded("{seal!r} is not a file beside this book", seal=seal), do="Attach it again"
            )
        content = path.read_bytes()
        if hashlib.sha256(content).hexdigest() != seal:
            raise BookTrouble("A file beside the book must be as it was filed", str(path), "Restore a copy")
        return content

    def has(self, seal: str) -> bool:
        """Whether there is a file under a seal."""
        return bool(_SEAL.fullmatch(seal)) and self.path(seal).is_file()

    def sweep(self, named: Collection[str], before_s: float = math.inf) -> int:
        """Take away the files that no entry names. The caller holds the right to write.

        Parameters
        ----------
        named : collection of str
            Seals that stay.
        before_s : float
            Only files written before this time, so that nobody loses one just before its entry. [s since 1970]

        Returns
        -------
        int
            How many were taken away.
        """
        if self.folder is None or not self.folder.is_dir():
            return 0
        orphans = [
            one
            for one in self.folder.glob("??/*")
            if one.is_file() and one.parent.name + one.name not in named and one.stat().st_mtime < before_s
        ]
        for one in orphans:
            one.unlink()
        return len(orphans)

    def let_go(self, seal: str) -> None:
        """Take one file away. The caller holds the right to write, and no entry names it."""
        self.path(seal).unlink(missing_ok=True)

    def path(self, seal: str) -> Path:
        """Where the file of a seal stands."""
        if self.folder is None:
            raise BookTrouble(
                "A book on a server needs a folder for its files", "none", "Open it with files=<folder>"
            )
        if not _SEAL.fullmatch(seal):
            raise UnknownName(
                worded("{seal!r} is not the seal of a file", seal=seal), do="A seal has 64 hexadecimal digits"
            )
        return self.folder / seal[:2] / seal[2:]
