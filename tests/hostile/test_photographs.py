"""A photograph is drawn anew: no picture, too large a one or a bomb is refused, and nothing else of a file stays."""

import asyncio
import io
import os
import threading
import warnings
from concurrent.futures import ThreadPoolExecutor

import pytest
from PIL import Image

from stillroom.actions.house import photographs
from stillroom.actions.house.photographs import (
    keep_photograph,
    photograph,
    photograph_kept,
    sweep_photographs,
)
from stillroom.errors import BadEntry, BookTrouble
from stillroom.web import batch_sheet
from stillroom.web.app import AT_ONCE
from stillroom.web.request_body import MOST_PHOTOGRAPHS, photograph_in_turn

HTML = b"<html><script>alert(1)</script></html>"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'


def jpeg(size=(800, 600), **more) -> bytes:
    out = io.BytesIO()
    Image.effect_noise(size, 80).convert("RGB").save(out, "JPEG", **more)
    return out.getvalue()


def bomb() -> bytes:
    out = io.BytesIO()
    Image.new("1", (30_000, 30_000)).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize(
    "content", [HTML, SVG, b"", b"\x00" * 100, jpeg()[:2000], b"\xff\xd8\xff\xe0" + HTML, b"GIF89a" + HTML],
    ids=["html", "svg", "empty", "noughts", "cut off", "html named jpeg", "gif"],
)  # fmt: skip
def test_what_is_no_photograph_is_refused(house, content):
    before = house.digest()
    with pytest.raises(BadEntry):
        keep_photograph(house.lab, content)

    assert house.digest() == before


def test_a_picture_that_would_fill_the_memory_is_refused(house):
    small = bomb()
    with pytest.raises(BadEntry):
        keep_photograph(house.lab, small)

    assert len(small) < 200_000


@pytest.mark.parametrize("side", [9_500, 10_000, 30_000])
def test_too_many_pixels_are_told_in_a_sentence_and_warned_of_nowhere_else(side):
    out = io.BytesIO()
    Image.new("1", (side, side)).save(out, "PNG")
    with warnings.catch_warnings(record=True) as warned:
        warnings.simplefilter("always")
        with pytest.raises(BadEntry, match=rf"25 million pixels.*{side} × {side}"):
            photographs.plain_jpeg(out.getvalue())

    assert warned == []


def test_what_hangs_behind_a_picture_or_within_it_does_not_stay(house):
    exif = Image.Exif()
    exif[0x010E] = "somebody's home"
    exif[0x0112] = 6
    sent = jpeg((400, 200), exif=exif) + HTML
    kept = photograph(house.lab, keep_photograph(house.lab, sent))
    drawn = Image.open(io.BytesIO(kept))

    assert b"script" not in kept
    assert b"somebody" not in kept
    assert not drawn.getexif()
    assert drawn.size == (200, 400)


def test_a_large_photograph_is_made_small(house):
    kept = photograph(house.lab, keep_photograph(house.lab, jpeg((4000, 3000), quality=80)))

    assert max(Image.open(io.BytesIO(kept)).size) <= 2000
    assert len(kept) <= 600_000


def test_fifty_megabytes_are_refused_by_their_stated_length(house):
    before = house.digest()
    client = house.laptop()
    told = {"content-type": "multipart/form-data; boundary=b"}
    whole = client.post("/make/E1/sheet", content=b"x" * 50_000_000, headers=told)

    assert whole.status_code == 413
    assert "12 MB" in whole.text
    assert house.digest() == before


def test_a_photograph_goes_out_as_one(house):
    seal = keep_photograph(house.lab, jpeg())
    answer = house.laptop().get(f"/photographs/{seal}")

    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert house.laptop().get("/photographs/..%2f..%2fetc%2fpasswd").status_code == 404
    assert house.laptop().get(f"/photographs/{'0' * 64}").status_code == 404


def kept_files(house) -> list[str]:
    folder = house.lab.book.place.files
    return sorted(one.parent.name + one.name for one in folder.glob("??/*")) if folder.is_dir() else []


def test_a_photograph_whose_entry_is_refused_does_not_stay(house):
    named = keep_photograph(house.lab, jpeg((60, 40)))

    def refused() -> None:
        with photograph_kept(house.lab, jpeg((90, 60))) as seal:
            assert seal in kept_files(house)
            raise BadEntry("An entry must be one", "none")

    with pytest.raises(BadEntry):
        refused()
    assert kept_files(house) == [named]


def test_what_no_entry_names_is_swept_when_serving_begins_and_what_is_under_way_stays(house):
    old, new = (keep_photograph(house.lab, jpeg(size)) for size in ((60, 40), (90, 60)))
    now_s = house.clock().timestamp()
    for seal, age_s in ((old, 3700), (new, 60)):
        path = house.lab.book.place.files / seal[:2] / seal[2:]
        os.utime(path, (now_s - age_s, now_s - age_s))

    assert sweep_photographs(house.lab) == 1
    assert kept_files(house) == [new]


@pytest.mark.parametrize(
    ("kind", "more"),
    [("PNG", {}), ("JPEG", {"progressive": True}), ("WEBP", {"lossless": True, "quality": 0})],
)
def test_a_picture_that_must_be_read_whole_has_fewer_pixels(house, kind, more):
    out = io.BytesIO()
    Image.new("L", (5200, 5000)).convert("RGB").save(out, kind, **more)
    with pytest.raises(BadEntry, match="25 million pixels"):
        keep_photograph(house.lab, out.getvalue())


def test_one_photograph_is_drawn_at_a_time(house, monkeypatch):
    at_once, most = [], []

    def drawing(content):
        at_once.append(content)
        most.append(len(at_once))
        threading.Event().wait(0.01)
        at_once.pop()
        return jpeg((10, 10))

    monkeypatch.setattr(photographs, "plain_jpeg", drawing)
    threads = [threading.Thread(target=keep_photograph, args=(house.lab, b"x")) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()

    assert most == [1] * 8


def test_photographs_wait_outside_one_after_another_and_too_many_are_told_to_come_again():
    """Where they waited within, as many as are worked on at a time would hold up every page."""
    within, most, told = [], [], []

    async def comes(number: int) -> None:
        try:
            async with photograph_in_turn():
                within.append(number)
                most.append(len(within))
                await asyncio.sleep(0)
                within.remove(number)
        except BookTrouble as error:
            told.append(error.sentence)

    async def all_come() -> None:
        await asyncio.gather(*(comes(number) for number in range(MOST_PHOTOGRAPHS + 2)))
        await comes(0)  # and whoever comes later finds the place free again

    asyncio.run(all_come())

    assert most == [1] * (MOST_PHOTOGRAPHS + 1)
    assert len(told) == 2
    assert "Send it again" in told[0]


def test_of_many_sheets_with_a_photograph_one_is_worked_on(house, monkeypatch):
    """A page finds a place beside them: of those that are worked on at a time they take one."""
    at_once, most = [], []

    def works(_: object, batch: str) -> None:
        at_once.append(batch)
        most.append(len(at_once))
        threading.Event().wait(0.01)
        at_once.remove(batch)
        raise BadEntry("A batch must be there", batch)

    monkeypatch.setattr(batch_sheet, "steps_in_hand", works)
    client = house.laptop()

    def sends(number: int) -> int:
        sent = {"photograph": ("sheet.jpg", jpeg((10, 10)), "image/jpeg")}
        return client.post(f"/make/E{number}/sheet", files=sent).status_code

    with ThreadPoolExecutor(AT_ONCE) as some:
        assert list(some.map(sends, range(AT_ONCE))) == [422] * AT_ONCE
    assert most == [1] * AT_ONCE
