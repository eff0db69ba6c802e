"""Silent lines, slow heads and slow bodies are put out, and others are answered meanwhile. Over real sockets."""

import asyncio
import http.client
import socket
from collections.abc import Iterator
from contextlib import ExitStack, closing
from threading import Event
from types import SimpleNamespace
from typing import Any

import pytest

from stillroom.web import connections
from stillroom.web.phone_listener import PhoneDoor
from tests.hostile.conftest import House, heard_here

QUIET_S = 20.0


@pytest.fixture
def door(house: House, monkeypatch: pytest.MonkeyPatch) -> Iterator[PhoneDoor]:
    monkeypatch.setattr(connections, "HEAD_WITHIN_S", 0.4)
    monkeypatch.setattr(connections, "BODY_WITHIN_S", 0.4)
    with heard_here(house.app, 18_117) as opened:
        yield opened


def line(door: PhoneDoor, source: str = "127.0.0.1") -> socket.socket:
    return socket.create_connection((door.address, door.port), QUIET_S, source_address=(source, 0))


def answered(door: PhoneDoor, source: str = "127.0.0.1") -> int:
    asked = http.client.HTTPConnection(door.address, door.port, QUIET_S, source_address=(source, 0))
    with closing(asked):
        asked.request("GET", "/bench")
        return asked.getresponse().status


def ends(held: socket.socket) -> bool:
    """Whether the other side ends the line, rather than leaving it open."""
    try:
        while held.recv(4096):
            pass
    except ConnectionResetError:
        return True
    except TimeoutError:
        return False
    return True


def test_a_line_that_says_nothing_is_put_out(door: PhoneDoor) -> None:
    with line(door) as held:
        assert ends(held)


@pytest.mark.parametrize(
    "begun",
    [b"GET /bench HT", b"GET /bench HTTP/1.1\r\nHost: x\r\nX-Slow: ", b"\r\n"],
    ids=["half a line", "half a head", "an empty line"],
)
def test_a_head_that_does_not_come_whole_is_put_out(door: PhoneDoor, begun: bytes) -> None:
    with line(door) as held:
        held.sendall(begun)
        assert ends(held)


def test_letters_now_and_then_do_not_prolong_a_head(door: PhoneDoor) -> None:
    with line(door) as held:
        held.settimeout(0.05)
        sent = 0

        def goes_on() -> bool:
            """Whether the line takes one letter more and is not ended meanwhile."""
            try:
                held.sendall(b"GE"[sent > 0 :][:1])
                return held.recv(10) != b""
            except TimeoutError:
                return True
            except (BrokenPipeError, ConnectionResetError):
                return False

        while sent < 400 and goes_on():
            sent += 1
        assert 0 < sent < 100


def test_a_body_that_does_not_come_is_put_out(door: PhoneDoor) -> None:
    with line(door) as held:
        held.sendall(
            f"POST /join/x HTTP/1.1\r\nHost: {door.host}\r\nContent-Type: application/x-www-form-urlencoded\r\n"
            "Content-Length: 1000\r\n\r\nby=".encode()
        )
        assert ends(held)


class Busy:
    """Pages that take nothing of a body before they are told to go on."""

    def __init__(self) -> None:
        self.state, self.goes_on = SimpleNamespace(), Event()

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        await asyncio.get_running_loop().run_in_executor(None, self.goes_on.wait)
        while (await receive()).get("more_body"):
            pass
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"0")]})
        await send({"type": "http.response.body", "body": b""})


def test_a_body_that_waits_for_the_server_is_not_put_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of fifty photographs sent at once to a busy machine, twenty-nine were cut off."""
    monkeypatch.setattr(connections, "BODY_WITHIN_S", 0.1)
    pages, begins = Busy(), b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 200000\r\n\r\n"
    with heard_here(pages, 18_117) as door, line(door) as waits, line(door) as silent:
        waits.sendall(begins + b"a" * 199_000)
        silent.sendall(begins + b"a")
        assert ends(silent)
        pages.goes_on.set()
        waits.sendall(b"a" * 1_000)
        assert waits.recv(100).startswith(b"HTTP/1.1 200")


def test_a_thousand_silent_lines_of_one_address_shut_nobody_out(
    door: PhoneDoor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "HEAD_WITHIN_S", 30.0)
    with ExitStack() as held:
        for _ in range(1000):
            held.enter_context(line(door))
        assert answered(door, "127.0.0.3") == 403
        other = [held.enter_context(line(door, f"127.0.1.{number}")) for number in range(1, 200)]
        assert answered(door, "127.0.0.3") == 403
        assert len(other) == 199


def test_more_lines_than_the_door_holds_are_put_out_and_it_answers_again(
    door: PhoneDoor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "MOST_AT_ONCE", 20)
    with ExitStack() as held:
        lines = [held.enter_context(line(door, f"127.0.2.{number}")) for number in range(1, 40)]
        assert all(ends(one) for one in lines)
    assert answered(door) == 403
