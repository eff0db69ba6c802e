"""The stream drawing: the active as a river from the plant to the bottles, width to scale.

Promises a drawing that stands alone (no style sheet needed), prints in black and white, carries a title and a
description, and links each bend to its step. Every name is escaped. The thin line in the river is the middle
estimate; the pale edge lies between the 5 % and the 95 % draw. Refuses a stream that does not close in mass.
"""

from collections.abc import Sequence
from html import escape
from itertools import pairwise

from stillroom.documents.drawing_marks import BROWN, FADED, INK, LEAF
from stillroom.documents.stream_bends import Bend, Pool, check_closure, grams_text
from stillroom.documents.stream_labels import LINE, Label
from stillroom.documents.stream_layout import ARC_PX, Course, Layout, Ribbon, Station, lay_out
from stillroom.texts.catalogue import between, t

__all__ = ["Bend", "Pool", "stream_in_words", "stream_svg"]

_TURNED = {"broad": False, "tall": True}


def stream_svg(
    bends: Sequence[Bend],
    *,
    width_px: float | None = None,
    layout: Layout = "broad",
    begins: str | None = None,
    ends: str | None = None,
) -> str:
    """Draw the stream.

    Parameters
    ----------
    bends : sequence of Bend
        In the order of the flow; grams close at each of them [g].
    width_px : float, optional
        Width of the drawing [px]; 960 broad, 360 tall. The broad drawing grows when its labels need room.
    layout : "broad" or "tall"
        Left to right with losses leaving downwards, or, for a phone, top to bottom with losses sideways.
    begins, ends : str or None
        Words at the source and at the mouth; the plant and the bottles where none are given.

    Returns
    -------
    str
        One ``<svg>`` element.

    Raises
    ------
    BadEntry
        A step gives out more or less than it takes in, or a figure is negative.
    """
    begins, ends = _source_and_mouth(begins, ends)
    course = lay_out(bends, width_px or (960 if layout == "broad" else 360), layout, begins, ends)
    turned = _TURNED[layout]
    title = f"{grams_text(bends[0].grams_in)} {begins}, {grams_text(bends[-1].grams_out)} {ends}"
    size = f"{course.width:.0f} {course.height:.0f}"
    role = "group" if any(one.href for one in bends) else "img"  # what holds links may not be one picture
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="stream-drawing" viewBox="0 0 {size}" '
        f'width="{course.width:.0f}" height="{course.height:.0f}" role="{role}" font-family="Stillroom Sans">'
    )
    said = stream_in_words(bends, begins=begins, ends=ends)
    parts = [opening, f"<title>{_safe(title)}</title>", f"<desc>{_safe(said)}</desc>"]
    parts += [_ribbon(one, turned) for one in course.ribbons]
    parts.append(_body(course, "river", "bank", "low", 0.62, turned))
    parts.append(_body(course, "spread", "low", "high", 0.26, turned))
    parts.append(
        f'<path class="middle" d="{_edge(course.stations, "middle", turned)}" fill="none" stroke="{LEAF}" '
        'stroke-width="1.2"/>'
    )
    parts += _gates(course, turned)
    named = {id(gate.label) for gate in course.gates}
    parts += [_text(label) for label in course.labels if id(label) not in named]
    parts.append(_leaf(course, turned) + _bottle(course, turned))
    parts.append("</svg>")
    return "\n".join(parts)


def stream_in_words(bends: Sequence[Bend], *, begins: str | None = None, ends: str | None = None) -> str:
    """The same stream for those who cannot see it.

    Parameters
    ----------
    bends : sequence of Bend
        In the order of the flow [g].
    begins, ends : str or None
        Words at the source and at the mouth; the plant and the bottles where none are given.

    Returns
    -------
    str
        Sentences; plain text, not escaped.

    Raises
    ------
    BadEntry
        The stream does not close.
    """
    check_closure(bends)
    begins, ends = _source_and_mouth(begins, ends)
    first, last = bends[0].grams_in, bends[-1].grams_out
    said = [
        t("The stream starts with {first} of the active {begins}.", first=grams_text(first), begins=begins)
    ]
    for bend in bends:
        spread = ""
        if bend.low_5 < bend.high_95:
            spread = f" (5–95 %: {between(grams_text(bend.low_5), grams_text(bend.high_95))})"
        lost = [f"{one.name} {grams_text(one.grams)}" for one in bend.losses if one.grams > 0]
        away = t("; leaving it: {lost}", lost=_listed(lost)) if lost else t("; nothing is lost")
        said.append(
            t(
                "{step}: {grams} goes on{spread}{away}.",
                step=bend.step_name,
                grams=grams_text(bend.grams_out),
                spread=spread,
                away=away,
            )
        )
    said.append(
        t(
            "{last} ends {ends}: {percent:.0f} % of what was {begins}.",
            last=grams_text(last),
            ends=ends,
            percent=100 * last / first,
            begins=begins,
        )
    )
    return " ".join(said)


def _source_and_mouth(begins: str | None, ends: str | None) -> tuple[str, str]:
    return (
        t("in the plant") if begins is None else begins,
        t("in the bottles") if ends is None else ends,
    )


def _listed(parts: Sequence[str]) -> str:
    if len(parts) == 1:
        return parts[0]
    return t("{first} and {last}", first=", ".join(parts[:-1]), last=parts[-1])


def _safe(text: str) -> str:
    return escape("".join(ch if ch.isprintable() else " " for ch in text), quote=True)


def _at(along: float, across: float, turned: bool) -> str:
    return f"{across:.2f} {along:.2f}" if turned else f"{along:.2f} {across:.2f}"


