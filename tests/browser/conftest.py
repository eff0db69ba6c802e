"""A laboratory served to a real browser: the practice story told to its end, with one batch just begun."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import pytest
from fastapi import FastAPI

from stillroom.actions.keeping_answers import keep
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.shelf.goods_under_way import Wanted, order_goods
from stillroom.web.app import make_app
from tests.practice import copied, opened


@contextmanager
def served(app: FastAPI) -> Iterator[str]:
    """Serve an application on a free port of this machine; gives its address."""
    import uvicorn

    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="warning", lifespan="off", ws="none", http="h11", timeout_keep_alive=60)
    )
    serving = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    serving.start()
    try:
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
    finally:
        server.should_exit = True
        serving.join(timeout=10)


@dataclass(frozen=True)
class Practice:
    """Where the pages of the told practice laboratory are, and the entry of an answer kept in it."""

    address: str
    kept: int


@pytest.fixture(scope="session")
def practice_pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Practice]:
    """The told practice laboratory, served, with a batch just begun and an answer just kept."""
    asked = {
        "have": "96",
        "known-by": "label",
        "want": "70",
        "amount": "5",
        "amount-as": "L wanted",
        "temperature": "31",
    }
    with opened(copied(tmp_path_factory.mktemp("told"))) as lab:
        begin_batch(lab, "E2", "bark-extract", "100 g", by="TO")
        kept = keep(lab, "dilute", asked, by="TO").entries[-1]
        order_goods(lab, [Wanted("glycerin", "1 kg")], "Invented Chemicals", "2026-12-01", by="TO")
        with served(make_app(lab)) as address:
            yield Practice(address, kept)
