"""The second door: the same pages, heard at one address of the house network, beside the one on this machine.

Nothing here decides who comes in (``access`` does). The address is found from the machine's own routes:
nothing is sent and nobody is asked.
"""

import socket
import threading
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from stillroom.errors import BadEntry, BookTrouble, worded

if TYPE_CHECKING:
    from fastapi import FastAPI

# Only the route to each is looked up; no packet leaves. The last is a group address (RFC 6762, from memory).
SOMEWHERE_NEAR = ("192.168.0.1", "192.168.1.1", "10.0.0.1", "172.16.0.1", "169.254.1.1", "224.0.0.251")
PORTS_TRIED = 20
PATIENCE_S = 10.0


@dataclass(slots=True)
class PhoneDoor:
    """Where phones come in.

    Attributes
    ----------
    address : str
    port : int
    """

    address: str
    port: int
    _server: Any = field(default=None, repr=False)
    _thread: threading.Thread | None = field(default=None, repr=False)

    @property
    def host(self) -> str:
        """Address and port, as a browser names them."""
        return self.address if self.port == 80 else f"{self.address}:{self.port}"

    def close(self) -> None:
        """Hear nobody any more."""
        if self._server is not None:
            self._server.should_exit = True
        if self._thread is not None:
            self._thread.join(timeout=PATIENCE_S)


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


def listen(app: "FastAPI", address: str, port: int) -> PhoneDoor:
    """Hear phones at an address, beside the pages that are served already.

    Parameters
    ----------
    app : FastAPI
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
    import uvicorn

    from stillroom.web.connections import BoundedLine

    heard = _bound(address, port)
    settings = uvicorn.Config(
        app,
        http=BoundedLine,
        log_level="warning",
        lifespan="off",
        ws="none",
        proxy_headers=False,
        access_log=False,
    )
    server = uvicorn.Server(settings)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [heard]}, name="phones", daemon=True)
    thread.start()
    return PhoneDoor(address, heard.getsockname()[1], server, thread)


def _bound(address: str, port: int) -> socket.socket:
    for number in range(port, port + PORTS_TRIED):
        made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            made.bind((address, number))
        except OSError as trouble:
            made.close()
            if _is_foreign(address):
                raise BadEntry(
                    "The address for phones must be one of this machine",
                    address,
                    "Choose one that is offered, or look it up in the settings of the network",
                    where="address",
                ) from trouble
            continue
        made.listen(128)
        return made
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