def _edge(stations: Sequence[Station], bank: str, turned: bool, back: bool = False) -> str:
    """One bank as a path: level stretches joined by curves that start and end along the flow."""
    order = list(reversed(stations)) if back else list(stations)
    path = [("L" if back else "M") + _at(order[0].along, getattr(order[0], bank), turned)]
    for here, there in pairwise(order):
        start, end = getattr(here, bank), getattr(there, bank)
        if here.along == there.along or abs(start - end) < 1e-9:
            path.append("L" + _at(there.along, end, turned))
            continue
        half = (here.along + there.along) / 2
        path.append(
            "C" + " ".join((_at(half, start, turned), _at(half, end, turned), _at(there.along, end, turned)))
        )
    return " ".join(path)


def _body(course: Course, name: str, one: str, other: str, opacity: float, turned: bool) -> str:
    outline = (
        _edge(course.stations, one, turned) + " " + _edge(course.stations, other, turned, back=True) + " Z"
    )
    return f'<path class="{name}" d="{outline}" fill="{LEAF}" fill-opacity="{opacity}"/>'


def _ribbon(ribbon: Ribbon, turned: bool) -> str:
    """A loss: level from its gate to its turn, a quarter of a circle, then straight to its pool."""
    inner, outer = ARC_PX, ARC_PX + ribbon.width
    left, right = ribbon.turn + inner, ribbon.turn + outer
    sweep, other = ("0", "1") if turned else ("1", "0")
    path = " ".join(
        (
            "M" + _at(ribbon.gate, ribbon.near, turned),
            "L" + _at(ribbon.turn, ribbon.near, turned),
            f"A{outer:.2f} {outer:.2f} 0 0 {sweep} " + _at(right, ribbon.far + inner, turned),
            "L" + _at(right, ribbon.pool, turned),
            "L" + _at(left, ribbon.pool, turned),
            "L" + _at(left, ribbon.far + inner, turned),
            f"A{inner:.2f} {inner:.2f} 0 0 {other} " + _at(ribbon.turn, ribbon.far, turned),
            "L" + _at(ribbon.gate, ribbon.far, turned),
            "Z",
        )
    )
    brim, deep = 9.0, ribbon.pool + 8
    corners = (
        (left - brim, deep), (left - 2, deep), (left, deep),
        (right, deep), (right + 2, deep), (right + brim, deep), (right + brim, ribbon.pool),
    )  # fmt: skip
    c = [_at(along, across, turned) for along, across in corners]
    basin = f"M{_at(left - brim, ribbon.pool, turned)} C{c[0]} {c[1]} {c[2]} L{c[3]} C{c[4]} {c[5]} {c[6]}"
    return (
        f'<path class="loss" d="{path}" fill="{FADED}" fill-opacity="0.34"/>'
        f'<path class="loss" d="{basin} Z" fill="{FADED}" fill-opacity="0.34"/>'
        f'<path class="basin" d="{basin}" fill="none" stroke="{INK}" stroke-width="1"/>'
    )


def _gates(course: Course, turned: bool) -> list[str]:
    parts = []
    for gate in course.gates:
        across = f"M{_at(gate.along, gate.across_from, turned)} L{_at(gate.along, gate.across_to, turned)}"
        line = f'<path class="gate" d="{across}" fill="none" stroke="{INK}" stroke-opacity="0.5"/>'
        words = _text(gate.label)
        if gate.bend.href:
            box = gate.label
            touch = (
                f'<rect x="{box.left - 6:.1f}" y="{box.top - 2:.1f}" width="{box.width + 8:.1f}" '
                f'height="{max(box.height + 4, 44):.1f}" fill="none" pointer-events="all"/>'
            )
            words = f'<a href="{_safe(gate.bend.href)}">{touch}{words}</a>'
        parts.append(line + words)
    return parts


def _text(label: Label) -> str:
    x = label.left + (label.width / 2 if label.anchor == "middle" else 0)
    parts = []
    for number, line in enumerate(label.lines):
        y = label.top + label.size * (0.95 + LINE * number)
        kind, colour = "faded", FADED
        if number < label.name_lines:
            kind, colour = ("name", BROWN) if label.href else ("plain", INK)
        weight = ' font-weight="600"' if label.bold and number < label.name_lines else ""
        parts.append(
            f'<text class="{kind}" x="{x:.1f}" y="{y:.1f}" font-size="{label.size:g}"{weight} '
            f'text-anchor="{label.anchor}" fill="{colour}">{_safe(line)}</text>'
        )
    return "".join(parts)


def _thing(path: str, x: float, y: float) -> str:
    return (
        f'<path class="thing" transform="translate({x:.1f} {y:.1f})" d="{path}" fill="none" stroke="{INK}" '
        'stroke-width="1.2" stroke-linecap="round" stroke-linejoin="round"/>'
    )


def _leaf(course: Course, turned: bool) -> str:
    """A leaf at the source: a stalk, an outline and its veins."""
    first = course.stations[0]
    middle = (first.bank + first.middle) / 2
    path = "M-6 6C-2 2 2 -2 8 -8M0 0C-6 -16 8 -28 26 -28C27 -10 16 4 0 0ZM8 -8L9 -17M8 -8L17 -9M14 -15L15 -22"
    return _thing(path, *((middle - 12, 42) if turned else (30, middle + 10)))


def _bottle(course: Course, turned: bool) -> str:
    """A bottle at the mouth."""
    last = course.stations[-1]
    middle = (last.bank + last.middle) / 2
    path = "M-4 0H4V8C4 12 11 13 11 19V42H-11V19C-11 13 -4 12 -4 8ZM-4 4H4M-11 24H11M-11 36H11"
    return _thing(path, *((middle, last.along + 8) if turned else (last.along + 24, middle - 22)))
