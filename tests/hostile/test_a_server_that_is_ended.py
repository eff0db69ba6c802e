"""A server that is told to end, or whose terminal is closed, ends as with Ctrl-C: what it opened is closed."""

import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.web.connections import heard_at
from tests.hostile.patience import PATIENT_S, until
from tests.hostile.test_a_server import hears as answers
from tests.practice import copied

SERVES = """
import sys
from pathlib import Path
from stillroom.cli import serving
from stillroom.store import Book
close = Book.close
Book.close = lambda book: (print("closed", flush=True), close(book))[1]
serving.serve(Path(sys.argv[1]), int(sys.argv[2]), behind="https://lab.example")
"""


def served(folder: Path) -> subprocess.Popen[str]:
    words = [sys.executable, "-c", SERVES, str(folder), "0"]
    return subprocess.Popen(words, stdout=subprocess.PIPE, text=True)


def port_of(server: subprocess.Popen[str]) -> int:
    """The port that it says it is found at; no other process hears there."""
    return int(server.stdout.readline().rstrip(".\n").rpartition(":")[2])


@pytest.mark.parametrize("told", [signal.SIGTERM, signal.SIGHUP])
def test_a_server_that_is_told_to_end_closes_its_book(told: signal.Signals, tmp_path: Path) -> None:
    folder = copied(tmp_path)
    with served(folder) as server:
        try:
            port = port_of(server)
            assert until(lambda: answers(port))
            server.send_signal(told)
            said = server.communicate(timeout=PATIENT_S)[0]
        finally:
            server.kill()

    assert said.splitlines()[-1] == "closed"
    assert server.returncode == 0
    with open_laboratory(folder) as lab:
        assert lab.book.verify().holds


def test_two_servers_that_begin_at_once_hear_at_two_ports(tmp_path: Path) -> None:
    """Each looked for a free port first and took it later: one of the two ended with a fault."""
    folder = copied(tmp_path)
    both = [served(folder), served(folder)]
    try:
        ports = [port_of(one) for one in both]
        assert [until(lambda port=port: answers(port)) for port in ports] == [True, True]
        assert ports[0] != ports[1]
    finally:
        for one in both:
            one.kill()
            one.communicate()


def test_of_many_who_ask_for_the_same_ports_at_once_each_gets_its_own() -> None:
    with closing(heard_at("127.0.0.1", [0])) as free:
        first = free.getsockname()[1]
    with ThreadPoolExecutor(8) as many:
        found = list(many.map(lambda _: heard_at("127.0.0.1", range(first, first + 20)), range(8)))
    ports = [one.getsockname()[1] for one in found]
    for one in found:
        one.close()

    assert len(set(ports)) == 8
    with closing(heard_at("127.0.0.1", [0])) as taken:
        assert heard_at("127.0.0.1", [taken.getsockname()[1]]) is None
