"""The verb that serves the pages on this machine."""

import gc
import signal
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import in_option

if TYPE_CHECKING:
    from fastapi import FastAPI

    from stillroom.errors import BookTrouble

FIRST_PORT = 8017
PORTS_TRIED = 20


@click.command("serve")
@click.option(
    "--port",
    default=0,
    type=click.IntRange(0, 65535),
    help="Port; the first free one from 8017 when left out.",
)
@click.option(
    "--phones-at",
    default="",
    metavar="ADDRESS",
    help="Open the bench to phones at once, at this address of the local network (192.168.1.20).",
)
@click.option(
    "--behind",
    default="",
    metavar="HTTPS-ADDRESS",
    help="Address of the proxy people come in by, https://lab.example: they sign in with a password.",
)
@in_option
def serve_command(port: int, phones_at: str, behind: str, folder: Path) -> None:
    """Serve the pages on this machine only; without a laboratory, the three questions that need none."""
    serve(folder, port, phones_at, behind)


def serve(folder: Path, port: int = 0, phones_at: str = "", behind: str = "") -> None:
    """Serve until interrupted.

    Parameters
    ----------
    folder : Path
        The laboratory; where there is none yet, the three questions are served and one can be begun there.
    port : int
        0 for the first free one.
    phones_at : str
        Address of this machine by which phones come in; "" leaves them outside until a page opens the bench.
    behind : str
        Address of the proxy by which people come in and sign in; "" at one's own machine.
    """
    gc.disable()  # while all is fetched that stays
    import uvicorn

    served_at = _served_at(behind, phones_at)
    from stillroom.actions.book.laboratory import holds_a_book, open_laboratory
    from stillroom.actions.house.photographs import sweep_photographs
    from stillroom.web.app import make_app
    from stillroom.web.connections import BoundedLine, LineOfAProxy, heard_at

    lab = open_laboratory(folder) if holds_a_book(folder) else None
    if lab:
        sweep_photographs(lab)
    app = make_app(lab, home=folder, served_at=served_at)
    gc.freeze()  # what stays until the end is searched for rubbish no more: that took a tenth of a second now and then
    gc.enable()
    heard = heard_at("127.0.0.1", [port] if port else range(FIRST_PORT, FIRST_PORT + PORTS_TRIED))
    if heard is None:
        raise _no_free_port(port)
    number = heard.getsockname()[1]
    if served_at:
        click.echo(f"People sign in at {served_at}; the proxy finds the pages at 127.0.0.1:{number}.")
    else:
        click.echo(f"The pages are at http://127.0.0.1:{number}/ on this machine only. Ctrl-C ends them.")
    _end_as_ctrl_c_does()
    try:
        if phones_at:
            _open_to_phones(app, phones_at)
            click.echo(f"Phones join with the code at http://127.0.0.1:{number}/laboratory/phones")
        line = LineOfAProxy if served_at else BoundedLine
        settings = uvicorn.Config(app, log_level="warning", proxy_headers=False, http=line)
        with suppress(KeyboardInterrupt):
            uvicorn.Server(settings).run(sockets=[heard])
    finally:
        if app.state.phones is not None:
            app.state.phones.close()
        if app.state.lab is not None:
            app.state.lab.book.close()


def _end_as_ctrl_c_does() -> None:
    """Let the server end in order when it is told to, or its terminal is closed: the book and the phones are let go."""
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # the server raises it again once it has ended
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, lambda *_: signal.raise_signal(signal.SIGTERM))


def _served_at(behind: str, phones_at: str) -> str:
    from stillroom.errors import BadEntry, NotAllowed
    from stillroom.web.served import OWN_ADDRESS

    address = behind.strip().rstrip("/").lower()
    if address and not OWN_ADDRESS.fullmatch(address):
        raise BadEntry(
            "People come in over an encrypted line",
            repr(behind[:60]),
            "Name the address of the proxy, with https before it",
            where="--behind",
        )
    if address and phones_at:
        raise NotAllowed(
            "Phones sign in at the proxy like anybody from elsewhere",
            "a door of their own",
            "Leave out --phones-at",
        )
    return address


def _open_to_phones(app: "FastAPI", address: str) -> None:
    from stillroom.actions.house.phones import own_network_address
    from stillroom.errors import NotAllowed
    from stillroom.web.phone_listener import listen
    from stillroom.web.phones import FIRST_PORT as FIRST_PORT_FOR_PHONES

    if app.state.lab is None:
        raise NotAllowed("Phones join a laboratory", "none yet", "Begin one, then open the bench on its page")
    app.state.phones = listen(app.state.lab.folder, own_network_address(address), FIRST_PORT_FOR_PHONES)


def _no_free_port(port: int) -> "BookTrouble":
    from stillroom.errors import BookTrouble, worded

    first, last = (port, port) if port else (FIRST_PORT, FIRST_PORT + PORTS_TRIED - 1)
    return BookTrouble(
        "The pages need a free port",
        worded("none from {first_port} to {ports_tried}", first_port=first, ports_tried=last),
        "Give one with --port",
    )
