"""A photograph is drawn anew: no picture, too large a one or a bomb is refused, and nothing else of a file stays."""

import io

import pytest
from PIL import Image

from stillroom.actions.house.photographs import keep_photograph, photograph
from stillroom.errors import BadEntry

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
