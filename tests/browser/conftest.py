"""A laboratory served to a real browser: the practice story told to its end, with one batch just begun."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from fastapi import FastAPI

from stillroom.actions.making import begin_batch
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


@pytest.fixture(scope="session")
def practice_pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of the pages of the told practice laboratory."""
    with opened(copied(tmp_path_factory.mktemp("told"))) as lab:
        begin_batch(lab, "E2", "bark-extract", "100 g", by="TO")
        with served(make_app(lab)) as address:
            yield address
