"""Where the river runs: banks, ribbons and labels of the stream drawing, before any of it becomes SVG.

Promises that every width is grams times one scale, that what goes in equals what comes out plus the pools, and
that no two labels share room. Knows two directions only: *along* the flow and *across* it (losses on the far side),
so that the broad and the tall drawing are one geometry turned over. Says nothing of colours or of SVG.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stillroom.errors import BadEntry
from stillroom.quantities.rounding import to_significant

Layout = Literal["broad", "tall"]
CLOSE_ENOUGH = 1e-6
ARC_PX = 9.0


@dataclass(frozen=True, slots=True)
class Pool:
    """A named loss: where grams of the active went that did not go on."""

    name: str
    grams: float


@dataclass(frozen=True, slots=True)
class Bend:
    """One step of the stream.

    Attributes
    ----------
    step_name : str
    grams_in, grams_out : float
        Active before and after the step [g].
    low_5, high_95 : float
        Between these lie 90 of 100 draws of what leaves the step [g].
    losses : tuple of Pool
        Their grams and ``grams_out`` sum to ``grams_in``.
    href : str
        Page of the step, on this server; "" when there is none.
    """

    step_name: str
    grams_in: float
    grams_out: float
    low_5: float
    high_95: float
    losses: tuple[Pool, ...] = ()
    href: str = ""


@dataclass(frozen=True, slots=True)
class Station:
    """The banks at one place along the flow [px]: the loss-side bank, the middle estimate, 5 % and 95 %."""

    along: float
    bank: float
    middle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Ribbon:
    """A loss leaving the river [px]: it parts at ``gate``, turns at ``turn`` and ends at ``pool`` across."""

    loss: Pool
    gate: float
    turn: float
    near: float
    far: float
    pool: float

    @property
    def width(self) -> float:
        """Width of the ribbon [px]."""
        return self.far - self.near


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text and the box they may fill [px, on the page]."""

    lines: tuple[str, ...]
    left: float
    top: float
    width: float
    height: float
    anchor: Literal["start", "middle", "end"]
    size: float
    faded_from: int
    bold: bool = False
    of: str = ""
    href: str = ""


@dataclass(frozen=True, slots=True)
class Gate:
    """The place of a step, marked across the river [px]."""

    bend: Bend
    along: float
    across_from: float
    across_to: float
    label: Label


@dataclass(frozen=True, slots=True)
class Course:
    """The whole drawing in numbers."""

    layout: Layout
    width: float
    height: float
    px_per_g: float
    stations: tuple[Station, ...]
    ribbons: tuple[Ribbon, ...]
    gates: tuple[Gate, ...]
    labels: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class _Rules:
    thickness: float
    size: float
    lead: float
    tail: float
    ends: float
    per_loss: float
    pool_gap: float
    sway: float


_BROAD = _Rules(thickness=118, size=15, lead=10, tail=28, ends=96, per_loss=84, pool_gap=50, sway=5)
_TALL = _Rules(thickness=92, size=15, lead=56, tail=10, ends=58, per_loss=44, pool_gap=34, sway=3)


def grams_text(grams: float) -> str:
    """Grams with three figures, as the drawing and its words show them.

    Parameters
    ----------
    grams : float
        [g]

    Returns
    -------
    str
    """
    if 0 < grams < 0.001:
        return "under 0.001 g"
    return f"{to_significant(grams, 3):f} g"


def check_closure(bends: Sequence[Bend]) -> None:
    """Refuse a stream in which grams appear or vanish.

    Raises
    ------
    BadEntry
        There is no bend, a figure is negative or not finite, or a bend does not close.
    """
    if not bends:
        raise BadEntry("A stream has at least one step", "none", "Add a step to the procedure")
    carried = bends[0].grams_in
    if not carried > 0:
        raise BadEntry(
            "A stream starts with some grams of active", f"{carried:g} g", "Give the plant its assay"
        )
    for bend in bends:
        figures = (
            bend.grams_in,
            bend.grams_out,
            bend.low_5,
            bend.high_95,
            *(one.grams for one in bend.losses),
        )
        if not all(0 <= one < float("inf") for one in figures) or bend.low_5 > bend.high_95:
            raise BadEntry(
                f"Grams of the step {bend.step_name!r} must be zero or more, low before high", str(figures)
            )
        leaving = bend.grams_out + sum(one.grams for one in bend.losses)
        room = CLOSE_ENOUGH * max(carried, bends[0].grams_in)
        if abs(bend.grams_in - carried) > room or abs(leaving - bend.grams_in) > room:
            raise BadEntry(
                f"The step {bend.step_name!r} must give out what it takes in",
                f"{carried:.9g} g arriving, {bend.grams_in:.9g} g taken in, {leaving:.9g} g given out with its losses",
                "Name the loss that is missing",
            )
        if bend.href and (not bend.href.startswith(("/", "#")) or bend.href.startswith("//")):
            raise BadEntry("A bend opens a page of this book", bend.href, "Start the address with /")
        carried = bend.grams_out


