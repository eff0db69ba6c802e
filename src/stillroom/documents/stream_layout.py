"""Where the river runs: banks, ribbons and gates of the stream drawing, before any of it becomes SVG.

Every width is grams times one scale. Knows two directions only, *along* the flow and *across* it (losses on
the far side), so that the broad and the tall drawing are one geometry turned over. No colour, no SVG.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from stillroom.documents.stream_bends import Bend, Pool, check_closure, grams_text
from stillroom.documents.stream_labels import (
    Label,
    broad_gate_label,
    broad_pool_labels,
    label,
    tall_gate_label,
    tall_pool_label,
    wrapped,
)

Layout = Literal["broad", "tall"]
ARC_PX = 9.0


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


_BROAD = _Rules(thickness=118, size=14, lead=8, tail=20, ends=84, per_loss=66, pool_gap=50, sway=5)
_TALL = _Rules(thickness=92, size=15, lead=56, tail=10, ends=58, per_loss=44, pool_gap=34, sway=3)


def lay_out(bends: Sequence[Bend], width_px: float, layout: Layout, begins: str, ends: str) -> Course:
    """Place banks, ribbons, gates and labels.

    Parameters
    ----------
    bends : sequence of Bend
        In the order of the flow [g].
    width_px : float
        Width of the drawing [px]; the broad drawing grows when its labels need more.
    begins, ends : str
        Words at the source and at the mouth.

    Returns
    -------
    Course
        Everything placed [px].

    Raises
    ------
    BadEntry
        The stream does not close.
    """
    check_closure(bends)
    rules = _BROAD if layout == "broad" else _TALL
    first = bends[0].grams_in
    scale = rules.thickness / max(first, 0.8 * max(bend.high_95 for bend in bends))
    above = max(0.0, *(bend.high_95 - bend.grams_out for bend in bends)) * scale
    start_bank = (rules.size * 6.9 if layout == "broad" else 10.0) + above + first * scale

    slots = [_slots(bend, scale, rules, layout) for bend in bends]
    needed = 2 * rules.ends + sum(rules.lead + rules.tail + sum(slot) for slot in slots)
    spare = (width_px - needed) / sum(len(slot) for slot in slots) if layout == "broad" else 0.0
    length = max(width_px, needed) if layout == "broad" else needed
    stations, ribbons = _run(bends, slots, max(0.0, spare), scale, start_bank, length, rules, layout)

    turned_room = width_px - max(one.bank for one in stations) - 26
    gates = _gates(bends, stations, rules, layout, length, turned_room)
    labels = [gate.label for gate in gates]
    if layout == "broad":
        labels += _broad_words(bends, stations, ribbons, rules, length, begins, ends)
        size = (length, max(one.top + one.height for one in labels) + 6)
    else:
        labels += _tall_words(bends, stations, ribbons, rules, width_px, length, begins, ends)
        size = (width_px, length)
    return Course(layout, *size, scale, tuple(stations), tuple(ribbons), tuple(gates), tuple(labels))


def _slots(bend: Bend, scale: float, rules: _Rules, layout: Layout) -> list[float]:
    """Room along the flow that a step needs for each of its losses [px]."""
    if bend.losses:
        return [max(rules.per_loss, ARC_PX + one.grams * scale + 16) for one in bend.losses]
    return [rules.per_loss] if layout == "broad" else [8.0]


def _run(
    bends: Sequence[Bend],
    slots: Sequence[Sequence[float]],
    spare: float,
    scale: float,
    bank: float,
    length: float,
    rules: _Rules,
    layout: Layout,
) -> tuple[list[Station], list[Ribbon]]:
    """At each gate the losses part from the far bank; after it the river finds its middle again."""
    middle = bank - bends[0].grams_in * scale
    low = high = middle
    stations = [Station(rules.ends, bank, middle, low, high)]
    ribbons: list[Ribbon] = []
    at, pool = rules.ends, bank + rules.pool_gap
    for number, (bend, rooms) in enumerate(zip(bends, slots, strict=True)):
        gate = at + rules.lead
        stations.append(Station(gate, bank, middle, low, high))
        turn = settled = gate
        before = bank
        for loss, room in zip(bend.losses, rooms, strict=False):
            breadth = loss.grams * scale
            ribbons.append(Ribbon(loss, gate, turn, bank - breadth, bank, pool))
            bank -= breadth
            settled = turn + ARC_PX + breadth
            turn += room + spare
        if not bend.losses:
            turn += rooms[0] + spare
        lost = before - bank
        stations += [Station(gate, bank, middle, low, high), Station(settled, bank, middle, low, high)]
        at = turn + rules.tail
        sway = rules.sway * (1 if number == 0 else 2) * (-1 if number % 2 else 1)
        bank += lost / 2 - sway
        middle = bank - bend.grams_out * scale
        low, high = bank - bend.low_5 * scale, bank - bend.high_95 * scale
        calm = min(at, settled + max(46.0, 1.6 * lost)) if layout == "broad" else at
        stations.append(Station(calm, bank, middle, low, high))
    stations.append(Station(length - rules.ends, bank, middle, low, high))
    return stations, ribbons


def _gates(
    bends: Sequence[Bend],
    stations: Sequence[Station],
    rules: _Rules,
    layout: Layout,
    length: float,
    turned_room: float,
) -> list[Gate]:
    along = [stations[1 + 4 * number].along for number in range(len(bends))]
    gates = []
    for number, bend in enumerate(bends):
        here, at = stations[1 + 4 * number], along[number]
        if layout == "broad":
            until = along[number + 1] if number + 1 < len(bends) else length - rules.ends + 10
            words = broad_gate_label(bend, at, until - at - 12, rules.size)
            gates.append(Gate(bend, at, 4, here.bank, words))
        else:
            left = max(one.bank for one in stations) + 22
            words = tall_gate_label(bend, at, left, turned_room, rules.size)
            gates.append(Gate(bend, at, here.high, left + turned_room, words))
    return gates


def _broad_words(
    bends: Sequence[Bend],
    stations: Sequence[Station],
    ribbons: Sequence[Ribbon],
    rules: _Rules,
    length: float,
    begins: str,
    ends: str,
) -> list[Label]:
    size, room = rules.size, rules.ends - 12
    named = [(one.loss.name, one.loss.grams) for one in ribbons]
    middles = [one.turn + ARC_PX + one.width / 2 for one in ribbons]
    top = (ribbons[0].pool if ribbons else stations[0].bank) + 16
    source, mouth = ((one.bank + one.middle) / 2 for one in (stations[0], stations[-1]))
    first, last = (grams_text(bends[0].grams_in),), (grams_text(bends[-1].grams_out),)
    return [
        *broad_pool_labels(named, middles, top, length, size - 1),
        label(first, wrapped(begins, room, size, 2), (2, source + 18, room), size, bold=True),
        label(
            last, wrapped(ends, room, size, 2), (length - rules.ends + 10, mouth + 28, room), size, bold=True
        ),
    ]


def _tall_words(
    bends: Sequence[Bend],
    stations: Sequence[Station],
    ribbons: Sequence[Ribbon],
    rules: _Rules,
    width_px: float,
    length: float,
    begins: str,
    ends: str,
) -> list[Label]:
    size = rules.size
    left = max(one.bank for one in stations) + 22
    room = width_px - left - 4
    words = [
        tall_pool_label(
            one.loss.name,
            one.loss.grams,
            one.turn + ARC_PX + one.width / 2,
            one.turn + 3,
            one.pool + 14,
            width_px - one.pool - 18,
            size - 1,
        )
        for one in ribbons
    ]
    first = wrapped(f"{grams_text(bends[0].grams_in)}  {begins}", room, size, 1)
    last = wrapped(f"{grams_text(bends[-1].grams_out)}  {ends}", room, size, 1)
    return [
        *words,
        label(first, (), (left, 6, room), size, bold=True),
        label(last, (), (left, length - size * 2.6, room), size, bold=True),
    ]
