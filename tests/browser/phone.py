"""A practice laboratory on a port that stays the same when the server stops and starts, and a phone at its bench."""

import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from stillroom.actions.book.laboratory import Laboratory, open_laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.demo.clock import StoryClock
from stillroom.demo.shelves import SUPPLIER, fill_shelves
from stillroom.demo.story import BEGINS, begin_practice
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.web.app import make_app

PHONE = {"width": 390, "height": 844}
PATIENCE_MS = 15_000
MORNING = datetime(2026, 11, 5, 8, 0, tzinfo=UTC)
READS_THE_CLOCK = "new Date(document.querySelector('.bench').dataset.now).getTime()"


def prepare(folder: Path) -> None:
    """A laboratory with filled shelves and released bark, and the batch E1 begun."""
    from stillroom.actions.making.batches import begin_batch
    from stillroom.actions.releasing.deciding import release
    from stillroom.actions.testing.identity import decide_identity

    clock = StoryClock(BEGINS)
    with begin_practice(folder, clock) as lab:
        fill_shelves(lab, clock)
        bark = Lot("CIN-01", LotKind.PLANT, "cinchona bark", "cinchona bark, whole quills", supplier=SUPPLIER)
        receive_lot(lab, bark, "2000 g", by="TO", at=clock.at("2026-11-03 08:30"), apparatus="SCALE-1")
        decide_identity(
            lab,
            "CIN-01",
            accepted=True,
            evidence="section compared with authentic quills",
            by="MA",
            at=clock.at("2026-11-03 09:00"),
        )
        release(lab, "CIN-01", meaning="identity accepted", by="MA", at=clock.at("2026-11-04 09:00"))
        begin_batch(lab, "E1", "bark-extract", "250 g", by="TO", at=clock.at("2026-11-05 07:00"))


@dataclass
class Laptop:
    """The machine the book lies on: it can be stopped and started, and its clock is set by the test."""

    folder: Path
    port: int
    time: datetime = MORNING
    lab: Laboratory = field(init=False)
    _server: Any = None
    _serving: Any = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        import uvicorn

        self.lab = open_laboratory(self.folder, clock=lambda: self.time)
        listening = socket.socket()
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(("127.0.0.1", self.port))
        settings = uvicorn.Config(
            make_app(self.lab),
            log_level="critical",
            lifespan="off",
            ws="none",
            http="h11",
            timeout_graceful_shutdown=1,
        )
        self._server = uvicorn.Server(settings)
        self._serving = threading.Thread(target=self._server.run, kwargs={"sockets": [listening]})
        self._serving.start()

    def stop(self) -> None:
        self._server.should_exit = True
        self._serving.join(timeout=10)
        self.lab.book.close()

    def later(self, minutes: float) -> None:
        self.time += timedelta(minutes=minutes)

    def steps(self, batch: str = "E1") -> list[tuple[str, str]]:
        """The steps written, each with when it was done, in the order of the book."""
        with self.lab.look() as look:
            return [(one.body.step, one.done_at[:16]) for one in look.steps(batch)]


@contextmanager
def laptop(
    folder: Path, told: Callable[[Path], None] = prepare, time: datetime = MORNING
) -> Iterator[Laptop]:
    """A laptop with the practice laboratory, started."""
    told(folder)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    made = Laptop(folder, port, time)
    made.start()
    try:
        yield made
    finally:
        made.stop()


def says(page: Any) -> str:
    return " ".join(page.inner_text("main").split())


def turn(page: Any) -> None:
    """Go on to the next part of the step."""
    page.locator(".part:not(.unshown) .turning button", has_text="Next: ").click()


def weigh(page: Any, slug: str, reading: str) -> None:
    part = page.locator(f"#weigh-{slug}")
    part.get_by_label("The scale says").fill(reading)
    turn(page)


def mix_spirit(page: Any, by: str = "TO", *, press: bool = True) -> None:
    """The first step of the extract, part after part."""
    page.get_by_label("No flame and no open element in the room").check()
    turn(page)
    weigh(page, "stock-spirit", "2944")
    weigh(page, "water", "1484")
    page.get_by_label("Signed by").select_option(by)
    if press:
        page.get_by_role("button", name="Save: mix spirit is done").click()


def moisten(page: Any, reading: str = "250.00", *, by: str = "TO") -> None:
    """The second."""
    turn(page)
    weigh(page, "bark", reading)
    page.get_by_label("Signed by").select_option(by)
    page.get_by_role("button", name="Save: moisten is done").click()


def percolate(page: Any, *, by: str = "TO") -> None:
    """The third."""
    page.get_by_label("An acidified drop gives no precipitate beside a blank").check()
    turn(page)
    weigh(page, "water", "299")
    weigh(page, "percolate", "4437")
    weigh(page, "marc", "503.40")
    page.get_by_label("Signed by").select_option(by)
    page.get_by_role("button", name="Save: percolate is done").click()
