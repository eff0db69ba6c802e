"""Lines to a door, bounded: so many from one address and in all, and a time in which a request must have come whole.

Promises that somebody who opens lines and says nothing, or a letter now and then, is put out, and that others are
answered meanwhile. Says nothing about what is asked; ``access`` and ``request_body`` do.
"""

import asyncio
import socket
from collections.abc import Iterable

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST_OF_AN_ADDRESS = 40
"""Lines from one address at a time; a browser opens about six. [1]"""
MOST_AT_ONCE = 300
"""Lines in all, well below what a process may hold open. [1]"""
HEAD_WITHIN_S = 10.0
"""Within so long the head of a request must have come whole. [s]"""
BODY_WITHIN_S = 120.0
"""Within so long its body must: a photograph over a slow network. [s]"""


def heard_at(address: str, ports: Iterable[int]) -> socket.socket | None:
    """A socket that listens at an address, at the first of some ports that is free; None where none is."""
    for number in ports:
        made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            made.bind((address, number))
            made.listen(128)  # two that begin at once may both bind a port: one of them hears at it
        except OSError:
            made.close()
            continue
        return made
    return None


class BoundedLine(H11Protocol):
    """A line of the server, put out where it is one too many or its request does not come."""

    all_of_one_address = False
    """Whether a proxy stands before the door, so that every line comes from it."""
    _due: asyncio.TimerHandle | None = None
    _phase: str = ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take a line, or put it out at once where there are too many."""
        super().connection_made(transport)
        held = [one.client[0] for one in self.connections if getattr(one, "client", None)]  # type: ignore[union-attr,index]
        address = self.client[0] if self.client else ""
        most = MOST_AT_ONCE if self.all_of_one_address else MOST_OF_AN_ADDRESS
        if len(held) > MOST_AT_ONCE or held.count(address) > most:
            self.connections.discard(self)  # it ends a moment later, and counts no more
            transport.abort()
            return
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget a line that has ended."""
        self._forget()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Take what came, and watch for what has to come yet."""
        super().data_received(data)
        self._watch()

    def on_response_complete(self) -> None:
        """Let the line rest between two requests; the server ends that rest itself."""
        self._forget()
        super().on_response_complete()

    def _watch(self) -> None:
        """Give each part of a request its time, once: a letter now and then does not prolong it."""
        phase = str(self.conn.their_state)
        if phase is self._phase and self._due is not None:
            return
        self._forget()
        within_s = {"IDLE": HEAD_WITHIN_S, "SEND_BODY": BODY_WITHIN_S}.get(phase)
        if within_s is not None and not self.transport.is_closing():
            self._phase = phase
            self._due = self.loop.call_later(within_s, self._put_out, within_s)

    def _put_out(self, within_s: float) -> None:
        """End the line; where it waits for the server, which takes no more of its body yet, it has its time again."""
        if self.flow.read_paused:
            self._due = self.loop.call_later(within_s, self._put_out, within_s)
        else:
            self.transport.abort()

    def _forget(self) -> None:
        if self._due is not None:
            self._due.cancel()
        self._due, self._phase = None, ""


class LineOfAProxy(BoundedLine):
    """A line from the proxy, which bounds those of each address itself."""

    all_of_one_address = True
