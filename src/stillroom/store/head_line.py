"""Check a line that ``stillroom book digest`` printed against a copy of the book. A program of its own.

It needs this file, Python and the library ``cryptography``, and nothing else of stillroom::

    python head_line.py "signed head of the book ..." laboratory.book

Promises that the journal of the copy is, word for word and up to the entry of the line, the one that was signed. Says
nothing about entries after it, nor about the tables beside the journal; ``stillroom book verify`` does.
"""

import hashlib
import json
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

BEGINS = "signed head of the book"
NAMES = ("book", "entry", "sha256", "at", "key", "signature")


def words_of(said: dict[str, str]) -> str:
    """The line without its signature: what is signed.

    Parameters
    ----------
    said : dict of str to str
        Each of ``NAMES`` but the last.
    """
    return " ".join((BEGINS, *(f"{name} {said[name]}" for name in NAMES[:-1])))


def read_line(line: str) -> dict[str, str]:
    """What a line says, by name.

    Raises
    ------
    ValueError
        It is no such line, or its signature is not of its key and its words.
    """
    words = line.split()
    begins = BEGINS.split()
    if words[: len(begins)] != begins or tuple(words[len(begins) :: 2]) != NAMES:
        raise ValueError("This is no line that 'stillroom book digest' printed: copy it whole")
    said = dict(zip(words[len(begins) :: 2], words[len(begins) + 1 :: 2], strict=True))
    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(said["key"]))
        key.verify(bytes.fromhex(said["signature"]), words_of(said).encode())
    except (InvalidSignature, ValueError) as wrong:
        raise ValueError("The line was altered: its signature is not of its words") from wrong
    return said


def check(line: str, copy: Path) -> str:
    """Whether a copy of the book is the one a line was printed from, up to its entry.

    Returns
    -------
    str
        A sentence that it is.

    Raises
    ------
    ValueError
        A sentence that it is not, and where.
    """
    said = read_line(line)
    before, number = "0" * 64, 0
    address = f"{copy.resolve().as_uri()}?mode=ro&immutable=1"
    try:
        with closing(sqlite3.connect(address, uri=True)) as book:
            for number, text, digest in book.execute(
                "SELECT entry_no, text, digest FROM journal ORDER BY entry_no"
            ):
                before = hashlib.sha256(f"{before}\n{text}".encode()).hexdigest()
                if before != digest:
                    raise ValueError(f"The chain of the copy is broken at entry {number}")
                if number == 1 and json.loads(text)["body"].get("book_id") != said["book"]:
                    raise ValueError("The copy is of another book than the line")
                if number == int(said["entry"]):
                    break
    except (sqlite3.Error, KeyError, TypeError, AttributeError) as trouble:
        raise ValueError(f"The copy cannot be read: {trouble}") from trouble
    if number < int(said["entry"]):
        raise ValueError(f"The copy ends with entry {number}; the line was printed at entry {said['entry']}")
    if before != said["sha256"]:
        raise ValueError(f"The book was rewritten: up to entry {number} it is not the one that was signed")
    return (
        f"The copy is the book that was signed, up to entry {number}, on {said['at']}, key {said['key'][:16]}"
    )


def main() -> int:
    """Check the line and the copy that stand on the command line."""
    if len(sys.argv) != len(("program", "line", "copy")):
        print(__doc__, file=sys.stderr)  # noqa: T201
        return 2
    try:
        print(check(sys.argv[1], Path(sys.argv[2])))  # noqa: T201
    except ValueError as wrong:
        print(wrong, file=sys.stderr)  # noqa: T201
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
