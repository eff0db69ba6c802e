"""A batch that stands or drips and is watched: its looks with what the plan says, as one run.

The clock begins with the liquid on the plant, where that was noted; else with the step begun at the bench, else with
the batch. Drops a minute become millilitres by one's own count, else by the strength of the spirit off a standard tip.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from stillroom.actions.bench.form_choices import next_of
from stillroom.actions.orders.amounts_planned import planned_g
from stillroom.actions.watching import bed_noted as noted
from stillroom.actions.watching import siphonings_noted as shared
from stillroom.actions.watching.as_planned import bed_planned
from stillroom.actions.watching.before_the_run import BY_PLAN, DRY_SHARE, EXTRACT_LOG_SD, EXTRACT_SHARE, WHY
from stillroom.answers import bed_watched as names
from stillroom.answers.bed_watched import WatchedBed, watched_bed
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.records.procedures import Procedure, Step
from stillroom.science.extraction.bed_advice import WORTH_SHARE
from stillroom.store.reader import Reader
from stillroom.stream.components import Array
from stillroom.stream.kind import BedPlanned
from stillroom.stream.kinds import bed_of
from stillroom.substances.drops import COUNTED_LOG_SD, TIP_LOG_SD, spirit_drops
from stillroom.substances.spirits import spirit_mass_fraction

DAY_MIN = 1440.0
USUAL = {"washed_share": (0.5, 0.14), "uptake_min": (1080.0, 0.5), "washing_capacity_ml_per_g": (0.6, 0.3)}
"""Where a step says nothing: a value, and its standard uncertainty (of a share as it is, of the rest as a share)."""
DRIPPING = {"washed": 0.6, "slow_min": 500.0, "drip_ml_per_min_kg": 5.0}
"""Of what drips, where nobody says: ground finer than what stands (common practice, no source)."""
FAST_MIN, FAST_LOG_SD = 90.0, 0.7
SPIRIT_G_ML, USUAL_STRENGTH = 0.91, 0.6
CLEAN_SD_KG_M3 = 1.5
OWN_WATER_DOUBT_SHARE = 0.1
"""Doubt of what the plant's own water does to the density of the liquid, as a share of it (chosen). [1]"""
CALLED = {
    shared.RESIDUE: "sample", shared.VOLUME: "sample volume", shared.READ: "refractometer", noted.DENSITY: "density",
    noted.COLOUR: "colour", shared.DROP: "drop", noted.COLLECTED: "collected",
}  # fmt: skip
HAPPENS = (noted.POURED, noted.DRIPS, noted.STANDS)


@dataclass(frozen=True, slots=True)
class BedRun:
    """A batch whose bed is watched."""

    batch: str
    step: str
    drips: bool
    """Whether the step is a percolation."""
    running: bool
    """Whether that step is the next to be done."""
    begins: datetime
    """From when its time counts."""
    found: WatchedBed | None
    """None before anybody looked."""
    figures: Mapping[str, Answer]
    looks: tuple[tuple[datetime, tuple[Entry[ReadingTaken], ...]], ...]
    """The first one first."""
    waits: tuple[str, ...]
    """Signals that wait for the figure of the clean liquid: "density", "refractometer"."""
    counted: bool
    """Whether the drops of this tap were counted for a volume."""

    @property
    def next_at(self) -> datetime | None:
        """When another stretch is over."""
        if self.found is None or not self.looks:
            return None
        return self.looks[-1][0] + timedelta(minutes=self.found.advice.ahead_min)


def bed_run(look: Reader, batch: str) -> BedRun:
    """A batch with what its watch says now.

    Raises
    ------
    UnknownName
        There is no such batch.
    """
    name = noted.bed_step(look, batch)
    procedure = look.procedure_of(batch)
    step = procedure.step(name)
    drips = bed_of(step.kind) == "drips"
    wanted = {*CALLED, *HAPPENS, noted.DROPS}
    readings = [one for one in look.readings(batch) if one.body.what in wanted and one.body.series == name]
    looks = _looks(readings)
    begins = _begins(look, batch, name, readings)
    found, figures, waits = None, dict[str, Answer](), tuple[str, ...]()
    counted = look.readings(batch, noted.DROPS_ML)
    if looks:
        inputs, waits = _inputs(look, batch, procedure, step, looks, begins, drips=drips)
        if any(one.startswith(names.LOOK) for one in inputs):
            found, figures = watched_bed(inputs)
    return BedRun(
        batch,
        name,
        drips,
        next_of(look, batch).step == name,
        begins,
        found,
        figures,
        looks,
        waits,
        bool(counted),
    )


