"""The process that hears phones: it opens the same book, serves the same pages, and ends when nobody keeps it.

Started by ``phone_listener``, with a socket that listens already.
"""

import socket
import sys
from collections.abc import Sequence
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from stillroom.web.phone_listener import PhoneDoor, server_of

if TYPE_CHECKING:
    import uvicorn


def _until_let_go(server: "uvicorn.Server") -> None:
    """Wait until whoever started this process closes it, or has ended itself."""
    sys.stdin.buffer.read()
    server.should_exit = True


def main(arguments: Sequence[str]) -> None:
    """Hear phones until let go.

    Parameters
    ----------
    arguments : sequence of str
        Folder of the laboratory, address of the door, number of the socket.
    """
    from stillroom.actions.book.laboratory import open_laboratory
    from stillroom.web.app import make_app

    folder, address, number = arguments
    heard = socket.socket(fileno=int(number))
    lab = open_laboratory(Path(folder))
    app = make_app(lab)
    app.state.phones = PhoneDoor(address, heard.getsockname()[1])
    server = server_of(app)
    Thread(target=_until_let_go, args=(server,), name="let go", daemon=True).start()
    try:
        server.run(sockets=[heard])
    finally:
        lab.book.close()


if __name__ == "__main__":
    main(sys.argv[1:])
