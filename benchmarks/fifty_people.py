"""Fifty people at a book of ten years: what they wait for pages, and whether what they wrote stands.

Each person has lines from an address of their own, opens one page after another of the working day with a pause
between, and one time in ten writes something down. Printed: requests, what was not answered rightly, waiting at the
50th, 95th and 100th percentile for reading and for writing, memory and CPU of the servers, and what was acknowledged
and is not in the book afterwards. What serves is the command of the tool; only its clock goes on from the last entry.

Run: ``python benchmarks/fifty_people.py FOLDER`` of a laboratory that ``ten_years_told`` told, its book a file or on
PostgreSQL; ``--processes 2`` for several servers on one book, ``--people``, ``--seconds``, ``--pause``.
"""

import argparse
import os
import random
import resource
import signal
import socket
import subprocess
import sys
import threading
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from http.client import HTTPConnection, HTTPException
from itertools import count
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).parents[1]))

PAGES = (
    "/bench", "/bench/now", "/bench/day", "/orders", "/orders/{order}", "/offers", "/stock", "/stock?page={page}",
    "/stock?words=cinchna", "/stock/{bark}", "/stock/SPI-01", "/plants", "/plants/cinchona-bark", "/make",
    "/make/{extract}", "/make/{tonic}", "/test", "/test/{extract}", "/products", "/products/{tonic}/release",
    "/trace/{bark}", "/trace/{tonic}", "/entries", "/entries?words={bark}", "/spirit/{month}", "/reagents",
    "/laboratory", "/stock.json", "/make/{extract}.json",
)  # fmt: skip
WRITES = 0.1
"""Of all requests. [1]"""
NOTE = "/laboratory/conditions/new"


def serve(folder: Path, port: int) -> None:
    """Serve as the command does, the clock going on from the book's last entry; CPU and memory are told at the end."""
    from stillroom.actions.book import laboratory
    from stillroom.cli import serving

    began = datetime.now().astimezone()
    with laboratory.open_laboratory(folder) as lab, lab.look() as look:
        some = (
            *range(1, look.head.entry_no, 997),
            look.head.entry_no,
        )  # the last may say that it was restored
        last = max(datetime.fromisoformat(look.entry(one).entered_at) for one in some)
    opened = laboratory.open_laboratory
    laboratory.open_laboratory = partial(opened, clock=lambda: last + (datetime.now().astimezone() - began))
    try:
        serving.serve(folder, port)
    finally:
        most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        print(f"server {port}: {time.process_time():.1f} s of CPU, {most_mb:.0f} MB at most", flush=True)


@dataclass
class Seen:
    """What all people met."""

    until: float
    most: int
    """Number of rounds the book tells. [1]"""
    months: tuple[str, ...]
    """The last year of the account of spirit, which people look at."""
    pause_s: float
    number: "count[int]" = field(default_factory=lambda: count(1))
    waited: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    wrong: Counter[str] = field(default_factory=Counter)
    kept: list[str] = field(default_factory=list)
    """Values whose note was acknowledged."""

    def person(self, which: int, port: int) -> None:
        """One person at work."""
        chance, address = random.Random(which), f"127.0.1.{which + 1}"
        while time.monotonic() < self.until:
            time.sleep(chance.expovariate(1.0 / self.pause_s))
            begun = time.perf_counter()
            line = HTTPConnection("127.0.0.1", port, timeout=60, source_address=(address, 0))
            try:
                if chance.random() < WRITES:
                    name, right = self._write(line)
                else:
                    name, right = self._read(line, chance)
            except (OSError, HTTPException) as trouble:
                self.wrong[f"{type(trouble).__name__}: {trouble}"] += 1
                continue
            finally:
                line.close()
            self.waited["writing" if name == NOTE else "reading"].append(time.perf_counter() - begun)
            self.waited[name].append(time.perf_counter() - begun)
            if not right:
                self.wrong[name] += 1

    def _read(self, line: HTTPConnection, chance: random.Random) -> tuple[str, bool]:
        page, number = chance.choice(PAGES), chance.randint(1, self.most)
        codes = {"extract": f"E{number:04d}", "bark": f"CIN-{number:04d}", "tonic": f"T{2 * number:04d}"}
        month, listed = chance.choice(self.months), chance.randint(1, 9)
        path = page.format(**codes, order=f"ORD-{2 * number:04d}", month=month, page=listed)
        line.request("GET", path)
        answer = line.getresponse()
        return page, answer.status == 200 and bool(answer.read())

    def _write(self, line: HTTPConnection) -> tuple[str, bool]:
        number = next(self.number)
        value = f"{20 + number / 10_000:.4f} °C"
        typed = {
            "what": "room temperature",
            "value": value,
            "by": "TO",
            "request_key": f"{os.getpid()}-{number:08d}",
        }
        line.request("POST", NOTE, urlencode(typed), {"Content-Type": "application/x-www-form-urlencoded"})
        answer = line.getresponse()
        answer.read()
        if answer.status == 303:
            self.kept.append(value)
        return NOTE, answer.status == 303


