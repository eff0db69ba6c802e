"""Pages asked for in the thread of the test: no socket, no second thread, no client of another library."""

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from unittest.mock import patch
from urllib.parse import unquote, urljoin, urlsplit

MOST_TURNS = 8
ADDRESS = ("127.0.0.1", 8017)


@dataclass(frozen=True)
class Got:
    """What came back."""

    status_code: int
    text: str


async def _here(work: Callable[..., Any], *given: Any, **_: Any) -> Any:
    return work(*given)


class Pages:
    """The pages of an application; an error in one is raised where it was asked for."""

    def __init__(self, app: Any) -> None:
        self._app = app
        self._loop = asyncio.new_event_loop()

    def close(self) -> None:
        self._loop.close()

    def get(self, address: str) -> Got:
        """Ask for a page, and go where it leads on to."""
        with patch("anyio.to_thread.run_sync", _here):
            for _ in range(MOST_TURNS):
                got, leads_to = self._loop.run_until_complete(self._get(address))
                if not leads_to:
                    return got
                address = urljoin(address, leads_to)
        raise AssertionError(f"{address} leads round and round")

    async def _get(self, address: str) -> tuple[Got, str]:
        parts = urlsplit(address)
        host = f"{ADDRESS[0]}:{ADDRESS[1]}"
        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": "GET",
            "scheme": "http",
            "path": unquote(parts.path),
            "raw_path": parts.path.encode(),
            "query_string": parts.query.encode(),
            "root_path": "",
            "headers": [(b"host", host.encode()), (b"accept", b"*/*")],
            "client": ("127.0.0.1", 50000),
            "server": ADDRESS,
            "state": {},
        }
        told: dict[str, Any] = {"status": 0, "body": []}

        async def receive() -> dict[str, Any]:
            return {"type": "http.request", "body": b"", "more_body": False}

        async def send(message: dict[str, Any]) -> None:
            if message["type"] == "http.response.start":
                told["status"], told["headers"] = message["status"], dict(message["headers"])
            elif message["type"] == "http.response.body":
                told["body"].append(message.get("body", b""))

        await self._app(scope, receive, send)
        got = Got(told["status"], b"".join(told["body"]).decode("utf-8", "replace"))
        return got, told["headers"].get(b"location", b"").decode()
