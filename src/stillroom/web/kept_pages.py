"""Pages as they were sent, kept while nothing changes that they rest on: a second look costs next to nothing.

A page is kept under the head of the book, its address, how it is seen (language, light, paper, door) and by whom; what
it rests on besides (the day, who has a PIN) is looked at again each time, and one that rests on the moment is not kept.
The keys of forms and the time beside them are filled in for each look (``left_open``). A page without them goes out
compressed where the browser takes that, and on the laptop itself it is known again by its ETag; nothing is left in the
browser of a phone, which is shared, nor of somebody who signed in and signs out again.
"""

import gzip
import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, wraps
from threading import Lock
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.pins import pin_facts
from stillroom.evidence.rests_on import PINS, THE_DAY, THE_MOMENT, noticing
from stillroom.texts.catalogue import language
from stillroom.web.duties import SIGNED_IN
from stillroom.web.forms import HAND, comes_from_a_phone
from stillroom.web.left_open import filled, leaves_open
from stillroom.web.preferences import paper_of, theme_of

SAID = "said"
"""Cookie of what was said on the page before: it is shown once, on a page that is not kept."""
MOST_BYTES = 32_000_000
WORTH_COMPRESSING = 1000
LOOKED_AT_AGAIN: dict[str, Callable[[Laboratory], object]] = {THE_DAY: Laboratory.today, PINS: pin_facts}


@dataclass(frozen=True)
class Kept:
    """A page that was sent."""

    content: bytes
    """As it was made."""
    etag: str
    """Empty where something is left open."""
    rests_on: dict[str, object]
    """What it rests on besides the head of the book."""
    media_type: str
    headers: dict[str, str]
    """Of its own, such as the name of a sheet."""

    @classmethod
    def of(cls, made: Response, rests_on: dict[str, object]) -> "Kept | None":
        """What is kept of an answer; None where it must be made anew each time."""
        if made.status_code != 200 or "set-cookie" in made.headers or THE_MOMENT in rests_on:
            return None
        content, media_type = bytes(made.body), made.headers["content-type"]
        own = {
            name: value
            for name, value in made.headers.items()
            if name not in ("content-length", "content-type")
        }
        if media_type.startswith("text/html") and leaves_open(content.decode()):
            return cls(content, "", rests_on, media_type, own)
        etag = f'W/"{hashlib.sha256(content).hexdigest()[:32]}"'
        return cls(content, etag, rests_on, media_type, own)

    @cached_property
    def compressed(self) -> bytes:
        """The content by gzip, once somebody takes it so; empty where that is not worth it."""
        worth_it = len(self.content) >= WORTH_COMPRESSING and self.media_type != "application/pdf"
        return gzip.compress(self.content, 6, mtime=0) if worth_it else b""

    def holds(self, lab: Laboratory) -> bool:
        """Whether it would be made the same again."""
        return all(LOOKED_AT_AGAIN[what](lab) == found for what, found in self.rests_on.items())

    def sent(self, request: Request, lab: Laboratory) -> Response:
        """The answer to a request: the page, filled in; or that the browser has it already."""
        if not self.etag:
            whole = filled(self.content.decode(), lab.clock())
            return Response(whole, media_type=self.media_type, headers=self.headers)
        headers = {**self.headers, "Vary": "cookie,accept-encoding"}
        if not (comes_from_a_phone(request.scope) or request.scope.get(SIGNED_IN)):
            headers |= {"ETag": self.etag, "Cache-Control": "private,no-cache"}
            if self.etag in request.headers.get("if-none-match", ""):
                return Response(status_code=304, headers=headers)
        if "gzip" in request.headers.get("accept-encoding", "") and self.compressed:
            headers["Content-Encoding"] = "gzip"
            return Response(self.compressed, media_type=self.media_type, headers=headers)
        return Response(self.content, media_type=self.media_type, headers=headers)


class KeptPages:
    """The pages of one book as it stands: a new entry forgets them all, and the oldest go when there are too many."""

    def __init__(self) -> None:
        self._at: object = None
        self._kept: dict[object, Kept] = {}
        self._bytes = 0
        self._one_at_a_time = Lock()

    def answer(self, request: Request, lab: Laboratory, make: Callable[[], Response]) -> Response:
        """The page as it is kept, or made by ``make`` out of one look at the book, and kept where it can be."""
        if request.method != "GET" or SAID in request.cookies:
            return make()
        with lab.one_look() as look:
            at = (lab.folder, look.head)
            seen = (language(), theme_of(request), paper_of(request), comes_from_a_phone(request.scope))
            whose = (request.scope.get(SIGNED_IN, ""), request.cookies.get(HAND, ""))
            key = (request.scope["path"], request.url.query, seen, whose)
            kept = self._found(at, key)
            if kept is None or not kept.holds(lab):
                with noticing() as rests_on:
                    made = make()
                kept = Kept.of(made, rests_on)
                if kept is None:
                    return _filled(made, lab)
                self._keep(at, key, kept)
        return kept.sent(request, lab)

    def _found(self, at: object, key: object) -> Kept | None:
        with self._one_at_a_time:
            if at != self._at:
                self._at, self._bytes = at, 0
                self._kept.clear()
            return self._kept.get(key)

    def _keep(self, at: object, key: object, kept: Kept) -> None:
        with self._one_at_a_time:
            if at != self._at:
                return
            self._forget(key)
            self._kept[key] = kept
            self._bytes += len(kept.content)
            while self._bytes > MOST_BYTES:
                self._forget(next(iter(self._kept)))

    def _forget(self, key: object) -> None:
        old = self._kept.pop(key, None)
        if old is not None:
            self._bytes -= len(old.content)


def kept(view: Callable[..., Response]) -> Callable[..., Response]:
    """A view whose page is kept while what it rests on stands still (``kept_pages``).

    Parameters
    ----------
    view : callable
        Takes the request and the parts of the path; its page is the same for the same address, look and person.
    """

    @wraps(view)
    def seen(request: Request, **parts: Any) -> Response:
        lab: Laboratory | None = request.app.state.lab
        if lab is None:
            return view(request, **parts)
        pages: KeptPages = request.app.state.kept_pages
        return pages.answer(request, lab, lambda: view(request, **parts))

    return seen


def _filled(made: Response, lab: Laboratory) -> Response:
    """An answer that is not kept, with nothing left open."""
    if made.headers.get("content-type", "").startswith("text/html"):
        made.body = filled(bytes(made.body).decode(), lab.clock()).encode()
        made.headers["content-length"] = str(len(made.body))
    return made