def text_width(text: str, size: float) -> float:
    """A width the text will not pass, for the sans of the pages [px]."""
    return sum(0.3 if ch in " .,:;iljtfrI|'()·" else 0.86 if ch in "mwMW%@—" or ord(ch) > 0x24F else 0.56
               if not ch.isupper() else 0.66 for ch in text) * size  # fmt: skip


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


def lay_out(bends: Sequence[Bend], width_px: float, layout: Layout, begins: str, ends: str) -> Course:
    """Place banks, ribbons and labels.

    Parameters
    ----------
    bends : sequence of Bend
        In the order of the flow.
    width_px : float
        Width of the drawing [px]; the broad drawing grows when its labels need more.
    layout : "broad" or "tall"
    begins, ends : str
        Words at the source and at the mouth.

    Returns
    -------
    Course

    Raises
    ------
    BadEntry
        The stream does not close.
    """
    check_closure(bends)
    rules = _BROAD if layout == "broad" else _TALL
    widest = max(bends[0].grams_in, *(bend.high_95 for bend in bends))
    scale = rules.thickness / max(bends[0].grams_in, 0.8 * widest)
    above = max(0.0, *(bend.high_95 - bend.grams_out for bend in bends)) * scale
    axis = (rules.size * 5.6 if layout == "broad" else 10.0) + above + bends[0].grams_in * scale / 2

    slots = [[max(rules.per_loss, ARC_PX + one.grams * scale + 16) for one in bend.losses] or [rules.per_loss]
             for bend in bends]  # fmt: skip
    if layout == "tall":
        slots = [slot if bend.losses else [8.0] for slot, bend in zip(slots, bends, strict=True)]
    needed = 2 * rules.ends + sum(rules.lead + rules.tail + sum(slot) for slot in slots)
    stretch = max(0.0, width_px - needed) / sum(len(slot) for slot in slots) if layout == "broad" else 0.0
    length = max(width_px, needed) if layout == "broad" else needed

    pool = axis + bends[0].grams_in * scale / 2 + rules.pool_gap
    bank = axis + bends[0].grams_in * scale / 2
    middle = bank - bends[0].grams_in * scale
    stations = [Station(rules.ends, bank, middle, middle, middle)]
    ribbons: list[Ribbon] = []
    gate_at: list[float] = []
    at = rules.ends
    low = high = middle
    for bend, slot in zip(bends, slots, strict=True):
        gate = at + rules.lead
        gate_at.append(gate)
        stations.append(Station(gate, bank, middle, low, high))
        turn, settled = gate, gate
        for loss, room in zip(bend.losses, slot, strict=False):
            breadth = loss.grams * scale
            ribbons.append(Ribbon(loss, gate, turn, bank - breadth, bank, pool))
            bank -= breadth
            settled = turn + ARC_PX + breadth
            turn += room + stretch
        if not bend.losses:
            turn += slot[0] + stretch
        lost = sum(one.grams for one in bend.losses) * scale
        stations.append(Station(gate, bank, middle, low, high))
        stations.append(Station(settled, bank, middle, low, high))
        at = turn + rules.tail
        bank += lost / 2 + rules.sway * (1, -1)[len(gate_at) % 2] * (1 if len(gate_at) == 1 else 2)
        middle = bank - bend.grams_out * scale
        low, high = bank - bend.low_5 * scale, bank - bend.high_95 * scale
        calm = min(at, settled + max(46.0, 1.6 * lost)) if layout == "broad" else at
        stations.append(Station(calm, bank, middle, low, high))
    stations.append(Station(length - rules.ends, bank, middle, low, high))

    gates = tuple(
        _gate(bends, gate_at, number, stations, rules, layout, length, width_px)
        for number in range(len(bends))
    )
    labels = [gate.label for gate in gates]
    labels += _pool_labels(ribbons, gate_at, rules, layout, length, width_px)
    labels += _end_labels(bends, stations, rules, layout, length, width_px, begins, ends)
    bottom = max(label.top + label.height for label in labels) + 6
    across = bottom if layout == "broad" else width_px
    size = (length, across) if layout == "broad" else (across, max(length, bottom))
    return Course(layout, *size, scale, tuple(stations), tuple(ribbons), gates, tuple(labels))


