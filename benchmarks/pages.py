"""What the pages cost the server, beside an earlier commit and beside a bare page: CPU, as ratios with their targets.

1. the batch sheet, the month of spirit, a trace and a dilution, each beside the same page of an earlier commit, whose
   sources lie in a git worktree: the first time after a new entry of the book, and the second time;
2. every kind of page of the practice book beside a page of equal size that holds nothing, through the same server;
3. the memory of the server after all of them.
Each server tells its own practice book, and its CPU is asked of itself, so that a busy machine tells nearly the same.
Run: ``python benchmarks/pages.py``; ``--before COMMIT`` compares with another one, ``--before ""`` with none.
"""

import argparse
import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parents[1]
ASKED = {
    "have": "96",
    "known-by": "label",
    "want": "70",
    "amount": "5",
    "amount-as": "L wanted",
    "temperature": "31",
}
DILUTION = f"/ask/dilute?{urlencode(ASKED)}"
FASTER = {"/make/E1": 8.0, "/spirit/2026-11": 8.0, "/trace/T1": 8.0, DILUTION: 3.0}
"""How many times faster each is meant to be."""
MOST_OF_A_BARE_PAGE = 15.0
PAGES = (
    *FASTER, "/bench", "/bench/power-or-water-off", "/orders", "/orders/ORD-1", "/orders/ORD-1/plan", "/stock",
    "/stock/CIN-01", "/stock/E1", "/make", "/make/T1", "/make/starters", "/make/starters/maceration",
    "/make/procedures", "/make/procedures/hair-tonic", "/reagents", "/reagents/wagner", "/test", "/test/E1",
    "/products", "/products/T1/release", "/products/T1/certificate", "/products/T1/certificate/whole",
    "/products/T1/label", "/trace", "/trace/CIN-01", "/trace/E1", "/why/plan/ORD-1/plant_g", "/entries/5",
    "/sources", "/laboratory", "/laboratory/instruments", "/laboratory/own", "/laboratory/verified",
)  # fmt: skip
TRIES = 3


@dataclass(frozen=True)
class Server:
    """The pages of one commit, served by a process of their own."""

    line: HTTPConnection

    def get(self, path: str) -> tuple[int, bytes]:
        """Status and content of a page."""
        self.line.request("GET", path)
        answer = self.line.getresponse()
        return answer.status, answer.read()

    def facts(self) -> dict[str, float]:
        """CPU so far [s] and most memory [MB]."""
        found: dict[str, float] = json.loads(self.get("/cost")[1])
        return found

    def cpu_ms(self, path: str, times: int = 1) -> float:
        """CPU of a page. [ms]."""
        before = self.facts()["cpu_s"]
        for _ in range(times):
            self.get(path)
        return 1000.0 * (self.facts()["cpu_s"] - before) / times

    def first_ms(self, path: str) -> float:
        """CPU of a page the first time after a new entry. [ms]."""
        self.get("/note")
        return self.cpu_ms(path)


def serve(folder: Path) -> None:
    """Tell the practice book in a folder and serve it, with three addresses more; runs at any commit."""
    import resource
    from datetime import UTC, datetime
    from importlib import import_module

    import uvicorn
    from fastapi.responses import HTMLResponse, JSONResponse

    from stillroom.demo.story import tell
    from stillroom.records.entries import ConditionNoted
    from stillroom.web.app import make_app

    try:
        opening = import_module("stillroom.actions.book.laboratory")
    except ImportError:
        opening = import_module("stillroom.actions.laboratory")
    tell(folder / "book").book.close()
    noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    lab = opening.open_laboratory(folder / "book", clock=lambda: noon).__enter__()
    app, degrees = make_app(lab), iter(range(20_000))

    def bare(size: int) -> HTMLResponse:
        return HTMLResponse("x" * size)

    def note() -> JSONResponse:
        at, value = noon.isoformat(), 20.0 + next(degrees) / 1000.0
        with lab.book.pen(by="TO", at=at, entered_at=at) as pen:
            pen.enter(ConditionNoted("benchmark", value, "°C", f"{value} °C"))
        return JSONResponse({})

    def cost() -> JSONResponse:
        most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        return JSONResponse({"cpu_s": time.process_time(), "most_mb": most_mb})

    for path, view in (("/bare/{size}", bare), ("/note", note), ("/cost", cost)):
        app.add_api_route(path, view, methods=["GET"], response_model=None)
    heard = socket.socket()
    heard.bind(("127.0.0.1", 0))
    heard.listen()
    (folder / "half").write_text(str(heard.getsockname()[1]))
    (folder / "half").rename(folder / "port")
    uvicorn.Server(uvicorn.Config(app, log_level="warning", proxy_headers=False, timeout_keep_alive=900)).run(
        sockets=[heard]
    )


