"""A body that says no length is read no further than a photograph may weigh, by laptop and by phone."""

import asyncio

import pytest

MOST_PARTS = 14  # of a megabyte: 12 MB of photograph, 1 MB of form, and the one that was too much


def scope_of(app, client) -> dict:
    host = str(client.base_url.host)
    cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    told = {
        "host": client.base_url.netloc.decode(),
        "content-type": "multipart/form-data; boundary=b",
        "cookie": cookie,
    }
    return {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http",
        "path": "/laboratory/conditions/new", "raw_path": b"/laboratory/conditions/new", "query_string": b"",
        "root_path": "", "headers": [(name.encode(), value.encode()) for name, value in told.items()],
        "client": (host, 50_000), "server": (host, client.base_url.port), "app": app,
    }  # fmt: skip


@pytest.mark.parametrize("door", ["laptop", "phone"])
def test_fifty_megabytes_without_a_length_are_not_read_whole(house, door):
    read, answers = [], []
    head = b'--b\r\nContent-Disposition: form-data; name="photograph"; filename="a.jpg"\r\n\r\n'

    async def receive() -> dict:
        read.append(1)
        body = head if len(read) == 1 else b"\xff" * 1_000_000
        return {"type": "http.request", "body": body, "more_body": len(read) < 51}

    async def send(message: dict) -> None:
        answers.append(message)

    scope, before = scope_of(house.app, getattr(house, door)()), house.digest()
    asyncio.run(house.app(scope, receive, send))

    assert answers[0]["status"] == 413
    assert len(read) - 1 <= MOST_PARTS
    assert house.digest() == before


@pytest.mark.parametrize("kind", ["multipart/form-data; boundary=b", "application/x-www-form-urlencoded"])
def test_whoever_goes_away_in_the_middle_of_a_form_breaks_nothing(house, kind):
    """Each such line wrote sixty lines into the log."""
    parts = iter(
        [{"type": "http.request", "body": b"--b\r\n", "more_body": True}, {"type": "http.disconnect"}]
    )
    answers = []

    async def receive() -> dict:
        return next(parts)

    async def send(message: dict) -> None:
        answers.append(message)

    scope, before = scope_of(house.app, house.laptop()), house.digest()
    scope["headers"] = [
        (name, kind.encode() if name == b"content-type" else value) for name, value in scope["headers"]
    ]
    asyncio.run(house.app(scope, receive, send))

    assert answers[0]["status"] < 500
    assert house.digest() == before
