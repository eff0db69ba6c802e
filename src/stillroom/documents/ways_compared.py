"""Ways of extracting side by side, as blocks of a page: question and plant page tell them in the same words."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from stillroom.documents.blocks import Block, Cell, Heading, Numbers, Points, Prose, River, Table
from stillroom.documents.curve_drawing import Curve, curve_drawing
from stillroom.documents.numbers_shown import show
from stillroom.errors import Phrase
from stillroom.evidence.answer import Answer
from stillroom.planning.outcome import PlanLine
from stillroom.planning.plan import left_out_of_the_cost
from stillroom.planning.trials import (
    FOR_A_SURFACE,
    STRENGTH_POINTS,
    STRENGTH_STEP_PERCENT,
    Place,
    Trials,
    decoded,
)
from stillroom.planning.ways import YIELD, WayCompared
from stillroom.quantities.rounding import to_significant
from stillroom.texts.catalogue import between, later, t

GIVES = {
    YIELD: later("Yield, %"),
    "charge_cost_per_g": later("Cost of 1 g"),
    "charge_cost": later("Cost"),
    "charge_hands_h": later("Hands, h"),
    "charge_watch_h": later("Watching, h"),
}
TAKES = {
    "charge_clock_h": later("By the clock, h"),
    "charge_spirit_ml": later("Spirit, mL"),
    "charge_spirit_lost_ml": later("not back, mL"),
    "charge_water_l": later("Water, L"),
}
"""What stands in the columns of two tables, as wide as a sheet: key of the figure and its head."""
DAY_H = 48.0
ALIKE_POINTS = 1.0
"""Curves that differ by less are one. [%]"""
NARROW = 0.05
"""A spread narrower than this, as a share of its middle, is not worth its room in the table. [1]"""


def which_way(ways: Sequence[WayCompared], marker: str) -> str:
    """The answer first: which way gives most, which costs least for a gram, which asks least of people."""
    can = [one for one in ways if one.can]
    if not can:
        return t("None of the ways can be done with what there is: the reasons stand below.")
    most = can[0]
    said = [
        t(
            "{way} gives most: {share} % of the {marker}.",
            way=t(most.way.title),
            share=_spread(most.line(YIELD)),
            marker=Phrase(marker),
        )
    ]
    cheap = min(can, key=lambda one: _median(one.line("charge_cost_per_g")))
    if cheap.line("charge_cost_per_g") is not None:
        line = cheap.line("charge_cost_per_g")
        said.append(
            t(
                "{way} costs least for a gram of it: {cost} {currency}.",
                way=t(cheap.way.title),
                cost=_spread(line),
                currency=line.unit if line else "",
            )
        )
    easy = min(can, key=_people_h)
    said.append(
        t(
            "{way} asks least of people: {hours} h of hands and eyes.",
            way=t(easy.way.title),
            hours=_short(_people_h(easy)),
        )
    )
    return " ".join(said)


def ways_blocks(ways: Sequence[WayCompared], currency: str) -> Iterator[Block]:
    """The table, what cannot be done and why, what speaks against a way, and what the cost leaves out."""
    can, cannot = [one for one in ways if one.can], [one for one in ways if not one.can]
    if can:
        yield _side_by_side(can, GIVES, currency, t("Median, and in brackets 5 to 95 % of the charges."))
        yield _side_by_side(can, TAKES, currency)
    warned = tuple(
        t("{way}: {why}", way=t(one.way.title), why=Phrase(one.way.warned)) for one in can if one.way.warned
    )
    if warned:
        yield Points(warned, "missing")
    if cannot:
        yield Heading(t("Cannot be done here"))
        yield Points(
            tuple(t("{way}: {why}", way=t(one.way.title), why=Phrase(" ".join(one.cannot))) for one in cannot)
        )
    left_out = tuple(dict.fromkeys(item for one in can for item in one.unpriced))
    if left_out:
        yield Points((left_out_of_the_cost(left_out, currency),), "missing")


def _side_by_side(
    can: Sequence[WayCompared], columns: Mapping[str, str], currency: str, caption: str = ""
) -> Table:
    heads = [f"{t(head)}, {currency}" if "cost" in key else t(head) for key, head in columns.items()]
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (t(one.way.title), *(_spread(one.line(key)) or "–" for key in columns)) for one in can
    )
    return Table((t("Way"), *heads), rows, tuple(range(1, len(heads) + 1)), caption)


def reasons_blocks(ways: Sequence[WayCompared]) -> Iterator[Block]:
    """Every figure of every way with its reason, folded."""
    for one in ways:
        if one.lines:
            yield Heading(t("{way}: each figure and its reason", way=t(one.way.title)), level=3, folded=True)
            yield Numbers(
                tuple(
                    show(line.answer, label=t(line.label), span=between(_short(line.low), _short(line.high)))
                    for line in one.lines
                )
            )


def figures_by_way(ways: Sequence[WayCompared]) -> dict[str, dict[str, Answer]]:
    """Every figure, by way and key."""
    return {one.way.name: {line.key: line.answer for line in one.lines} for one in ways if one.lines}


# ---- how strong, how long


def trials_blocks(found: Trials, way: str, marker: str) -> Iterator[Block]:
    """The picture of yield against strength and time, and the next trial that would teach most.

    Parameters
    ----------
    way, marker : str
        In words.
    """
    nearest = found.best
    yield Heading(t("How strong, how long: {way}", way=way))
    yield Points(
        (
            t(
                "Teaches most next: {place}. It would take away {share:.0f} of 100 parts of what is not known over "
                "this picture. Assay the plant and the extract.",
                place=place_said(found, found.next), share=100.0 * found.next.teaches,
            ),
            t(
                "Expected there: {yields} %. More than {place} hardly brings more.",
                yields=_around(found.next), place=_long(found, nearest),
            ),
        ),
        "done",
    )  # fmt: skip
    yield _picture(found, way, marker)
    yield Prose(" ".join(_picture_said(found)), quiet=True)
    yield from _own(found)


def place_said(found: Trials, place: Place) -> str:
    """A strength and a time in words."""
    if place.strength_percent is None:
        return _long(found, place)
    return t("{strength:.0f} % v/v, {long}", strength=place.strength_percent, long=_long(found, place))


def _long(found: Trials, place: Place) -> str:
    return _value_said(found.levers.unit, place.value)


def _value_said(unit: str, value: float) -> str:
    if not unit:
        return t("{count:.0f} siphonings", count=value)
    if unit == "min":
        return _hours_said(value / 60.0)
    return t("{value} {unit} of spirit for the plant", value=_short(value), unit=unit)


def _hours_said(hours: float) -> str:
    if hours < 2.0:
        return t("{minutes} min", minutes=_short(60.0 * hours))
    return t("{days} d", days=_short(hours / 24.0)) if hours >= DAY_H else t("{hours} h", hours=_short(hours))


def _picture(found: Trials, way: str, marker: str) -> River:
    in_days = max(one.hours for one in found.places) > DAY_H
    per = 24.0 if in_days else 1.0
    axis = t("days") if in_days else t("hours")
    strengths = list(dict.fromkeys(one.strength_percent for one in found.places))
    by_strength = {one: [each for each in found.places if each.strength_percent == one] for one in strengths}

    def curve(name: str, of: Callable[[Place], float], places: Sequence[Place]) -> Curve:
        return Curve(name, tuple((each.hours / per, of(each)) for each in places))

    if _alike(found):
        own = by_strength[
            min(strengths, key=lambda one: abs((one or 0.0) - (found.levers.strength_percent or 0.0)))
        ]
        curves = [
            curve(t("expected"), lambda one: one.middle, own),
            curve(t("95 of 100 lie below"), lambda one: one.high, own),
            curve(t("95 of 100 lie above"), lambda one: one.low, own),
        ]  # fmt: skip
    else:
        curves = [
            curve(_strength_said(one), lambda place: place.middle, places)
            for one, places in by_strength.items()
        ]
    dots = [(_hours_of(found, one.value) / per, one.recovery_percent) for one in found.own]
    ends = [(places[0], places[-1]) for places in by_strength.values()]
    words = " ".join(
        t(
            "{strength}: {first} % after {short}, {last} % after {long}.",
            strength=_strength_said(one.strength_percent), first=_around(one), short=_hours_said(one.hours),
            last=_around(last), long=_hours_said(last.hours),
        )
        for one, last in ends
    )  # fmt: skip
    title = t("Yield of {marker} by {way}, over time", marker=Phrase(marker), way=way)
    return curve_drawing(dots, curves, (axis, t("Yield, %")), title, words)


def _strength_said(percent: float | None) -> str:
    return t("in water") if percent is None else t("{strength:.0f} % v/v", strength=percent)


def _hours_of(found: Trials, value: float) -> float:
    """Hours of a run by its lever, between the places of the picture."""
    near = min(found.places, key=lambda one: abs(one.value - value))
    return near.hours * value / near.value


def _alike(found: Trials) -> bool:
    by_value: dict[float, list[float]] = {}
    for one in found.places:
        by_value.setdefault(one.value, []).append(one.middle)
    return all(max(one) - min(one) < ALIKE_POINTS for one in by_value.values())


def _picture_said(found: Trials) -> Iterator[str]:
    strengths = [one.strength_percent for one in found.places if one.strength_percent is not None]
    if strengths and _alike(found):
        yield t(
            "From {low:.0f} to {high:.0f} % v/v one curve is expected: the plan does not know how much of it dissolves "
            "at which strength.",
            low=min(strengths), high=max(strengths),
        )  # fmt: skip
    if strengths:
        yield t(
            "That doubt is assumed: {points:g} points for each {step:g} % v/v away from the strength of the procedure. "
            "Only trials of your own narrow it.",
            points=STRENGTH_POINTS, step=STRENGTH_STEP_PERCENT,
        )  # fmt: skip


def _own(found: Trials) -> Iterator[Block]:
    if not found.own:
        yield Prose(
            t(
                "No trial of your own by this way counts yet: it takes a finished batch whose plant and extract were "
                "both assayed."
            ),
            quiet=True,
        )
        return
    yield Heading(t("Your own trials"), level=3)
    yield Table(
        (t("Batch"), t("Strength"), t("How long"), t("Yield, %")),
        tuple(
            (one.code, _strength_said(one.strength_percent), _value_said(found.levers.unit, one.value),
             _short(one.recovery_percent))
            for one in found.own
        ),
        (3,),
    )  # fmt: skip
    yield Prose(_surface_said(found), quiet=True)


def _surface_said(found: Trials) -> str:
    surface = found.surface
    if surface is None:
        return t(
            "A surface through your own trials needs {fewest} of them, at three strengths and three times or more; "
            "there are {count}.",
            fewest=FOR_A_SURFACE, count=len(found.own),
        )  # fmt: skip
    if found.top is not None:
        strength, value = found.top
        return t(
            "The surface through your own {count} trials is highest at {strength:.0f} % v/v and {long}: {yields} %.",
            count=len(found.own), strength=strength, long=_value_said(found.levers.unit, value),
            yields=_short(float(surface.at(surface.stationary)[0]) if surface.stationary is not None else 0.0),
        )  # fmt: skip
    if surface.shape == "top" and surface.stationary is not None:
        strength, value = decoded(found.levers, surface.stationary)
        return t(
            "The surface through your own {count} trials rises towards {strength:.0f} % v/v and {long}, outside what "
            "was tried: that is no more than a direction.",
            count=len(found.own), strength=strength, long=_value_said(found.levers.unit, value),
        )  # fmt: skip
    return t(
        "The surface through your own {count} trials has no top: it is a {shape}. Try further out.",
        count=len(found.own), shape=t(SHAPES[surface.shape]),
    )  # fmt: skip


SHAPES = {"bottom": later("hollow"), "saddle": later("saddle"), "ridge": later("ridge")}


# ---- figures in words


def _people_h(one: WayCompared) -> float:
    lines = [one.line(key) for key in ("charge_hands_h", "charge_watch_h")]
    return sum(line.median for line in lines if line is not None)


def _median(line: PlanLine | None) -> float:
    return line.median if line is not None else float("inf")


def _spread(line: PlanLine | None) -> str:
    if line is None:
        return ""
    low, middle, high = (_short(one) for one in (line.low, line.median, line.high))
    narrow = line.high - line.low < NARROW * abs(line.median)
    return (
        middle if low == high or narrow else t("{middle} ({range})", middle=middle, range=between(low, high))
    )


def _around(place: Place) -> str:
    low, middle, high = (_short(one) for one in (place.low, place.middle, place.high))
    return t("{middle} ({range})", middle=middle, range=between(low, high))


def _short(value: float) -> str:
    return f"{to_significant(value, 2 if abs(value) < 100.0 else 3):f}" if value else "0"