def hears(port: int) -> bool:
    """Whether a server stands at a port."""
    try:
        with socket.create_connection(("127.0.0.1", port), 1.0):
            return True
    except OSError:
        return False


def main() -> None:
    """Let people in and print what they met."""
    reader = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    reader.add_argument("folder", type=Path)
    reader.add_argument("--serve", type=int)
    reader.add_argument("--processes", type=int, default=1)
    reader.add_argument("--people", type=int, default=50)
    reader.add_argument("--seconds", type=float, default=120.0)
    reader.add_argument(
        "--pause", type=float, default=4.0, help="between two pages of a person, on average, in seconds"
    )
    asked = reader.parse_args()
    if asked.serve:
        serve(asked.folder, asked.serve)
        return

    from stillroom.actions.book.laboratory import open_laboratory
    from stillroom.actions.lots.spirit_account import account_of_month, spirit_months

    with open_laboratory(asked.folder) as lab, lab.look() as look:
        before = look.head
        months = spirit_months(look)[-12:]
        for month in months:  # what its batches hold was calculated once when they were made
            account_of_month(look, month)
        batches = look.standing("batch", most=None).codes
    most = max(int(one[1:]) for one in batches if one.startswith("E"))
    ports = [18_300 + number for number in range(asked.processes)]
    servers = [
        subprocess.Popen([sys.executable, __file__, str(asked.folder), "--serve", str(port)])
        for port in ports
    ]
    while not all(map(hears, ports)):
        time.sleep(0.1)
    seen = Seen(time.monotonic() + asked.seconds, most, months, asked.pause)
    people = [
        threading.Thread(target=seen.person, args=(which, ports[which % len(ports)]))
        for which in range(asked.people)
    ]
    for one in people:
        one.start()
    for one in people:
        one.join()
    for server in servers:
        server.send_signal(signal.SIGINT)
        server.wait()
    for name in ("reading", "writing", *sorted(set(seen.waited) - {"reading", "writing"})):
        waited = sorted(seen.waited[name]) or [float("nan")]
        shown = "  ".join(
            f"{waited[min(len(waited) - 1, int(part * len(waited)))]:8.3f}" for part in (0.5, 0.95, 1.0)
        )
        print(f"{name:<28}{len(waited):6}  {shown}")
    print(f"not answered rightly: {dict(seen.wrong)}")
    with open_laboratory(asked.folder) as lab:
        with lab.look() as look:
            after = range(before.entry_no + 1, look.head.entry_no + 1)
            written = {getattr(look.entry(number).body, "as_written", "") for number in after}
        lost = [one for one in seen.kept if one not in written]
        print(
            f"acknowledged {len(seen.kept)}, lost {len(lost)}, verified: {lab.book.verify(before).troubles or 'holds'}"
        )


if __name__ == "__main__":
    main()
