"""Words beside the river: how wide they are, where they break, and the box each of them may fill.

Boxes never share room: a name at a gate ends before the next gate, a pool's name before its neighbour's. What
does not fit its box is cut with "…"; the words of the stream always say it in full.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stillroom.documents.stream_bends import Bend, grams_text

LINE = 1.25


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text and the box they may fill [px, on the page].

    ``left``, ``top``, ``width``, ``height``: the box [px].
    """

    lines: tuple[str, ...]
    left: float
    top: float
    width: float
    height: float
    anchor: Literal["start", "middle"]
    """Side of the box the lines lean on."""
    size: float
    """Height of the letters [px]."""
    name_lines: int
    """How many lines are the name; those after it are figures and fainter."""
    bold: bool = False
    href: str = ""
    """Page the name opens; "" when there is none."""


def text_width(text: str, size: float) -> float:
    """A width the text will not pass, for the sans of the pages [px]."""
    return size * sum(_letter_width(one) for one in text)


def _letter_width(one: str) -> float:
    if one in " .,:;iljtfrI|'()·":
        return 0.32
    if one in "mwMW%@—" or ord(one) > 0x24F:
        return 0.86
    return 0.66 if one.isupper() else 0.56


def wrapped(text: str, width: float, size: float, most: int) -> tuple[str, ...]:
    """The text in at most ``most`` lines of ``width`` [px]; what does not fit ends in "…"."""
    lines: list[str] = [""]
    for word in text.split() or [""]:
        trial = f"{lines[-1]} {word}".strip()
        if text_width(trial, size) <= width or not trial:
            lines[-1] = trial
            continue
        if lines[-1]:
            lines.append("")
        while text_width(word, size) > width and len(word) > 1:
            fits = max((n for n in range(1, len(word)) if text_width(word[:n], size) <= width), default=1)
            lines[-1] = word[:fits]
            lines.append("")
            word = word[fits:]
            if len(lines) > most:
                break
        lines[-1] = word
    if len(lines) > most:
        last = lines[most - 1]
        while last and text_width(last + "…", size) > width:
            last = last[:-1]
        lines = [*lines[: most - 1], last.rstrip() + "…"]
    return tuple(lines)


def label(
    name: tuple[str, ...],
    figures: tuple[str, ...],
    box: tuple[float, float, float],
    size: float,
    *,
    middle: bool = False,
    bold: bool = False,
    href: str = "",
) -> Label:
    """A label from its lines and the left, top and width of its box [px]."""
    lines = (*name, *figures)
    anchor: Literal["start", "middle"] = "middle" if middle else "start"
    return Label(lines, *box, len(lines) * size * LINE, anchor, size, len(name), bold, href)


def spread_text(bend: Bend, room: float, size: float) -> str:
    """The 5 % and 95 % of a bend as "6.6-8.2 g"; without the unit where room is short, "" without spread."""
    if bend.low_5 >= bend.high_95:
        return ""
    text = f"{grams_text(bend.low_5)[:-2]}–{grams_text(bend.high_95)}"
    return text if text_width(text, size) <= room else text[:-2]


def broad_gate_label(bend: Bend, along: float, room: float, size: float) -> Label:
    """Name and grams to the right of a gate, above the river."""
    name = wrapped(bend.step_name, room, size, 3)
    spread = spread_text(bend, room, size)
    figures = (grams_text(bend.grams_out), *((spread,) if spread else ()))
    return label(name, figures, (along + 6, 4, room), size, bold=True, href=bend.href)


def tall_gate_label(bend: Bend, along: float, left: float, room: float, size: float) -> Label:
    """Name and grams on top of a gate, beside the river."""
    name = wrapped(bend.step_name, room, size, 2)
    spread = spread_text(bend, room, size)
    figures = (grams_text(bend.grams_out) + (f"  ({spread})" if spread else ""),)
    top = along - (len(name) + 1) * size * LINE - 4
    return label(name, figures, (left, top, room), size, bold=True, href=bend.href)


def broad_pool_labels(
    names: Sequence[tuple[str, float]], middles: Sequence[float], top: float, length: float, size: float
) -> list[Label]:
    """Names and grams under the pools, each within half the way to its neighbours."""
    found = []
    for number, (name, grams) in enumerate(names):
        here = middles[number]
        before = middles[number - 1] if number else -here
        after = middles[number + 1] if number + 1 < len(middles) else 2 * length - here
        room = min(here - before, after - here) - 5
        found.append(
            label(
                wrapped(name, room, size, 4),
                (grams_text(grams),),
                (here - room / 2, top, room),
                size,
                middle=True,
            )
        )
    return found


def tall_pool_label(
    name: str, grams: float, middle: float, not_above: float, left: float, room: float, size: float
) -> Label:
    """Name and grams to the right of a pool, never reaching over the gate above."""
    lines = wrapped(f"{name}  {grams_text(grams)}", room, size, 2)
    top = max(not_above, middle - len(lines) * size * LINE / 2)
    return label(lines, (), (left, top, room), size)
