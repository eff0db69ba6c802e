r"""An entry as the journal keeps it: one canonical text, chained to the text before it.

The text says everything; what else stands in the row (``corrects``, the digests) can be made from it.
Anybody can check the chain without this program: ``printf '%s\n%s' "$before" "$text" | sha256sum``. The
chain shows that nothing was changed or left out since a digest was written down elsewhere; it does not say
who wrote.
"""

import hashlib
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from threading import Lock
from typing import Any, Generic, TypeVar

from stillroom.errors import BadEntry, BookTrouble, worded
from stillroom.evidence.seal import canonical
from stillroom.records.entries import VERSION, Entry
from stillroom.records.entry_json import body_from_json, body_to_json

Found = TypeVar("Found")
BEFORE_THE_FIRST = "0" * 64
MOST_LETTERS_KEPT = 16_000_000
"""Of how much text the entries are kept once they were read; what was not asked for longest goes first. [1]"""
_HALF_A_LETTER = re.compile("[\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Request:
    """The request that wrote an entry."""

    key: str
    """Chosen by whoever asks; the same key is carried out once."""
    turn: int
    """Place of the entry among those the request wrote, from 1."""
    asked: str
    """Seal of the words of the request."""


@dataclass(frozen=True, slots=True)
class Written:
    """An entry together with the request that wrote it: all that the index is made from."""

    entry: Entry
    request: Request | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the journal table."""

    entry_no: int
    corrects: int | None
    text: str
    before: str
    digest: str


def digest_of(before: str, text: str) -> str:
    """SHA-256 of the digest before, a line break, and the text."""
    return hashlib.sha256(f"{before}\n{text}".encode()).hexdigest()


def row_of(written: Written, before: str) -> Row:
    """The journal row of an entry that follows the digest ``before``.

    Raises
    ------
    BadEntry
        The entry holds something that no database keeps word for word.
    """
    entry, request = written.entry, written.request
    text = canonical(
        {
            "attachments": list(entry.attachments),
            "body": body_to_json(entry.body),
            "by": entry.by,
            "corrects": entry.corrects,
            "done_at": entry.done_at,
            "entered_at": entry.entered_at,
            "entry_no": entry.entry_no,
            "kind": entry.kind,
            "request": None if request is None else asdict(request),
            "version": entry.version,
            "why": entry.why,
            **({"doubt": entry.doubt} if entry.doubt else {}),
        }
    )
    if "\\u0000" in text or _HALF_A_LETTER.search(text):
        raise BadEntry(
            "An entry must be made of letters that can be written",
            "a letter that no page can show",
            "Type the text again",
        )
    return Row(entry.entry_no, entry.corrects, text, before, digest_of(before, text))


def told_by(text: str) -> dict[str, Any]:
    """The content of a text of the journal.

    Raises
    ------
    BookTrouble
        It is no text of an entry.
    """
    try:
        content = json.loads(text)
    except (
        TypeError,
        ValueError,
        RecursionError,
    ) as trouble:  # a damaged file holds numbers where texts were
        raise _tells_of_nothing(text, trouble) from trouble
    if not isinstance(content, dict):
        raise _tells_of_nothing(text, type(content).__name__)
    return content


def written_of(told: str | dict[str, Any]) -> Written:
    """The entry that a text of the journal tells of.

    Parameters
    ----------
    told : str or dict
        The text, or its content where it was read already.

    Raises
    ------
    BookTrouble
        The text is damaged, or was written by a newer version.
    """
    content = told_by(told) if isinstance(told, str) else told
    try:
        kind, version = str(content["kind"]), int(content["version"])
        body_content: Mapping[str, Any] = content["body"]
        if version > VERSION.get(kind, version):
            raise BookTrouble(
                "Every entry must be of a version known here",
                worded(
                    "entry {content} of kind {kind!r}, version {version}",
                    content=content["entry_no"],
                    kind=kind,
                    version=version,
                ),
                "Open the book with the newest version",
            )
        entry: Entry = Entry(
            entry_no=int(content["entry_no"]),
            kind=kind,
            version=version,
            by=str(content["by"]),
            done_at=str(content["done_at"]),
            entered_at=str(content["entered_at"]),
            why=str(content["why"]),
            corrects=content["corrects"],
            body=body_from_json(kind, version, body_content),
            attachments=tuple(content["attachments"]),
            doubt=str(content.get("doubt", "")),
        )
        asked = content["request"]
        request = asked and Request(str(asked["key"]), int(asked["turn"]), str(asked["asked"]))
    except (KeyError, TypeError, ValueError, OverflowError) as trouble:
        raise _tells_of_nothing(json.dumps(content, ensure_ascii=False), trouble) from trouble
    return Written(entry, request)


class KeptByText(Generic[Found]):
    """What follows from texts of the journal: a text never changes, and a long certificate is slow to read.

    Parameters
    ----------
    read : callable
        Finds it from the text alone; whoever gets it never changes it.
    most_letters : int
        How long the texts may be together; the one that was asked for longest ago goes first. [letters]
    """

    def __init__(self, read: Callable[[str], Found], most_letters: int) -> None:
        self._read, self._most_letters = read, most_letters
        self._found: dict[str, Found] = {}
        self._letters = 0
        self._one_at_a_time = Lock()

    def of(self, text: str) -> Found:
        """What follows from a text."""
        with self._one_at_a_time:
            if text in self._found:
                found = self._found[text] = self._found.pop(text)
                return found
        found = self._read(text)
        with self._one_at_a_time:
            self._letters += 0 if text in self._found else len(text)
            self._found[text] = found
            while self._letters > self._most_letters:
                oldest = next(iter(self._found))
                del self._found[oldest]
                self._letters -= len(oldest)
        return found


_ENTRIES = KeptByText(lambda text: written_of(text).entry, MOST_LETTERS_KEPT)


def entry_of(text: str, corrected_by: int | None = None) -> Entry:
    """The entry that a text of the journal tells of, read once while it is asked for now and then.

    Parameters
    ----------
    corrected_by : int, optional
        The entry that replaced it.

    Raises
    ------
    BookTrouble
        The text is damaged, or was written by a newer version.
    """
    read = _ENTRIES.of(text)
    return read if corrected_by is None else replace(read, corrected_by=corrected_by)


def _tells_of_nothing(text: str, trouble: object) -> BookTrouble:
    return BookTrouble(
        "Every text of the journal must tell of an entry", f"{text!r:.80} ({trouble})", "Restore a copy"
    )
