"""The phones' door is a process of its own: neither silent lines nor its end silence the laptop. Over sockets."""

import http.client
import os
import re
import resource
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.house.phones import join_code
from stillroom.actions.house.phones_joined import phones_joined, rename_phone, throw_out
from stillroom.pages.phones import show_phones
from stillroom.records.people import Person
from stillroom.web import phone_listener
from stillroom.web.forms import JOINED
from stillroom.web.phone_listener import PhoneDoor, bound, listen
from tests.hostile.conftest import LAN
from tests.hostile.patience import PATIENT_S, until

SILENT = 1100


@pytest.fixture
def lab(tmp_path: Path) -> Iterator[Laboratory]:
    with begin_laboratory(tmp_path / "house", "A small house", Person("AA", "Anna Alm", True)) as begun:
        yield begun


@pytest.fixture
def door(lab: Laboratory) -> Iterator[PhoneDoor]:
    opened = listen(lab.folder, LAN, 18_217)
    yield opened
    opened.close()


def ask(door: PhoneDoor, path: str, source: str = "127.0.0.3", **headers: str) -> tuple[int, str]:
    line = http.client.HTTPConnection(door.address, door.port, PATIENT_S, source_address=(source, 0))
    with closing(line):
        line.request("GET", path, headers=headers)
        answer = line.getresponse()
        return answer.status, answer.headers.get("set-cookie", "").partition(";")[0]


def test_a_phone_joins_in_the_other_process_and_is_renamed_and_thrown_out_from_this_one(lab, door):
    assert ask(door, "/bench")[0] == 403
    status, cookie = ask(door, f"/join/{join_code(lab, LAN)}")
    assert (status, cookie.partition("=")[0]) == (200, JOINED)
    assert ask(door, "/bench", Cookie=cookie)[0] == 200
    assert [one.name for one in phones_joined(lab)] == ["Phone 1"]

    key = phones_joined(lab)[0].key
    assert "is called Anna" in rename_phone(lab, key, " Anna ")
    assert [one.name for one in phones_joined(lab)] == ["Anna"]
    throw_out(lab, key)
    assert ask(door, "/bench", Cookie=cookie)[0] == 403


@pytest.fixture
def served(lab: Laboratory) -> Iterator[tuple[PhoneDoor, PhoneDoor]]:
    """The laptop's door and the phones', as ``stillroom serve`` opens them."""
    with closing(bound("127.0.0.1", 18_417)) as free:
        port = free.getsockname()[1]
    words = ["serve", "--in", str(lab.folder), "--port", str(port), "--phones-at", LAN]
    environment = os.environ | {"PYTHONPATH": str(Path(phone_listener.__file__).parents[2])}
    with subprocess.Popen(
        [sys.executable, "-m", "stillroom", *words], stdout=subprocess.DEVNULL, env=environment
    ) as running:
        laptop = PhoneDoor("127.0.0.1", port)
        assert until(lambda: answers(laptop))
        page = text_of(laptop, "/laboratory/phones")
        phones = PhoneDoor(LAN, int(re.search(rf"{re.escape(LAN)}:(\d+)", page)[1]))
        yield laptop, phones
        running.send_signal(signal.SIGINT)
        running.wait(PATIENT_S)
    with pytest.raises(OSError, match="refused"):
        ask(phones, "/bench")


def answers(door: PhoneDoor) -> bool:
    try:
        return ask(door, "/bench")[0] == 200
    except OSError:
        return False


def text_of(door: PhoneDoor, path: str) -> str:
    with closing(http.client.HTTPConnection(door.address, door.port, PATIENT_S)) as line:
        line.request("GET", path)
        return line.getresponse().read().decode()


def is_open(line: socket.socket) -> bool:
    line.setblocking(False)
    try:
        return bool(line.recv(1, socket.MSG_PEEK))
    except BlockingIOError:
        return True
    except OSError:
        return False


def test_the_laptop_answers_while_eleven_hundred_silent_lines_are_held_at_the_phones_door(served):
    laptop, phones = served
    lines, hardest = resource.getrlimit(resource.RLIMIT_NOFILE)
    if hardest < 2 * SILENT:
        pytest.skip(f"this machine lets a program hold {hardest} lines")
    resource.setrlimit(resource.RLIMIT_NOFILE, (max(lines, 2 * SILENT), hardest))
    try:
        with ExitStack() as held:
            made = []
            for number in range(SILENT):
                source = (f"127.0.{2 + number // 200}.{1 + number % 200}", 0)
                line = socket.create_connection((LAN, phones.port), PATIENT_S, source_address=source)
                made.append(held.enter_context(line))
            assert ask(laptop, "/bench")[0] == 200
            assert any(is_open(line) for line in made)
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (lines, hardest))


def test_a_door_whose_process_is_killed_is_started_again_at_the_same_address(lab, door):
    assert ask(door, "/bench")[0] == 403
    killed = door.process_id
    os.kill(killed, signal.SIGKILL)

    assert until(lambda: door.started_again == 1)
    assert ask(door, "/bench")[0] == 403  # whoever asks meanwhile waits, and is answered
    assert door.process_id != killed
    assert "ended 1 time and was started again" in str(show_phones(lab, door).blocks)


def test_a_door_that_cannot_stand_is_not_started_for_ever_and_says_so(lab, monkeypatch):
    monkeypatch.setattr(phone_listener, "ITS_PROGRAM", "stillroom.no_such_program")
    door = listen(lab.folder, LAN, 18_317)

    assert until(lambda: door.fell)
    assert door.started_again == phone_listener.STARTS_IN_A_MINUTE
    assert "no phone is heard" in str(show_phones(lab, door).blocks)
    door.close()


def test_the_door_ends_with_whoever_opened_it(lab, door):
    assert ask(door, "/bench")[0] == 403
    number = door.process_id
    door.close()
    with pytest.raises(ProcessLookupError):
        os.kill(number, 0)
    with pytest.raises(OSError, match="refused"):
        ask(door, "/bench")
