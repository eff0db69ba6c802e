"""Which letters the fonts of the sheets can print, read from the font files themselves.

A letter that every font lacks would come out as an empty box on a certificate: it is printed as its code point and
its name in words. Every family of the sheets falls back to the sans, and the sans to ``fallback-*.ttf``.
"""

import struct
import unicodedata
from functools import cache
from pathlib import Path

FONTS = Path(__file__).parent / "fonts"
_SANS = FONTS / "stillroom-sans-regular.ttf"
_UNSEEN = {ord("\n"), 0xAD, 0x200B, 0x200C, 0x200D}
"""Controls that do no harm: line end, soft hyphen, and what joins and parts letters."""
_SEGMENTED = 4  # the two ways a font may list its letters, by their number in the OpenType standard
_GROUPED = 12


@cache
def printable_letters(font: Path = _SANS) -> frozenset[int]:
    """Code points with a drawn letter in the font.

    Parameters
    ----------
    font : Path
        A TrueType file.

    Notes
    -----
    Reads the ``cmap`` table, formats 4 and 12 (ISO/IEC 14496-22, section 5.2.1).
    """
    raw = font.read_bytes()
    (tables,) = struct.unpack_from(">H", raw, 4)
    at = next(
        struct.unpack_from(">I", raw, 12 + 16 * number + 8)[0]
        for number in range(tables)
        if raw[12 + 16 * number : 16 + 16 * number] == b"cmap"
    )
    (lists,) = struct.unpack_from(">H", raw, at + 2)
    found: set[int] = set()
    for number in range(lists):
        start = at + struct.unpack_from(">I", raw, at + 4 + 8 * number + 4)[0]
        (form,) = struct.unpack_from(">H", raw, start)
        if form == _SEGMENTED:
            found |= _segmented(raw, start)
        elif form == _GROUPED:
            (groups,) = struct.unpack_from(">I", raw, start + 12)
            for group in range(groups):
                first, last, _ = struct.unpack_from(">III", raw, start + 16 + 12 * group)
                found |= set(range(first, last + 1))
    return frozenset(found - {0xFFFF})


@cache
def letters_of_sheets() -> frozenset[int]:
    """Code points that a sheet can draw: of the sans and its fallbacks, without controls that turn words round."""
    fonts = (_SANS, *sorted(FONTS.glob("fallback-*.ttf")))
    drawn = {one for font in fonts for one in printable_letters(font)}
    controls = {one for one in drawn if unicodedata.category(chr(one)) in ("Cc", "Cf")}
    return frozenset((drawn - controls) | _UNSEEN)


def in_printable_letters(words: str) -> str:
    """Words with each letter that no font can draw as its code point and name: "⟨U+1F33F herb⟩".

    Parameters
    ----------
    words : str
        As a person wrote them, in any script.
    """
    can = letters_of_sheets()
    if all(ord(one) in can for one in words):
        return words
    return "".join(one if ord(one) in can else _in_words(one) for one in words)


def _in_words(letter: str) -> str:
    name = unicodedata.name(letter, "").casefold()
    return f"⟨U+{ord(letter):04X} {name}⟩" if name else f"⟨U+{ord(letter):04X}⟩"


def _segmented(raw: bytes, start: int) -> set[int]:
    (doubled,) = struct.unpack_from(">H", raw, start + 6)
    count = doubled // 2
    ends = struct.unpack_from(f">{count}H", raw, start + 14)
    firsts = struct.unpack_from(f">{count}H", raw, start + 16 + doubled)
    deltas = struct.unpack_from(f">{count}H", raw, start + 16 + 2 * doubled)
    offsets_at = start + 16 + 3 * doubled
    offsets = struct.unpack_from(f">{count}H", raw, offsets_at)
    found = set()
    for number in range(count):
        for point in range(firsts[number], ends[number] + 1):
            if offsets[number]:
                place = offsets_at + 2 * number + offsets[number] + 2 * (point - firsts[number])
                (glyph,) = struct.unpack_from(">H", raw, place)
                glyph = (glyph + deltas[number]) & 0xFFFF if glyph else 0
            else:
                glyph = (point + deltas[number]) & 0xFFFF
            if glyph:
                found.add(point)
    return found
