"""A photograph beside an entry: looked at whole, drawn anew small and plain, filed by its hash.

What is kept is a new picture made from the pixels alone: nothing of what came with them (place, time, camera,
profile, hidden files) goes along. A picture a phone can show is taken whatever its name; all else is refused.
Colours are not corrected: a result read from a photograph needs the uncorrected one.
"""

import struct
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from io import BytesIO
from threading import Lock
from typing import TYPE_CHECKING

from stillroom.actions.book.laboratory import Laboratory
from stillroom.errors import BadEntry, UnknownName, worded

if TYPE_CHECKING:
    from PIL.Image import Image

LARGEST_BYTES = 12_000_000
MOST_PIXELS = 60_000_000
MOST_DRAWN_WHOLE = 25_000_000
"""Pixels of a picture that cannot be read at a fraction of its size: all but a plain JPEG. [1]"""
UNDER_WAY = timedelta(hours=1)
"""So long a photograph may lie before the entry that names it is written (chosen)."""
LONGEST_SIDE_PX = 2000
KEPT_BYTES = 600_000
QUALITIES = (85, 75, 65, 55, 45)
KINDS = ("JPEG", "PNG", "WEBP")
_BEGINS = b"\xff\xd8\xff"
_one_at_a_time = Lock()


def keep_photograph(lab: Laboratory, content: bytes) -> str:
    """Keep a photograph beside the book, before the entry that names it.

    Parameters
    ----------
    content : bytes
        As a phone sent it.

    Returns
    -------
    str
        Its seal: ``writer.enter(..., attachments=(seal,))``.

    Raises
    ------
    BadEntry
        It is too large, is no picture, or is not whole.
    """
    with _one_at_a_time:
        drawn = plain_jpeg(content)
    return lab.book.attach(drawn)


@contextmanager
def photograph_kept(lab: Laboratory, content: bytes | None) -> Iterator[str]:
    """The seal of a photograph while its entry is written; where that is refused, it does not stay.

    Parameters
    ----------
    content : bytes or None
        As a phone sent it; None gives "".

    Raises
    ------
    BadEntry
        As ``keep_photograph``.
    """
    seal = keep_photograph(lab, content) if content else ""
    try:
        yield seal
    except BaseException:
        if seal:
            lab.book.let_go(seal)
        raise


def sweep_photographs(lab: Laboratory) -> int:
    """Take away what was kept for entries that were never written, and tell how many. Done when serving begins."""
    if lab.book.place.is_read_only:
        return 0
    return lab.book.sweep((lab.clock() - UNDER_WAY).timestamp())


def photograph(lab: Laboratory, seal: str) -> bytes:
    """A photograph that was kept, as JPEG.

    Raises
    ------
    UnknownName
        No photograph is filed under it.
    """
    content = lab.book.attachment(seal)
    if not content.startswith(_BEGINS):
        raise UnknownName(worded("{seal!r} is not a photograph", seal=seal[:12]), do="Open it from its entry")
    return content


def plain_jpeg(content: bytes) -> bytes:
    """A photograph drawn anew: upright, without anything but its pixels, small enough to keep.

    Raises
    ------
    BadEntry
        It is too large, is no picture, or is not whole.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    if len(content) > LARGEST_BYTES:
        raise _refused(
            f"A photograph weighs {LARGEST_BYTES / 1e6:.0f} MB at most", f"{len(content) / 1e6:.1f} MB"
        )
    Image.MAX_IMAGE_PIXELS = None  # the bounds here are narrower, and are held before anything is drawn
    try:
        with Image.open(BytesIO(content), formats=KINDS) as sent:
            in_parts = sent.format == "JPEG" and not sent.info.get("progressive")
            most = MOST_PIXELS if in_parts else MOST_DRAWN_WHOLE
            if sent.width * sent.height > most:
                raise _refused(
                    f"A photograph of this kind has {most / 1e6:.0f} million pixels at most",
                    f"{sent.width} × {sent.height}",
                )
            sent.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
            sent.load()
            drawn = _on_white(ImageOps.exif_transpose(_smaller(sent)))
    except UnidentifiedImageError:
        raise _refused(
            "A photograph must be a picture, as JPEG, PNG or WebP", "another kind of file"
        ) from None
    except (OSError, SyntaxError, ValueError, TypeError, EOFError, KeyError, IndexError, struct.error):
        raise _refused("A photograph must be whole", "one that breaks off or cannot be read") from None
    return _small_enough(drawn)


def _smaller(sent: "Image") -> "Image":
    """The picture at the size it is kept in, before anything else is made of it."""
    from PIL import Image

    clear = "A" in sent.getbands() or "transparency" in sent.info
    told = sent.getexif()
    drawn = sent.convert("RGBA" if clear else "RGB")
    drawn.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX), Image.Resampling.LANCZOS)
    drawn.info = {"exif": told.tobytes()} if told else {}
    return drawn


def _on_white(sent: "Image") -> "Image":
    """The pixels on white paper, in a picture that knows nothing else."""
    from PIL import Image

    clear = sent.convert("RGBA") if "A" in sent.getbands() or "transparency" in sent.info else None
    drawn = Image.new("RGB", sent.size, "white")
    if clear is None:
        drawn.paste(sent.convert("RGB"))
    else:
        drawn.paste(clear, mask=clear.getchannel("A"))
    return drawn


def _small_enough(drawn: "Image") -> bytes:
    while True:
        for quality in QUALITIES:
            into = BytesIO()
            drawn.save(into, "JPEG", quality=quality, optimize=True)
            if into.tell() <= KEPT_BYTES:
                return into.getvalue()
        drawn = drawn.reduce(2)


def _refused(must: str, got: str) -> BadEntry:
    return BadEntry(must, got, "Take another, or send the form without", where="photograph")