@contextmanager
def served(source: Path) -> Iterator[Server]:
    """A server of the sources in a folder."""
    with TemporaryDirectory() as place:
        around = {**os.environ, "PYTHONPATH": str(source / "src")}
        running = subprocess.Popen([sys.executable, __file__, "--serve", place], env=around)
        try:
            while not (Path(place) / "port").exists():
                time.sleep(0.2)
                if running.poll() is not None:
                    raise SystemExit(f"The server of {source} ended.")
            server = Server(HTTPConnection("127.0.0.1", int((Path(place) / "port").read_text())))
            server.get("/bench")
            yield server
        finally:
            running.terminate()
            running.wait()


@contextmanager
def worktree(commit: str) -> Iterator[Path]:
    """The sources of a commit, for a while."""
    with TemporaryDirectory() as place:
        folder = Path(place) / "before"
        subprocess.run(["git", "-C", ROOT, "worktree", "add", "-q", "--detach", folder, commit], check=True)
        try:
            yield folder
        finally:
            subprocess.run(["git", "-C", ROOT, "worktree", "remove", "--force", folder], check=True)


def beside_before(now: Server, before: Server, commit: str) -> None:
    """Print the first part."""
    print(f"\nbeside {commit}; CPU: the least of {TRIES}, in turns")
    print(f"{'page':<20}{'before':>9}{'first':>9}{'again':>9}{'faster: first':>15}{'again':>8}{'wanted':>8}")
    for path, wanted in FASTER.items():
        was, first, again = [], [], []
        for _ in range(TRIES):
            was.append(before.first_ms(path))
            first.append(now.first_ms(path))
            again.append(now.cpu_ms(path))
        ratios = min(was) / min(first), min(was) / min(again)
        met = "met" if ratios[0] >= wanted else "met again only" if ratios[1] >= wanted else "not met"
        print(
            f"{path.partition('?')[0]:<20}{min(was):6.0f} ms{min(first):6.0f} ms{min(again):6.0f} ms"
            f"{ratios[0]:15.1f}{ratios[1]:8.1f}{wanted:8.0f}  {met}"
        )


def beside_bare(now: Server) -> None:
    """Print the second part, the dearest first."""
    found = []
    for path in PAGES:
        first = min(now.first_ms(path) for _ in range(2))
        again = min(now.cpu_ms(path, 3) for _ in range(2))
        status, html = now.get(path)
        bare = min(now.cpu_ms(f"/bare/{len(html)}", 20) for _ in range(2))
        found.append((first / bare, again / bare, bare, path if status == 200 else f"{path} ({status})"))
    over = [sum(one[at] > MOST_OF_A_BARE_PAGE for one in found) for at in (0, 1)]
    print(f"\nbeside a bare page of equal size (wanted: at most {MOST_OF_A_BARE_PAGE:g} times)")
    print(f"{'page':<36}{'bare':>9}{'first':>8}{'again':>8}")
    for first, again, bare, path in sorted(found, reverse=True)[:12]:
        print(f"{path.partition('?')[0]:<36}{bare:6.2f} ms{first:8.1f}{again:8.1f}")
    print(f"of {len(found)} pages above it: {over[0]} the first time after an entry, {over[1]} again")


def main() -> None:
    """Print all three parts."""
    reader = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    reader.add_argument("--before", default="8b04be0")
    reader.add_argument("--serve", type=Path)
    asked = reader.parse_args()
    if asked.serve:
        serve(asked.serve)
        return
    with ExitStack() as stack:
        now = stack.enter_context(served(ROOT))
        if asked.before:
            earlier = stack.enter_context(worktree(asked.before))
            beside_before(now, stack.enter_context(served(earlier)), asked.before)
        beside_bare(now)
        print(f"\nmost memory of the server: {now.facts()['most_mb']:.0f} MB")


if __name__ == "__main__":
    main()
