"""What a book of ten years costs: the story told in several sizes, on a file and on a server, side by side.

For each size and database: to write one request, to open, to verify what is new, to verify all, to make the index
again; each page at its 95th percentile as after a new entry, all that is kept of book and pages forgotten before each;
and the walk of a trace beside the bare recursive query over the movements, beside scipy.sparse and, where it is
installed, beside rustworkx. Then how each grows for ten times the entries. All of it twice: the time that passed, and
the work of the process alone, which a busy machine leaves as it is (what the server beside it works is in neither).
Each book is looked at in a process of its own, so that the memory is that of one book.

Run: ``python benchmarks/ten_years.py``; ``--sizes 1k 10k 100k``; ``--on sqlite --on postgresql+psycopg://...`` (for
each size a database is made beside it and dropped afterwards); ``--books FOLDER`` keeps files and databases and uses
them again.
"""

import argparse
import platform
import resource
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import datetime
from importlib import import_module
from importlib.util import find_spec
from itertools import pairwise
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, TypeAlias

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.ten_years_told import SIZES, tell_ten_years
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.spirit_account import account_of_month
from stillroom.records.entries import ConditionNoted, Moved
from stillroom.records.lots import Movement
from stillroom.store import Book
from stillroom.store.verify import VerifyReport

TRIES = 20
PAGES = (
    "/bench", "/bench/now", "/bench/day", "/bench/fortnight", "/orders", "/orders/{order}", "/offers",
    "/stock", "/stock?words=cinchna", "/stock/{bark}", "/stock/SPI-01", "/plants", "/plants/cinchona-bark",
    "/make", "/make/{extract}", "/make/{tonic}", "/test", "/test/{extract}", "/products", "/products/{tonic}/release",
    "/trace", "/trace/{bark}", "/trace/{tonic}", "/entries", "/entries?words={bark}", "/spirit/{month}",
    "/reagents", "/stock/new",
)  # fmt: skip
_BARE = """WITH RECURSIVE walk(lot) AS (SELECT 'SPI-01' UNION SELECT b.lot FROM walk
 JOIN movements a ON a.lot = walk.lot
 AND a."into" LIKE 'batch/%' JOIN movements b ON b.out_of = a."into" AND b.lot <> a.lot) SELECT count(*) FROM walk"""


Figure: TypeAlias = tuple[float, float]
"""What passed, and what this process worked. [s]"""


def seconds(do: Callable[[], object]) -> Figure:
    """How long one thing takes."""
    passed, worked = time.perf_counter(), time.process_time()
    do()
    return time.perf_counter() - passed, time.process_time() - worked


def p95(do: Callable[[], object], before: Callable[[], None], tries: int = TRIES) -> Figure:
    """The 95th percentile of some tries."""
    found = []
    for _ in range(tries):
        before()
        found.append(seconds(do))
    at = max(0, round(0.95 * tries) - 1)
    passed, worked = (sorted(one)[at] for one in zip(*found, strict=True))
    return passed, worked


def both(value: float) -> Figure:
    """What is no time."""
    return value, value


