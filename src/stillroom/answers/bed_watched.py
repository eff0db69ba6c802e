"""A watched maceration or percolation as answers: what is still inside, what another stretch brings, with the reason.

Every look and everything the plan says goes in by its name, so that a figure opens to its readings. The calculation is
``science.extraction.bed_advice``; one fit serves all figures of one state.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.extraction.bed_advice import BedAdvice, advise_bed
from stillroom.science.extraction.bed_watching import BeforeTheBed, SeenInBed
from stillroom.science.extraction.watching_advice import Ranged

LIQUID, WASHED, FAST, SLOW = "liquid of the bed", "washed out at once", "time it takes", "slow time"
WITHIN_REACH, CLEAN, PACE = "extract within reach", "density of the clean liquid", "millilitres by drops"
AHEAD, WORTH, DROP_LIMIT = "another stretch", "worth a stretch", "drop still shows at"
LOOK, DRIP, FROM_NOW = "look", "drip", "drips from now on"
SIGNALS = {
    "sample": "sample_mg", "sample volume": "sample_ml", "refractometer": "refractometer", "density": "density_kg_m3",
    "colour": "colour", "drop": "drops", "collected": "collected_ml",
}  # fmt: skip
_NUMBERED = re.compile(r"(.+) (\d+)")
SPAN = 3.29
"""Width of a 90 % interval in standard deviations of a normal one [1]."""


@dataclass(frozen=True, slots=True)
class WatchedBed:
    """A bed that is watched, after its last look."""

    advice: BedAdvice

    @property
    def inside_percent(self) -> float:
        """Still inside, of all within reach [%]."""
        return 100.0 * self.advice.inside.middle

    @property
    def next_percent(self) -> float:
        """What another stretch brings, of all within reach [%]."""
        return 100.0 * self.advice.next_shares[0].middle

    @property
    def next_g(self) -> float:
        """The same by the plan's amount and what was weighed [g]."""
        return self.advice.next_shares[0].middle * self.advice.amount_g.middle

    @property
    def more(self) -> float:
        """Stretches more [1]."""
        return self.advice.more.middle

    @property
    def slow_percent(self) -> float:
        """What does not wash out at once, of all within reach [%]."""
        return 100.0 * self.advice.slow_share.middle

    @property
    def came_ml(self) -> float:
        """Dripped so far [mL]."""
        return self.advice.came_ml.middle


@formula("watched-bed", takes_named_inputs=True)
def bed_of(inputs: Mapping[str, tuple[float, float]]) -> WatchedBed:
    """A watched bed from named inputs; rerun by its name. [min, mL, mg, kg/m3, %, 1].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        The names above, those of looks and of what was seen with a number behind, each with its standard uncertainty.
    """
    return _worked(tuple(inputs.items()))


@lru_cache(maxsize=8)
def _worked(items: tuple[tuple[str, tuple[float, float]], ...]) -> WatchedBed:
    single, numbered = dict[str, tuple[float, float]](), dict[str, dict[int, tuple[float, float]]]()
    for name, value in items:
        found = _NUMBERED.fullmatch(name)
        if found:
            numbered.setdefault(found[1], {})[int(found[2])] = value
        else:
            single[name] = value
    looks = numbered.get(LOOK, {})
    order = sorted(looks)
    drips = np.array([numbered.get(DRIP, {}).get(at, (0.0, 0.0))[0] for at in order])
    bare = SeenInBed.nothing(np.array([looks[at][0] for at in order]), drips)
    columns = {field: getattr(bare, field).copy() for field in SIGNALS.values()} | {
        "scale_mg": bare.scale_mg.copy()
    }
    for name, field in SIGNALS.items():
        for at, (read, u) in numbered.get(name, {}).items():
            if at in looks:
                columns[field][order.index(at)] = read
                if field == "sample_mg":
                    columns["scale_mg"][order.index(at)] = u
    seen = SeenInBed(
        bare.minutes, drips, **columns, drop_limit=single.get(DROP_LIMIT, (0.0, 0.0))[0],
        from_now_ml_min=single[FROM_NOW][0] if FROM_NOW in single else None,
    )  # fmt: skip
    return WatchedBed(advise_bed(_before(single), seen, single[AHEAD][0], single[WORTH][0] / 100.0))


def _before(single: Mapping[str, tuple[float, float]]) -> BeforeTheBed:
    def log_sd(name: str, least: float) -> float:
        value, u = single[name]
        return max(u / value, least) if value > 0.0 else least

    washed, washed_u = single[WASHED]
    return BeforeTheBed(
        single[LIQUID][0],
        log_sd(LIQUID, 0.05),
        washed,
        max(washed_u / (washed * (1.0 - washed)), 0.3),
        single[FAST][0],
        log_sd(FAST, 0.3),
        single[SLOW][0],
        log_sd(SLOW, 0.3),
        single[WITHIN_REACH][0],
        log_sd(WITHIN_REACH, 0.3),
        max(single[CLEAN][1], 0.5),
        max(single[PACE][1], 0.02),
        single[CLEAN][0],
    )


def watched_bed(inputs: Mapping[str, Answer]) -> tuple[WatchedBed, dict[str, Answer]]:
    """A watched bed, and its figures with their reasons by their parts.

    Parameters
    ----------
    inputs : mapping of str to Answer
        As in ``bed_of``. [min, mL, mg, kg/m3, %, 1]

    Returns
    -------
    (WatchedBed, dict of str to Answer)
        [%, g, mL, 1]

    Raises
    ------
    NotEnough
        Nobody looked yet.

    References
    ----------
    extraction-practice
    """
    found = bed_of({name: (one.value, one.standard_uncertainty or 0.0) for name, one in inputs.items()})
    advice = found.advice

    def part(pick: str, name: str, unit: str, of: Ranged, times: float, says: str) -> Answer:
        return reckoned(
            name, bed_of, unit=unit, inputs=inputs, pick=pick, says=says,
            standard_uncertainty=times * (of.high - of.low) / SPAN, sources=("extraction-practice",),
        )  # fmt: skip

    fit = "a share washed out at once and a slow rest, fitted together to all that was seen"
    next_one = advice.next_shares[0]
    return found, {
        "inside": part("inside_percent", "still inside, of all within reach", "%", advice.inside, 100.0, fit),
        "next": part("next_percent", "another stretch brings, of all within reach", "%", next_one, 100.0, fit),
        "next_g": part(
            "next_g", "another stretch brings", "g", advice.next_g, 1.0,
            "that share of what the plan and the samples say is within reach",
        ),
        "more": part("more", "stretches more", "", advice.more, 1.0, "until the next one is not worth it"),
        "slow": part("slow_percent", "slow rest, of all within reach", "%", advice.slow_share, 100.0, fit),
        "came": part("came_ml", "dripped so far", "mL", advice.came_ml, 1.0, "drops a minute, over the time they fell"),
    }  # fmt: skip
