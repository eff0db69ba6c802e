"""The body of a form as it comes in: its fields, and at most one file; read no further than allowed.

Text that nobody could have typed (zero bytes, letters that turn the line around) is refused here, before any
action sees it. What a photograph really is, ``actions.photographs`` finds out.
"""

import re
from asyncio import Lock
from collections.abc import AsyncGenerator, AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from urllib.parse import SplitResult, parse_qsl, urlsplit

from anyio.lowlevel import RunVar
from fastapi import Request
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect

from stillroom.actions.house.photographs import LARGEST_BYTES
from stillroom.errors import BadEntry, BookTrouble, worded
from stillroom.texts.catalogue import t

LARGEST_FORM_BYTES = 1_000_000
LARGEST_UPLOAD_BYTES = LARGEST_BYTES + LARGEST_FORM_BYTES
MOST_FIELDS = 4000
LONGEST_LINE = 4000
PHOTOGRAPH, TABLE = "photograph", "table"
MOST_PHOTOGRAPHS = 8
"""Photographs that came in and are not drawn yet, each of 12 MB at most. [1]"""
# Control characters besides tab and line breaks, and those that turn a line around (Unicode UAX 9, from memory).
_UNTYPED = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


class Turn:
    """Whose photograph is drawn."""

    def __init__(self) -> None:
        self.free = Lock()
        self.came = 0


_turn: RunVar[Turn] = RunVar("photograph_turn")


@dataclass(frozen=True, slots=True)
class Incoming:
    """What came in.

    ``photograph``, ``table``: A file as it was sent.
    """

    fields: dict[str, str]
    """White space at the ends left out."""
    photograph: bytes | None = None
    table: bytes | None = None


async def read_body(request: Request) -> Incoming:
    """The fields of a form, and its photograph.

    Raises
    ------
    BadEntry
        It cannot be read, or holds what nobody types.
    HTTPException
        413: it is longer than allowed; the rest is not read.
    """
    if request.headers.get("content-type", "").startswith("multipart/form-data"):
        pairs, files = await _parts(request)
    else:
        pairs, files = await _pairs(request), {}
    for name, value in pairs:
        _must_be_typed(name, value)
    return Incoming({name: value.strip() for name, value in pairs}, files.get(PHOTOGRAPH), files.get(TABLE))


@asynccontextmanager
async def photograph_in_turn() -> AsyncIterator[None]:
    """Let one photograph be drawn at a time; the others wait outside, where they take no page its place.

    Raises
    ------
    BookTrouble
        Too many wait.
    """
    turn = _turn.get(None)
    if turn is None:
        turn = Turn()
        _turn.set(turn)
    if turn.came >= MOST_PHOTOGRAPHS:
        raise BookTrouble(
            worded("At most {most} photographs can wait to be drawn", most=MOST_PHOTOGRAPHS),
            "one more",
            "Send it again in a minute",
        )
    turn.came += 1
    try:
        async with turn.free:
            yield
    finally:
        turn.came -= 1


async def _pairs(request: Request) -> list[tuple[str, str]]:
    body = bytearray()
    async for part in _no_further_than(
        request, LARGEST_FORM_BYTES, t("A form may hold a million characters at most.")
    ):
        body += part
    try:
        return parse_qsl(
            body.decode("ascii"), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict"
        )
    except ValueError:
        raise _unreadable() from None


async def _parts(request: Request) -> tuple[list[tuple[str, str]], dict[str, bytes]]:
    from starlette.datastructures import UploadFile
    from starlette.formparsers import MultiPartException, MultiPartParser

    stream = _no_further_than(
        request,
        LARGEST_UPLOAD_BYTES,
        t("A photograph may weigh 12 MB at most. Take it smaller, or send it without."),
    )
    parser = MultiPartParser(
        request.headers, stream, max_files=1, max_fields=MOST_FIELDS, max_part_size=LARGEST_FORM_BYTES
    )
    try:
        form = await parser.parse()
    except MultiPartException:
        raise _unreadable() from None
    try:
        pairs = [(name, one) for name, one in form.multi_items() if isinstance(one, str)]
        files = [(name, one) for name, one in form.multi_items() if isinstance(one, UploadFile)]
        if any(name not in (PHOTOGRAPH, TABLE) for name, _ in files):
            raise BadEntry(
                "A form takes one file, a photograph or a table", "another file", "Send it from its own page"
            )
        read = {name: await one.read() for name, one in files}
    finally:
        await form.close()
    return pairs, {name: content for name, content in read.items() if content}


async def _no_further_than(request: Request, most_bytes: int, words: str) -> AsyncGenerator[bytes, None]:
    read = 0
    try:
        async for part in request.stream():
            read += len(part)
            if read > most_bytes:
                raise HTTPException(413, words)
            yield part
    except ClientDisconnect:
        raise _unreadable() from None  # nobody is there any more to be told


def _must_be_typed(name: str, value: str) -> None:
    if _UNTYPED.search(name + value):
        raise BadEntry(
            "What is typed is made of letters that can be seen",
            worded("one in {called!r} that cannot", called=name[:40]),
            "Type it again instead of pasting it",
        )
    longest = max((len(line) for line in (*value.split("\n"), name)), default=0)
    if longest > LONGEST_LINE:
        raise BadEntry(
            worded("A line holds {longest_line} letters at most", longest_line=LONGEST_LINE),
            worded("one of {longest} in {called!r}", longest=longest, called=name[:40]),
            "Shorten it",
        )


def _unreadable() -> BadEntry:
    return BadEntry("A form must be readable text", "something else", "Send it from its own page")


def on_own_page(request: Request, header: str) -> SplitResult | None:
    """The address a header names, where it is one of these pages; None for any other, and for what is no address."""
    try:
        named = urlsplit(request.headers.get(header, ""))
    except ValueError:
        return None
    return named if named.netloc == request.headers.get("host") else None