@contextmanager
def place(on: str, size: str, folder: Path, *, keep: bool) -> Iterator[tuple[str | Path, bool]]:
    """A file, or a database that is dropped afterwards unless it is kept; and whether a book stands there."""
    if on == "sqlite":
        yield folder / f"{size}.book", (folder / f"{size}.book").exists()
        return
    import psycopg
    from sqlalchemy import make_url

    url, name = make_url(on), f"stillroom_ten_years_{size}"
    plain = url.set(drivername="postgresql").render_as_string(hide_password=False)
    with psycopg.connect(plain, autocommit=True) as server:
        there = server.execute("SELECT 1 FROM pg_database WHERE datname = %s", (name,)).fetchone() is not None
        if not there:
            server.execute(f'CREATE DATABASE "{name}" TEMPLATE template0')
        try:
            yield url.set(database=name).render_as_string(hide_password=False), there
        finally:
            if not keep:
                server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def measured(where: str | Path, size: str, folder: Path, told: bool) -> dict[str, Figure]:
    """Every figure of one book, told first unless it was. [s, MB or 1 by its name]."""
    from fastapi.testclient import TestClient

    from stillroom.web.app import make_app
    from stillroom.web.kept_pages import KeptPages

    found: dict[str, Figure] = {}
    if not told:
        found["told in"] = seconds(lambda: tell_ten_years(where, SIZES[size], files=folder / "files").close())
    found["opened"] = seconds(lambda: Book.open(where, files=folder / "files").close())
    with Book.open(where, files=folder / "files") as book:
        with book.look() as look:
            before, now = look.head, look.entry(look.head.entry_no).entered_at
            batches = look.standing("batch", most=None).codes
        extracts = sorted(one for one in batches if one.startswith("E"))
        number = int(extracts[len(extracts) // 2][1:])
        names = {
            "extract": f"E{number:04d}", "bark": f"CIN-{number:04d}", "tonic": f"T{2 * number:04d}",
            "order": f"ORD-{2 * number:04d}",
        }  # fmt: skip
        with book.look() as look:
            names["month"] = look.begun(names["extract"]).done_at[:7]
            batches_then = account_of_month(look, names["month"]).account.batches
            found["batches in the month looked at"] = both(len(batches_then))
        spilled = Moved((Movement("SPI-01", "shelf", "waste", 1000),), "spilled")

        def write() -> None:
            with book.pen(by="TO", at=now, entered_at=now) as pen:
                pen.enter(spilled)
                pen.enter(ConditionNoted("benchmark", 20.0, "°C", "20 °C"))

        found["one request written"] = p95(write, lambda: None)
        found["verified from the last point"] = seconds(lambda: book.verify(before))
        lab = Laboratory(book, folder, clock=lambda: datetime.fromisoformat(now)).__enter__()
        app = make_app(lab)
        client = TestClient(app, base_url="http://127.0.0.1")

        def forget() -> None:
            book._kept.forget()
            app.state.kept_pages = KeptPages()

        for page in PAGES:
            path = page.format(**names)
            if client.get(path).status_code != 200:
                raise SystemExit(f"{path} does not open")
            found[page] = p95(lambda path=path: client.get(path), forget)  # type: ignore[misc]
        found["most memory after all pages, MB"] = both(most_mb())
        found.update(traces(book, names["bark"]))
        reports: list[VerifyReport] = []
        found["verified whole"] = seconds(lambda: reports.append(book.verify()))
        if reports[0].troubles:
            raise SystemExit(f"the book does not hold: {reports[0].troubles[0]}")
        found["index made again"] = seconds(book.rebuild)
    found["most memory, MB"] = both(most_mb())
    return found


def most_mb() -> float:
    """The most memory this process has taken. [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def traces(book: Book, bark: str) -> dict[str, Figure]:
    """The walk from a lot of bark and from the busiest lot, beside two other ways to the same lots."""
    from sqlalchemy import text

    found: dict[str, Figure] = {}
    with book.look() as look:
        found["trace of a bark, walked"] = seconds(lambda: look.lots_below(bark))
        below: list[tuple[str, ...]] = []
        found["trace of the busiest lot, walked"] = seconds(lambda: below.append(look.lots_below("SPI-01")))
        found["  the same by scipy.sparse"] = seconds(lambda: below.append(by_matrix(look, "SPI-01")))
        if find_spec("rustworkx"):
            found["  the same by rustworkx"] = seconds(lambda: below.append(by_rustworkx(look, "SPI-01")))
        found["  the same by the bare recursive query"] = seconds(
            lambda: look._connection.execute(text(_BARE)).all()
        )
    if any(set(one) != set(below[0]) for one in below):
        raise SystemExit("the walks do not agree")
    return found


def graph_of(look: Any) -> tuple[dict[str, int], list[tuple[int, int]]]:
    """Lots and batches by number, and what went from which into which, made from all balances."""
    nodes: dict[str, int] = {}
    edges: list[tuple[int, int]] = []
    for lot, balances in look.all_balances().items():
        one = nodes.setdefault(f"lot/{lot}", len(nodes))
        for (account, _), amount in balances.items():
            if account.startswith("batch/") and amount:
                other = nodes.setdefault(account, len(nodes))
                edges.append((one, other) if amount > 0 else (other, one))
    return nodes, edges


def by_rustworkx(look: Any, start: str) -> tuple[str, ...]:
    """The same by a graph of rustworkx."""
    rustworkx = import_module("rustworkx")  # a measuring stick, no dependency of ours
    nodes, edges = graph_of(look)
    graph = rustworkx.PyDiGraph()
    names = list(nodes)
    graph.add_nodes_from(names)
    graph.extend_from_edge_list(edges)
    reached = {nodes[f"lot/{start}"], *rustworkx.descendants(graph, nodes[f"lot/{start}"])}
    return tuple(names[one].removeprefix("lot/") for one in reached if names[one].startswith("lot/"))


def by_matrix(look: Any, start: str) -> tuple[str, ...]:
    """Every lot below one, by a sparse matrix of lots and batches made from all balances."""
    import numpy as np
    from scipy.sparse import csr_matrix
    from scipy.sparse.csgraph import breadth_first_order

    nodes, edges = graph_of(look)
    rows, columns = np.array(edges).T
    graph = csr_matrix((np.ones(len(edges)), (rows, columns)), shape=(len(nodes), len(nodes)))
    reached = set(breadth_first_order(graph, nodes[f"lot/{start}"], return_predecessors=False).tolist())
    return tuple(
        name.removeprefix("lot/") for name, at in nodes.items() if at in reached and name.startswith("lot/")
    )


def main() -> None:
    """Print the figures, a column for each size and database."""
    reader = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    reader.add_argument("--sizes", nargs="+", choices=SIZES, default=["1k", "10k"])
    reader.add_argument("--on", action="append", default=[])
    reader.add_argument("--books", type=Path)
    asked = reader.parse_args()
    columns: dict[str, dict[str, Figure]] = {}
    with ExitStack() as stack:
        folder = asked.books or Path(stack.enter_context(TemporaryDirectory()))
        folder.mkdir(exist_ok=True)
        for on in asked.on or ["sqlite"]:
            for size in asked.sizes:
                kept = asked.books is not None
                with (
                    place(on, size, folder, keep=kept) as (where, told),
                    get_context("spawn").Pool(1) as alone,
                ):
                    found = alone.apply(measured, (where, size, folder, told))
                columns[f"{on.partition('+')[0]} {size}"] = found
    print(f"Python {platform.python_version()}; seconds, pages at the 95th percentile of {TRIES}")
    for which, called in enumerate(("What passed", "What the process worked")):
        show(
            called, {head: {name: both[which] for name, both in one.items()} for head, one in columns.items()}
        )


def show(called: str, columns: dict[str, dict[str, float]]) -> None:
    """Print one table."""
    names = dict.fromkeys(name for one in columns.values() for name in one)
    heads = list(columns)
    growths = [(first, second) for first, second in pairwise(heads) if first.split()[0] == second.split()[0]]
    print(
        f"{called:<42}" + "".join(f"{one:>17}" for one in heads) + "".join(f"{'growth':>9}" for _ in growths)
    )
    for name in names:
        row = "".join(f"{columns[one].get(name, float('nan')):17.3f}" for one in heads)
        grown = "".join(
            f"{columns[second].get(name, float('nan')) / columns[first].get(name, float('nan')):9.1f}"
            for first, second in growths
        )
        print(f"{name:<42}{row}{grown}")


if __name__ == "__main__":
    main()
