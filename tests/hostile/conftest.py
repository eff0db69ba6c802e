"""A small laboratory with a clock that is told the time, and three clients: the laptop, a joined phone, a stranger.

The house network is played by 127.0.0.2.
"""

import re
import warnings
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.house.equipment_and_people import join_person
from stillroom.actions.house.phones import join_code
from stillroom.actions.house.pins import set_pin
from stillroom.records.people import Person
from stillroom.web.app import make_app
from stillroom.web.forms import JOINED
from stillroom.web.phone_listener import PhoneDoor, bound, server_of

LAN = "127.0.0.2"
LAPTOP, PHONE = "http://127.0.0.1:8017", f"http://{LAN}:8018"
PINS = {"AA": "8264", "HH": "907351"}


@dataclass
class Told:
    """A clock that stands until it is put on."""

    now: datetime = field(default=datetime(2026, 11, 25, 9, 0, tzinfo=UTC))

    def __call__(self) -> datetime:
        return self.now

    def on(self, **by: float) -> None:
        self.now += timedelta(**by)


@dataclass(frozen=True)
class House:
    """A laboratory, its clock, its application."""

    lab: Laboratory
    clock: Told
    app: Any
    client_of: Callable[[str], Any]

    def digest(self) -> str:
        return self.lab.book.digest()

    def laptop(self) -> Any:
        return self.client_of(LAPTOP)

    def stranger(self) -> Any:
        """A phone that scanned nothing."""
        return self.client_of(PHONE)

    def phone(self) -> Any:
        """A phone that scanned the code of today."""
        phone = self.stranger()
        assert phone.get(f"/join/{join_code(self.lab, LAN)}").status_code == 200
        assert JOINED in phone.cookies
        return phone


@contextmanager
def heard_here(app: Any, port: int) -> Iterator[PhoneDoor]:
    """The phones' door over a real socket, in this process: with the clock of a test."""
    heard, server = bound(LAN, port), server_of(app)
    runs = Thread(target=server.run, kwargs={"sockets": [heard]}, daemon=True)
    runs.start()
    door = app.state.phones = PhoneDoor(LAN, heard.getsockname()[1])
    yield door
    server.should_exit = True
    runs.join(20)


def key_of(client: Any, path: str) -> str:
    """The key of the form at an address."""
    found = re.search(r'name="request_key" value="([^"]+)"', client.get(path).text)
    assert found, f"no form at {path}"
    return found[1]


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """Anna may release and has a PIN, Hans helps and has one, Nils helps and has none."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the test client of this version announces another HTTP library
        from fastapi.testclient import TestClient
    clock = Told()
    first = Person("AA", "Anna Alm", may_release=True)
    with (
        begin_laboratory(tmp_path / "house", "A small house", first, clock=clock) as lab,
        ExitStack() as open_,
    ):
        join_person(lab, Person("HH", "Hans Holm"), by="AA")
        join_person(lab, Person("NN", "Nils Nord"), by="AA")
        for person, pin in PINS.items():
            set_pin(lab, person, pin, by=person)
        app = make_app(lab)
        app.state.phones = PhoneDoor(LAN, 8018)

        def client_of(address: str) -> Any:
            client = (address.split("/")[2].split(":")[0], 50_000)
            return open_.enter_context(
                TestClient(app, base_url=address, client=client, follow_redirects=False)
            )

        yield House(lab, clock, app, client_of)