def _looks(
    readings: Sequence[Entry[ReadingTaken]],
) -> tuple[tuple[datetime, tuple[Entry[ReadingTaken], ...]], ...]:
    together: dict[datetime, list[Entry[ReadingTaken]]] = {}
    for one in readings:
        together.setdefault(datetime.fromisoformat(one.done_at), []).append(one)
    return tuple((at, tuple(these)) for at, these in sorted(together.items()))


def _begins(look: Reader, batch: str, step: str, readings: Sequence[Entry[ReadingTaken]]) -> datetime:
    poured = [one.done_at for one in readings if one.body.what == noted.POURED]
    notes = [one.done_at for one in look.bench_notes()
             if one.body.what == "begun" and one.body.subject == batch and one.body.step == step]  # fmt: skip
    entry = look.latest("batch begun", batch)
    told = [
        *poured[-1:],
        *notes[-1:],
        *((entry.done_at,) if entry else ()),
        *(one.done_at for one in readings),
    ]
    return datetime.fromisoformat(told[0])


def _inputs(
    look: Reader,
    batch: str,
    procedure: Procedure,
    step: Step,
    looks: Sequence[tuple[datetime, tuple[Entry[ReadingTaken], ...]]],
    begins: datetime,
    *,
    drips: bool,
) -> tuple[dict[str, Answer], tuple[str, ...]]:
    planned = bed_planned(look, batch, step.name)
    dry_g = float(np.median(planned.dry_g)) if planned else DRY_SHARE * look.batch(batch).scale_g
    inputs = _prior(look, batch, procedure, step, dry_g, drips=drips)
    if planned is not None:
        inputs |= _of_plan(planned)
    planned_ml_min = _said(step, "drip_ml_per_min_kg", DRIPPING["drip_ml_per_min_kg"]) * dry_g / 1000.0
    drops_ml = inputs.pop("drops in a millilitre")
    clean, blank = look.readings(batch, noted.CLEAN), look.readings(batch, shared.BLANK)
    waits, running, before_rate = list[str](), False, None
    number, rate = 0, 0.0
    for at, these in looks:
        minutes = (at - begins).total_seconds() / 60.0
        if minutes < 0.0:
            continue
        whats = {one.body.what: one for one in shared.of_some_volume(these)}
        counted = whats.get(noted.DROPS)
        now_rate = counted.body.value / drops_ml.value if counted else None
        ran = running
        known = [one for one in (before_rate, now_rate) if one is not None]
        rate = (sum(known) / len(known) if known else planned_ml_min) if ran else 0.0
        running = (ran or now_rate is not None or noted.DRIPS in whats) and noted.STANDS not in whats
        before_rate = now_rate if now_rate is not None else before_rate
        if minutes <= 0.0 and noted.POURED in whats and len(whats) == 1:
            continue
        number += 1
        where, entry_no = f"entry {these[0].entry_no}", these[0].entry_no
        inputs[f"{names.LOOK} {number}"] = reading(
            f"{names.LOOK} {number}", max(minutes, 0.1), "min", where, entry_no=entry_no
        )
        inputs[f"{names.DRIP} {number}"] = reading(
            f"{names.DRIP} {number}", rate, "mL/min", where, entry_no=entry_no
        )
        for what, one in whats.items():
            if what not in CALLED:
                continue
            value, unit = one.body.value, one.body.unit
            if what == noted.DENSITY and not clean:
                waits.append("density")
                continue
            if what == shared.READ and not blank:
                waits.append("refractometer")
                continue
            if what == noted.DENSITY:
                value, unit = 1000.0 * (value - clean[-1].body.value), "kg/m3"
            if what == shared.READ:
                value -= blank[-1].body.value
            called = f"{CALLED[what]} {number}"
            inputs[called] = reading(
                called, value, unit, f"entry {one.entry_no}", entry_no=one.entry_no,
                standard_uncertainty=one.body.standard_uncertainty,
            )  # fmt: skip
    limits = look.readings(batch, shared.DROP_LIMIT)
    if limits:
        last = limits[-1]
        inputs[names.DROP_LIMIT] = reading(
            names.DROP_LIMIT, last.body.value, "", f"entry {last.entry_no}", entry_no=last.entry_no
        )
    pace = before_rate or rate or planned_ml_min
    ahead = dry_g / pace if drips else DAY_MIN
    why = "the next mL for each gram" if drips else "another day"
    if drips:
        inputs[names.FROM_NOW] = assumed(names.FROM_NOW, pace, "mL/min", "as it drips now, or by the step")
    inputs[names.AHEAD] = assumed(names.AHEAD, ahead, "min", why)
    inputs[names.WORTH] = assumed(names.WORTH, 100.0 * WORTH_SHARE, "%", WHY)
    return inputs, tuple(dict.fromkeys(waits))


def _said(step: Step, name: str, instead: float) -> float:
    return next((one.value for one in step.settings if one.name == name), instead)


