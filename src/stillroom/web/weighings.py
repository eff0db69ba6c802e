"""One weighing as a form shows it: target, tolerance, lots to choose from, and what an untared scale then shows.

Shared by the step at the bench and the sheet that is entered afterwards.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from stillroom.actions.bench.form_choices import scale_for, tolerance_g
from stillroom.actions.bench.lots_offered import LotChoice, lot_choices, lots_for_line
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.making.steps_in_hand import LineToWeigh, StepInHand
from stillroom.actions.making.weighing import OFF_BY_TOO_MUCH, Weighed
from stillroom.errors import StillroomError
from stillroom.quantities.parse import parse
from stillroom.records.people import Apparatus
from stillroom.texts.catalogue import figure, t
from stillroom.web.forms import Typed, field_name


@dataclass(frozen=True, slots=True)
class ShownWeighing:
    """One weighing as a form prints it: texts, lots to choose from, and where the reading stands.

    ``target``, ``tolerance``, ``low``, ``high``: in g, to the step of the scale; "" where nothing was
    planned.
    """

    line: str
    slug: str
    """Ends the names of its fields."""
    direction: str
    substance: str
    target: str
    tolerance: str
    low: str
    high: str
    planned: str
    """The target unrounded, for the script that follows a change of scale. [g]"""
    from_target: float | None
    """Where the pointer stands, in tolerances. [1]"""
    lots: tuple[LotChoice, ...]
    scale: str
    becomes: str
    """Code of the lot it will be, offered."""
    running: str = ""
    """What an untared scale then shows, "" for the first line of a vessel. [g]"""
    on_the_same: bool = True
    """Whether it is weighed on the scale the vessel stands on."""

    @property
    def usable(self) -> int:
        """How many of the lots may be used."""
        return sum(1 for one in self.lots if not one.refused)


@dataclass(frozen=True, slots=True)
class ScaleOffered:
    """A scale as a field offers it, with its smallest step and the most it takes [g] for the script."""

    code: str
    words: str
    step_g: str
    most_g: str


def scales_offered(tools: tuple[Apparatus, ...]) -> tuple[ScaleOffered, ...]:
    """Every scale, the finest first."""
    return tuple(
        ScaleOffered(
            one.code,
            t(
                "{code}, to {step} {unit}",
                code=one.code,
                step=figure(f"{one.smallest_step:g}"),
                unit=one.unit,
            ),
            f"{one.smallest_step:g}" if one.unit == "g" else "",
            f"{one.largest:.12g}" if one.unit == "g" and one.largest is not None else "",
        )
        for one in tools
    )


def shown_weighings(
    lab: Laboratory, in_hand: StepInHand, typed: Typed, tools: tuple[Apparatus, ...], prefix: str = ""
) -> tuple[ShownWeighing, ...]:
    """The weighings of a step, each with what an untared scale shows after it.

    Parameters
    ----------
    typed : Typed
        What was typed so far.
    tools : tuple of Apparatus
        Scales.
    prefix : str
        Stands before the name of the line in the names of its fields, where several steps share a form.
    """
    found: list[ShownWeighing] = []
    together_g, vessel_on = 0.0, ""
    for line in in_hand.lines:
        chosen = _scale(line, typed, tools, prefix)
        shown = _shown(lab, line, in_hand, typed, chosen, prefix)
        if line.direction == "in" and line.planned_g is not None:
            if vessel_on:
                running = f"{together_g + line.planned_g:.{_decimals(chosen)}f}"
                shown = replace(shown, running=running, on_the_same=shown.scale == vessel_on)
            vessel_on = vessel_on or shown.scale
            together_g += _read(typed.amount(f"mass-{shown.slug}", "g")) or line.planned_g
        found.append(shown)
    return tuple(found)


def weighed_of(line: LineToWeigh, typed: Typed, prefix: str = "") -> Weighed:
    """What was typed for a line."""
    slug = prefix + field_name(line.line)
    return Weighed(line.line, typed.amount(f"mass-{slug}", "g"), typed[f"lot-{slug}"], typed[f"scale-{slug}"])


def names_of(in_hand: StepInHand, prefix: str = "") -> Mapping[str, str]:
    """Field of each mass and the line it is for."""
    return {f"mass-{prefix}{field_name(one.line)}": one.line for one in in_hand.lines}


def share_allowed() -> float:
    """How far a weighing may be off before it needs a note, as a share."""
    return OFF_BY_TOO_MUCH


def _shown(
    lab: Laboratory,
    line: LineToWeigh,
    in_hand: StepInHand,
    typed: Typed,
    chosen: Apparatus | None,
    prefix: str,
) -> ShownWeighing:
    slug = prefix + field_name(line.line)
    decimals = _decimals(chosen)
    planned, allowed = line.planned_g, tolerance_g(line, chosen)
    texts = [
        "" if one is None else f"{one:.{decimals}f}"
        for one in (
            planned,
            allowed,
            planned - allowed if planned is not None and allowed else None,
            planned + allowed if planned is not None and allowed else None,
        )
    ]
    return ShownWeighing(
        line=line.line,
        slug=slug,
        direction=line.direction,
        substance=line.substance,
        target=texts[0],
        tolerance=texts[1],
        low=texts[2],
        high=texts[3],
        planned="" if planned is None else f"{planned:.6f}",
        from_target=_from_target(typed.amount(f"mass-{slug}", "g"), planned, allowed),
        lots=_lots(lab, in_hand, line, any_lot=bool(typed["any-lot"])),
        scale=chosen.code if chosen else "",
        becomes=in_hand.batch if _is_what_is_made(in_hand, line) else "",
    )


def _lots(lab: Laboratory, in_hand: StepInHand, line: LineToWeigh, *, any_lot: bool) -> tuple[LotChoice, ...]:
    """Lots that are offered; every one on the shelf, to choose from freely, where another was taken."""
    if line.direction != "in":
        return ()
    if any_lot:
        return tuple(replace(one, refused="") for one in lot_choices(lab))
    return lots_for_line(lab, in_hand.batch, line.substance)


def _scale(line: LineToWeigh, typed: Typed, tools: tuple[Apparatus, ...], prefix: str) -> Apparatus | None:
    code = typed[f"scale-{prefix}{field_name(line.line)}"]
    return next((one for one in tools if one.code == code), None) or scale_for(tools, line.planned_g)


def _is_what_is_made(in_hand: StepInHand, line: LineToWeigh) -> bool:
    return in_hand.number == in_hand.of and line.direction == "out" and line.line == in_hand.step.gives[0]


def _decimals(scale: Apparatus | None) -> int:
    step = scale.smallest_step if scale else 0.01
    return max(0, len(f"{step:.6f}".rstrip("0").partition(".")[2]))


def _from_target(text: str, planned: float | None, allowed: float | None) -> float | None:
    read = _read(text)
    return None if read is None or planned is None or not allowed else (read - planned) / allowed


def _read(text: str) -> float | None:
    if not text:
        return None
    try:
        return parse(text, want="mass").in_unit("g")
    except StillroomError:
        return None
