"""A server that is told to end, or whose terminal is closed, ends as with Ctrl-C: what it opened is closed."""

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import open_laboratory
from tests.hostile.patience import PATIENT_S, until
from tests.hostile.test_a_server import free_port
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


@pytest.mark.parametrize("told", [signal.SIGTERM, signal.SIGHUP])
def test_a_server_that_is_told_to_end_closes_its_book(told: signal.Signals, tmp_path: Path) -> None:
    folder, port = copied(tmp_path), free_port(18_617)
    words = [sys.executable, "-c", SERVES, str(folder), str(port)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert until(lambda: answers(port))
            server.send_signal(told)
            said = server.communicate(timeout=PATIENT_S)[0]
        finally:
            server.kill()

    assert said.splitlines()[-1] == "closed"
    assert server.returncode == 0
    with open_laboratory(folder) as lab:
        assert lab.book.verify().holds
