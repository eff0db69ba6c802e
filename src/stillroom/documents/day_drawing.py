"""The day as a drawing: time runs down, a column for each person and each place, and the line of now.

Hands are filled, watching is a framed strip beside them, what runs alone is dotted: they differ without colour too.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from stillroom.documents.blocks import River
from stillroom.documents.day_shown import DAY_MIN, Shown, on_day
from stillroom.documents.drawing_marks import BROWN, COPPER, DEEP, FADED, INK, PAPER, RULE, WATER, framed
from stillroom.schedule.bench import Bench
from stillroom.texts.catalogue import t, word

WHITE = "#FFFFFF"
HEAD, FOOT, LEFT = 34, 8, 46
STRIP = 0.36
LETTER = 6.6
LEAST_LABEL = 13.0


@dataclass(frozen=True, slots=True)
class Box:
    """A stretch in a column: its place across as shares of the column."""

    column: int
    begins_min: int
    ends_min: int
    left: float
    right: float
    kind: str
    text: str


def day_drawing(shown: Sequence[Shown], bench: Bench, day: int, now_min: int) -> River:
    """A day as a drawing, wide and tall.

    Parameters
    ----------
    day : int
        Counted from the beginning. [d]
    now_min : int
        [min]
    """
    mine = on_day(shown, day)
    heads, boxes = _columns(mine, bench, day)
    return River(
        _svg(heads, boxes, day, now_min, 760, 0.95),
        _svg(heads, boxes, day, now_min, 360, 0.95),
        in_words(mine),
    )


def in_words(shown: Sequence[Shown]) -> str:
    """The same for those who cannot see it: the list below it holds every stretch."""
    if not shown:
        return t("Nothing is laid out on this day.")
    return t("{count} stretches of work; the list below tells each with its time.", count=len(shown))


def _clock(minute: int, day: int) -> str:
    at = min(max(minute - day * DAY_MIN, 0), DAY_MIN)
    return f"{at // 60:02d}:{at % 60:02d}"


def _columns(shown: Sequence[Shown], bench: Bench, day: int) -> tuple[list[str], list[Box]]:
    """Heads of the columns and the boxes in them: people first, then every place that is taken."""
    people = [who.code for who in bench.people if any(one.person == who.code for one in shown)]
    heads = list(people)
    boxes: list[Box] = []
    for at, who in enumerate(people):
        watched = _lanes([one for one in shown if one.person == who and one.attention == "watch"])
        lanes = max(watched.values(), default=-1) + 1
        split = 1.0 - STRIP if lanes else 1.0
        for one in shown:
            if one.person == who and one.attention == "hands":
                boxes += _boxes(one, at, 0.0, split, day)
            elif one.person == who and one.attention == "watch":
                lane = watched[one.job, one.stretch]
                wide = STRIP / lanes
                boxes += _boxes(one, at, split + lane * wide, split + (lane + 1) * wide, day)
    for name in dict.fromkeys(place for one in shown for place in one.places):
        taking = [one for one in shown if name in one.places]
        placed = _lanes(taking)
        lanes = max(placed.values()) + 1
        heads.append(word(name))
        for one in taking:
            lane = placed[one.job, one.stretch]
            boxes += _boxes(one, len(heads) - 1, lane / lanes, (lane + 1) / lanes, day)
    alone = [one for one in shown if one.attention == "free" and not one.places]
    if alone:
        placed = _lanes(alone)
        lanes = max(placed.values()) + 1
        heads.append(t("runs alone"))
        for one in alone:
            lane = placed[one.job, one.stretch]
            boxes += _boxes(one, len(heads) - 1, lane / lanes, (lane + 1) / lanes, day)
    return heads, boxes


def _boxes(one: Shown, column: int, left: float, right: float, day: int) -> list[Box]:
    begins, ends = day * DAY_MIN, (day + 1) * DAY_MIN
    text = f"{one.step}, {one.job}"
    return [
        Box(column, max(a, begins), min(b, ends), left, right, "over" if one.is_over else one.attention, text)
        for a, b in one.pieces
        if a < ends and b > begins
    ]


def _lanes(shown: Sequence[Shown]) -> dict[tuple[str, str], int]:
    """A lane for each, so that none lies over another."""
    free_at: list[int] = []
    found: dict[tuple[str, str], int] = {}
    for one in sorted(shown, key=lambda each: each.begins_min):
        lane = next((at for at, until in enumerate(free_at) if until <= one.begins_min), len(free_at))
        free_at[lane : lane + 1] = [one.ends_min]
        found[one.job, one.stretch] = lane
    return found


def _svg(
    heads: Sequence[str], boxes: Sequence[Box], day: int, now_min: int, width: int, per_min: float
) -> str:
    attended = [one for one in boxes if one.kind != "free"] or list(boxes)
    first = min((one.begins_min for one in attended), default=day * DAY_MIN + 480) // 60 * 60
    last = -(-max((one.ends_min for one in attended), default=day * DAY_MIN + 1020) // 60) * 60
    height = HEAD + (last - first) * per_min + FOOT
    wide = (width - LEFT) / max(len(heads), 1)

    def y(minute: int) -> float:
        return HEAD + (min(max(minute, first), last) - first) * per_min

    parts = []
    for hour in range(first, last + 1, 60):
        parts.append(
            f'<line x1="{LEFT}" y1="{y(hour):.1f}" x2="{width}" y2="{y(hour):.1f}" stroke="{RULE}"/>'
        )
        parts.append(_text(LEFT - 6, y(hour) + 4, _clock(hour, day), FADED, anchor="end"))
    for at, head in enumerate(heads):
        parts.append(_text(LEFT + at * wide + 3, HEAD - 12, _cut(head, wide), INK, weight=600))
        if at:
            x = LEFT + at * wide
            parts.append(
                f'<line x1="{x:.1f}" y1="{HEAD - 8}" x2="{x:.1f}" y2="{y(last):.1f}" stroke="{RULE}"/>'
            )
    for one in boxes:
        if one.ends_min > first and one.begins_min < last:
            parts += _box(one, LEFT + one.column * wide + 2, wide - 4, y(one.begins_min), y(one.ends_min))
    if first <= now_min <= last:
        at_y = y(now_min)
        parts.append(
            f'<line x1="{LEFT}" y1="{at_y:.1f}" x2="{width}" y2="{at_y:.1f}" stroke="{COPPER}" stroke-width="2"/>'
        )
        parts.append(_text(width - 4, at_y - 4, t("now {at}", at=_clock(now_min, day)), COPPER, anchor="end"))
    return framed((width, height), t("The day, a column a person and a place"), "", parts)


def _box(one: Box, x: float, wide: float, top: float, bottom: float) -> list[str]:
    fill, stroke, dash, ink = {
        "hands": (BROWN, BROWN, "", WHITE),
        "watch": (PAPER, WATER, "", WATER),
        "free": ("none", FADED, "3 3", INK),
        "over": (DEEP, RULE, "", FADED),
    }[one.kind]
    left, across = x + one.left * wide, (one.right - one.left) * wide
    tall = max(bottom - top - 1, 2.0)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    thick = 2 if one.kind == "watch" else 1
    place = f'x="{left:.1f}" y="{top:.1f}" width="{max(across - 1, 2):.1f}" height="{tall:.1f}"'
    parts = [f'<rect {place} fill="{fill}" stroke="{stroke}" stroke-width="{thick}"{dashed}/>']
    if across < 44 and tall > 60:
        words = escape(one.text[: int(tall / LETTER)])
        middle, down = left + across / 2 + 4, top + 6
        turned = f'transform="translate({middle:.1f} {down:.1f}) rotate(90)"'
        parts.append(f'<text {turned} font-size="12" fill="{ink}">{words}</text>')
    elif tall >= LEAST_LABEL and across >= 30:
        parts.append(_text(left + 4, top + 12, _cut(one.text, across - 6), ink))
    return parts


def _cut(words: str, wide: float) -> str:
    most = max(int(wide / LETTER), 2)
    return words if len(words) <= most else f"{words[: most - 1]}…"


def _text(x: float, y: float, words: str, fill: str, *, anchor: str = "start", weight: int = 400) -> str:
    ours = (
        f' style="fill: {fill}"' if fill == WHITE else ""
    )  # the page's style must not darken it on a filled box
    place = f'x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"'
    return f'<text {place} font-size="12" font-weight="{weight}" fill="{fill}"{ours}>{escape(words)}</text>'
