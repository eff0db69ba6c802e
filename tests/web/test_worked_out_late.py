"""An address is worked out when somebody comes near it, once, whoever comes; until then it costs nothing."""

import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import cast

import pytest
from fastapi import FastAPI
from fastapi.responses import PlainTextResponse
from starlette.routing import BaseRoute, Match

from stillroom.web.duties import Addresses
from stillroom.web.worked_out_late import FetchedLate, WorkedOutLate
from tests.pages_in_process import Pages

NEIGHBOURS = 8
FIRST_ANSWER = """
import asyncio, sys
from stillroom.web.app import make_app
app = make_app(None)
async def receive(): return {"type": "http.request"}
async def send(sent):
    if sent["type"] == "http.response.start": print(sent["status"], *loaded())
def loaded(): return [one for one in sys.modules if one.startswith("stillroom.web.")]
async def asks(path):
    await app({"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "GET", "path": path,
        "raw_path": path.encode(), "query_string": b"", "headers": [(b"host", b"127.0.0.1:8017")], "scheme": "http",
        "client": ("127.0.0.1", 5), "server": ("127.0.0.1", 8017), "root_path": ""}, receive, send)
asyncio.run(asks("/"))
asyncio.run(asks("/ask"))
"""


@pytest.fixture
def routes() -> dict[str, WorkedOutLate]:
    router = Addresses()

    @router.get("/stock/{code}", needs="anybody")
    def lot(code: str) -> PlainTextResponse:
        return PlainTextResponse(code)

    @router.get("/orders/{number}", needs="anybody")
    def order(number: int) -> PlainTextResponse:
        return PlainTextResponse(str(number + 1))

    return {one.path: one for one in cast("list[WorkedOutLate]", router.routes)}


@pytest.fixture
def pages(routes: dict[str, WorkedOutLate]) -> Iterator[Pages]:
    app = FastAPI()
    app.state.lab = None
    app.router.routes.extend(routes.values())
    served = Pages(app)
    yield served
    served.close()


def test_an_address_nobody_came_near_is_not_worked_out(
    routes: dict[str, WorkedOutLate], pages: Pages
) -> None:
    assert pages.get("/elsewhere").status_code == 404
    assert pages.get("/stock/CIN-01").text == "CIN-01"

    assert [path for path, one in routes.items() if "dependant" in vars(one)] == ["/stock/{code}"]


def test_a_part_of_an_address_is_still_read_as_what_it_is(pages: Pages) -> None:
    assert pages.get("/orders/41").text == "42"
    assert pages.get("/orders/many").status_code == 422


def test_an_address_below_another_root_is_found(routes: dict[str, WorkedOutLate]) -> None:
    asked = {"type": "http", "method": "GET", "root_path": "/house", "path": "/house/stock/CIN-01"}

    assert routes["/stock/{code}"].matches(asked)[0] == Match.FULL
    assert routes["/orders/{number}"].matches(asked)[0] == Match.NONE


def test_those_who_come_at_once_find_the_same(routes: dict[str, WorkedOutLate]) -> None:
    together = Barrier(NEIGHBOURS)

    def ask(_: int) -> tuple[str, object]:
        together.wait()
        return routes["/stock/{code}"].path_format, routes["/stock/{code}"].app

    with ThreadPoolExecutor(NEIGHBOURS) as some:
        found = set(some.map(ask, range(NEIGHBOURS)))

    assert [path for path, _ in found] == ["/stock/{code}"]


def test_what_is_behind_other_addresses_is_fetched_once_when_the_first_request_comes(
    routes: dict[str, WorkedOutLate],
) -> None:
    app, fetched = FastAPI(), []

    def others() -> list[BaseRoute]:
        fetched.append("once")
        return [routes["/orders/{number}"]]

    app.state.lab = None
    app.router.routes.append(routes["/stock/{code}"])
    app.router.routes.append(FetchedLate(app.router.routes, others))
    pages = Pages(app)

    assert (pages.get("/stock/CIN-01").text, fetched) == ("CIN-01", [])
    assert (pages.get("/orders/41").text, fetched) == ("42", ["once"])
    assert (pages.get("/elsewhere").status_code, fetched) == (404, ["once"])
    pages.close()


def test_the_first_answer_waits_for_no_page_but_the_bench_and_the_others_come_after_it() -> None:
    told = subprocess.run([sys.executable, "-c", FIRST_ANSWER], check=True, capture_output=True, text=True)
    first, then = (line.split() for line in told.stdout.splitlines())

    assert (first[0], then[0]) == ("303", "200")
    assert "stillroom.web.bench" in first
    of_others = {f"stillroom.web.{one}" for one in ("ask", "orders", "stock", "testing", "spirit", "tracing")}
    assert of_others.isdisjoint(first)
    assert of_others <= set(then)
