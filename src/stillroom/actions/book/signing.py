"""A line that stands for the whole book, signed with the key of the laboratory, to be kept where the book is not.

Promises that a book which was rewritten does not match the line, whoever rewrote it; the key shows that the line came
from this laboratory. The key stands beside the book and is never copied with it.
"""

import os
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from stillroom.actions.book.clock import doubt_of, must_be_right
from stillroom.actions.book.laboratory import Laboratory
from stillroom.errors import BookTrouble, worded
from stillroom.store import head_line

KEY_FILE = "signing-key"


def signed_head(lab: Laboratory) -> str:
    """The line of the book as it stands; a key is made the first time.

    Raises
    ------
    BookTrouble
        The key cannot be read, or none can be made in the folder.
    BadEntry
        The clock cannot be right, and nobody said that it is.
    """
    now = lab.clock()
    with lab.look() as look:
        head, book = look.head, look.book()
        must_be_right(doubt_of(look, now, now))
    key = _key(lab.folder / KEY_FILE)
    said = {
        "book": book.book_id,
        "entry": str(head.entry_no),
        "sha256": head.digest,
        "at": now.isoformat(timespec="seconds"),
        "key": key.public_key().public_bytes_raw().hex(),
    }
    words = head_line.words_of(said)
    return f"{words} signature {key.sign(words.encode()).hex()}"


def check_line(line: str, copy: Path) -> str:
    """A sentence that a copy is the book a line was printed from.

    Raises
    ------
    BookTrouble
        It is not, or the line was altered.
    """
    try:
        return head_line.check(line, copy)
    except ValueError as wrong:
        raise BookTrouble(
            "A copy must be the book that was signed", str(wrong), "Look for another copy"
        ) from wrong


def _key(path: Path) -> Ed25519PrivateKey:
    try:
        if not path.exists():
            made = Ed25519PrivateKey.generate()
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "w") as file:
                file.write(made.private_bytes_raw().hex() + "\n")
        return Ed25519PrivateKey.from_private_bytes(bytes.fromhex(path.read_text().strip()))
    except (OSError, ValueError) as trouble:
        raise BookTrouble(
            "A laboratory signs with a key of its own",
            worded("{path}: {trouble}", path=path, trouble=str(trouble)),
            "Bring the key back from its copy; without one, put the file aside and a new key is made",
        ) from trouble
