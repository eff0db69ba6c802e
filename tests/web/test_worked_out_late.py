"""An address is worked out when somebody comes near it, once, whoever comes; until then it costs nothing."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import cast

import pytest
from fastapi import FastAPI
from fastapi.responses import PlainTextResponse
from starlette.routing import Match

from stillroom.web.duties import Addresses
from stillroom.web.worked_out_late import WorkedOutLate
from tests.pages_in_process import Pages

NEIGHBOURS = 8


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
