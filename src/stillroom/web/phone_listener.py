"""The second door: the same pages, heard at one address of the house network by a process of its own.

Whatever is done to that process, the laptop goes on answering; where it ends it is started again, and where it goes on
ending the page of the phones says so. Nothing here decides who comes in (``access`` does). The address is found
from the machine's own routes: nothing is sent and nobody is asked.
"""

import os
import socket
import subprocess
import sys
import threading
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.errors import BadEntry, BookTrouble, worded

if TYPE_CHECKING:
    import uvicorn
    from fastapi import FastAPI

# Only the route to each is looked up; no packet leaves. The last is a group address (RFC 6762, from memory).
SOMEWHERE_NEAR = ("192.168.0.1", "192.168.1.1", "10.0.0.1", "172.16.0.1", "169.254.1.1", "224.0.0.251")
PORTS_TRIED = 20
PATIENCE_S = 10.0
STARTS_IN_A_MINUTE = 5
"""A process that ends more often is not started again: something is wrong that a start does not mend. [1]"""
ITS_PROGRAM = "stillroom.web.phones_process"


@dataclass(slots=True)
class PhoneDoor:
    """Where phones come in."""

    address: str
    port: int
    _kept: "_Kept | None" = field(default=None, repr=False)

    @property
    def host(self) -> str:
        """Address and port, as a browser names them."""
        return self.address if self.port == 80 else f"{self.address}:{self.port}"

    @property
    def started_again(self) -> int:
        """How often its process ended and was started again. [1]."""
        return self._kept.started_again if self._kept else 0

    @property
    def fell(self) -> bool:
        """Whether its process ended so often that it is not started any more."""
        return self._kept.fell if self._kept else False

    @property
    def process_id(self) -> int | None:
        """Number of the process that hears phones; None where none runs."""
        return self._kept.process.pid if self._kept and not self._kept.fell else None

    def close(self) -> None:
        """Hear nobody any more."""
        if self._kept is not None:
            self._kept.close()


class _Kept:
    """The process behind the door, kept running until it is closed. The socket is ours, so that the address stays."""

    def __init__(self, folder: Path, address: str, heard: socket.socket) -> None:
        self.folder, self.address, self.heard = folder, address, heard
        self.started_again, self.fell, self._closing = 0, False, False
        self._one_at_a_time = threading.Lock()
        self.process = self._start()
        self._watch = threading.Thread(target=self._keep, name="phones", daemon=True)
        self._watch.start()

    def _start(self) -> "subprocess.Popen[bytes]":
        number = self.heard.fileno()
        source = str(Path(__file__).parents[2])
        path = os.pathsep.join(filter(None, (source, os.environ.get("PYTHONPATH", ""))))
        return subprocess.Popen(
            [sys.executable, "-m", ITS_PROGRAM, str(self.folder), self.address, str(number)],
            stdin=subprocess.PIPE,  # its end tells the process that nobody keeps it any more
            pass_fds=(number,),
            env=os.environ | {"PYTHONPATH": path},
            start_new_session=True,  # Ctrl-C ends the laptop's door, which closes this one
        )

    def _keep(self) -> None:
        ends: list[float] = []
        while True:
            self.process.wait()
            now = time.monotonic()
            ends = [one for one in ends if one > now - 60.0] + [now]
            with self._one_at_a_time:
                _let_go(self.process)
                if self._closing:
                    return
                if len(ends) > STARTS_IN_A_MINUTE:
                    self.fell = True
                    self.heard.close()
                    return
                self.process = self._start()
                self.started_again += 1

    def close(self) -> None:
        """End the process, kindly first."""
        with self._one_at_a_time:
            self._closing = True
            _let_go(self.process)
        try:
            self.process.wait(PATIENCE_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self._watch.join(PATIENCE_S)
        self.heard.close()


def _let_go(process: "subprocess.Popen[bytes]") -> None:
    """Tell a process that nobody keeps it any more."""
    if process.stdin is not None:
        with suppress(BrokenPipeError):
            process.stdin.close()


def own_addresses() -> tuple[str, ...]:
    """Addresses this machine has in networks of its own, the likeliest first."""
    from stillroom.actions.house.phones import near

    found: list[str] = []
    for there in SOMEWHERE_NEAR:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
            try:
                asked.connect((there, 9))
                here = asked.getsockname()[0]
            except OSError:
                continue
        if near(here) and not here.startswith("127.") and here not in found:
            found.append(here)
    return tuple(found)


def listen(folder: Path, address: str, port: int) -> PhoneDoor:
    """Hear phones at an address, in a process of its own, beside the pages that are served already.

    Parameters
    ----------
    folder : Path
        Of the laboratory.
    address : str
        One of this machine's.
    port : int
        The first one tried.

    Raises
    ------
    BadEntry
        This machine does not have the address.
    BookTrouble
        No port is free there.
    """
    heard = bound(address, port)
    return PhoneDoor(address, heard.getsockname()[1], _Kept(folder.resolve(), address, heard))


def server_of(app: "FastAPI") -> "uvicorn.Server":
    """The server of the phones' door."""
    import uvicorn

    from stillroom.web.connections import BoundedLine

    settings = uvicorn.Config(
        app,
        http=BoundedLine,
        log_level="warning",
        lifespan="off",
        ws="none",
        proxy_headers=False,
        access_log=False,
        timeout_graceful_shutdown=2,
    )
    return uvicorn.Server(settings)


def bound(address: str, port: int) -> socket.socket:
    """A socket that listens at an address, at the first free port.

    Parameters
    ----------
    port : int
        The first one tried.
    """
    from stillroom.web.connections import heard_at

    made = heard_at(address, range(port, port + PORTS_TRIED))
    if made is not None:
        return made
    if _is_foreign(address):
        raise BadEntry(
            "The address for phones must be one of this machine",
            address,
            "Choose one that is offered, or look it up in the settings of the network",
            where="address",
        )
    raise BookTrouble(
        "Phones need a free port",
        worded(
            "none from {port} to {ports_tried} at {address}",
            port=port,
            ports_tried=port + PORTS_TRIED - 1,
            address=address,
        ),
        "Close another program",
    )


def _is_foreign(address: str) -> bool:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as tried:
        try:
            tried.bind((address, 0))
        except OSError:
            return True
    return False