def _of_plan(planned: BedPlanned) -> dict[str, Answer]:
    """What the plan says of a bed: as dry and as fine as its lot is, the plant's own water in."""
    found = dict[str, Answer]()
    for name, values, unit, least_share in (
        (names.LIQUID, planned.liquid_ml, "mL", 0.1),
        (names.WITHIN_REACH, planned.within_reach_g, "g", EXTRACT_LOG_SD),
        (names.WASHED, planned.washed_share, "", 0.0),
        (names.SLOW, planned.slow_min, "min", 0.0),
    ):
        if values is not None:
            middle = float(np.median(values))
            u = max(_half_width(values), least_share * middle)
            found[name] = assumed(name, middle, unit, BY_PLAN, standard_uncertainty=u)
    off = float(np.median(planned.off_kg_m3))
    doubt = math.hypot(CLEAN_SD_KG_M3, _half_width(planned.off_kg_m3), OWN_WATER_DOUBT_SHARE * off)
    found[names.CLEAN] = assumed(
        names.CLEAN, off, "kg/m3", "off by the plant's own water", standard_uncertainty=doubt
    )
    return found


def _half_width(values: Array) -> float:
    """Half the width of the middle two thirds, which a long tail does not move."""
    low, high = np.percentile(values, (16, 84))
    return 0.5 * float(high - low)


def _prior(
    look: Reader, batch: str, procedure: Procedure, step: Step, dry_g: float, *, drips: bool
) -> dict[str, Answer]:
    """What is known of a bed before anybody looked, by the names of ``bed_watched``."""

    def of(setting: str, name: str, unit: str, times: float = 1.0) -> Answer:
        one = next((one for one in step.settings if one.name == setting), None)
        value, spread = USUAL[setting]
        if one is None:
            u = spread if setting == "washed_share" else spread * value
            return assumed(name, times * value, unit, WHY, standard_uncertainty=times * u)
        u = one.standard_uncertainty * (one.value if one.spread == "lognormal" else 1.0)
        u = u or (spread if setting == "washed_share" else spread * one.value)
        leaf = assumed if one.origin == "assumed" else reading
        return leaf(name, times * one.value, unit, f"{step.name}, {setting}", standard_uncertainty=times * u)

    if drips:
        liquid = of("washing_capacity_ml_per_g", names.LIQUID, "mL", dry_g)
        washed = assumed(names.WASHED, DRIPPING["washed"], "", WHY, standard_uncertainty=0.14)
        slow = assumed(
            names.SLOW, DRIPPING["slow_min"], "min", WHY, standard_uncertainty=0.6 * DRIPPING["slow_min"]
        )
    else:
        grams = planned_g(look, batch)
        poured_g = sum(grams.get((step.name, one), 0.0) for one in step.takes[1:])
        poured_ml = poured_g / SPIRIT_G_ML if poured_g > 0.0 else 10.0 * dry_g
        hold_ml = _said(step, "sorption_ml_per_g", 0.3) * dry_g
        liquid = assumed(
            names.LIQUID, poured_ml + hold_ml, "mL", "poured by the plan, and what the plant holds",
            standard_uncertainty=0.1 * poured_ml,
        )  # fmt: skip
        washed, slow = of("washed_share", names.WASHED, ""), of("uptake_min", names.SLOW, "min")
    counted = look.readings(batch, noted.DROPS_ML)
    strength = next(
        (one.value for made in procedure.steps for one in made.settings if one.name == "want_volume_fraction_20c"),
        USUAL_STRENGTH,
    )  # fmt: skip
    of_a_ml = counted[-1].body.value if counted else float(spirit_drops(spirit_mass_fraction(strength)))
    found = {
        names.LIQUID: liquid,
        names.WASHED: washed,
        names.FAST: assumed(names.FAST, FAST_MIN, "min", WHY, standard_uncertainty=FAST_LOG_SD * FAST_MIN),
        names.SLOW: slow,
        names.WITHIN_REACH: assumed(
            names.WITHIN_REACH, EXTRACT_SHARE * dry_g, "g", WHY,
            standard_uncertainty=EXTRACT_LOG_SD * EXTRACT_SHARE * dry_g,
        ),
        names.CLEAN: assumed(
            names.CLEAN, 0.0, "kg/m3", "off by the plant's own water", standard_uncertainty=CLEAN_SD_KG_M3
        ),
        names.PACE: assumed(
            names.PACE, 1.0, "", "counted for 5 mL" if counted else "a standard tip",
            standard_uncertainty=COUNTED_LOG_SD if counted else TIP_LOG_SD,
        ),
    }  # fmt: skip
    return found | {"drops in a millilitre": assumed("drops in a millilitre", of_a_ml, "", WHY)}