def _gate(
    bends: Sequence[Bend], gate_at: Sequence[float], number: int, stations: Sequence[Station],
    rules: _Rules, layout: Layout, length: float, width_px: float,
) -> Gate:  # fmt: skip
    bend, along, size = bends[number], gate_at[number], rules.size
    here = next(one for one in stations if one.along == along)
    grams = grams_text(bend.grams_out)
    spread = f"{grams_text(bend.low_5)[:-2]}–{grams_text(bend.high_95)}" if bend.low_5 < bend.high_95 else ""
    if layout == "broad":
        room = (gate_at[number + 1] if number + 1 < len(gate_at) else length - rules.ends + 10) - along - 12
        name = wrapped(bend.step_name, room, size, 2)
        lines = (*name, *wrapped(grams, room, size, 1), *((spread,) if spread else ()))
        box = Label(
            lines,
            along + 6,
            4,
            room,
            len(lines) * size * 1.25,
            "start",
            size,
            len(name),
            True,
            bend.step_name,
            bend.href,
        )  # noqa: E501
        return Gate(bend, along, 4, here.bank, box)
    left = max(one.bank for one in stations) + 22
    room = width_px - left - 4
    name = wrapped(bend.step_name, room, size, 2)
    lines = (*name, grams + (f"  ({spread})" if spread else ""))
    height = len(lines) * size * 1.25
    box = Label(
        lines,
        left,
        along - height - 4,
        room,
        height,
        "start",
        size,
        len(name),
        True,
        bend.step_name,
        bend.href,
    )
    return Gate(bend, along, here.high, width_px - 4, box)


def _pool_labels(
    ribbons: Sequence[Ribbon],
    gate_at: Sequence[float],
    rules: _Rules,
    layout: Layout,
    length: float,
    width_px: float,
) -> list[Label]:
    size = rules.size - 1
    labels = []
    middles = [one.turn + ARC_PX + one.width / 2 for one in ribbons]
    for number, ribbon in enumerate(ribbons):
        mid = middles[number]
        if layout == "broad":
            before = middles[number - 1] if number else -mid
            after = middles[number + 1] if number + 1 < len(middles) else 2 * length - mid - 2
            room = min(mid - before, after - mid) - 6
            name = wrapped(ribbon.loss.name, room, size, 3)
            lines = (*name, grams_text(ribbon.loss.grams))
            box = (mid - room / 2, ribbon.pool + 16, room, len(lines) * size * 1.25)
            labels.append(Label(lines, *box, "middle", size, len(name), False, ribbon.loss.name))
        else:
            left = ribbon.pool + 14
            room = width_px - left - 4
            lines = wrapped(f"{ribbon.loss.name}  {grams_text(ribbon.loss.grams)}", room, size, 2)
            height = len(lines) * size * 1.25
            top = mid - height / 2
            labels.append(
                Label(lines, left, top, room, height, "start", size, len(lines), False, ribbon.loss.name)
            )
    return labels


def _end_labels(
    bends: Sequence[Bend], stations: Sequence[Station], rules: _Rules, layout: Layout, length: float, width_px: float,
    begins: str, ends: str,
) -> list[Label]:  # fmt: skip
    size = rules.size
    start, grams = grams_text(bends[0].grams_in), grams_text(bends[-1].grams_out)
    if layout == "broad":
        room = rules.ends - 12
        first = (start, *wrapped(begins, room, size, 2))
        last = (grams, *wrapped(ends, room, size, 2))
        low = (stations[0].bank + stations[0].middle) / 2 + 20
        mouth = (stations[-1].bank + stations[-1].middle) / 2 + 30
        return [
            Label(first, 2, low, room, len(first) * size * 1.25, "start", size, 1, True),
            Label(
                last, length - rules.ends + 10, mouth, room, len(last) * size * 1.25, "start", size, 1, True
            ),
        ]
    left = max(one.bank for one in stations) + 22
    room = width_px - left - 4
    first = wrapped(f"{start}  {begins}", room, size, 1)
    last = wrapped(f"{grams}  {ends}", room, size, 1)
    return [
        Label(first, left, 6, room, size * 1.25, "start", size, 1, True),
        Label(last, left, length - size * 2.6, room, size * 1.25, "start", size, 1, True),
    ]
