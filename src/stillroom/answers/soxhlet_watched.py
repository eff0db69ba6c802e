"""A watched Soxhlet as answers: what is still inside, what comes next, how many siphonings more, with the reason.

Every tap, every thing seen and everything the plan says goes in by its name, so that a figure opens to its readings.
The calculation is ``science.extraction.watching_advice``; one fit serves all figures of one state.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.extraction.watching import BeforeTheRun, Seen
from stillroom.science.extraction.watching_advice import Advice, Ranged, advise
from stillroom.science.extraction.watching_misfits import PALEST
from stillroom.science.extraction.watching_taps import Siphonings, siphonings_of

CREST, HEEL, HOLD = "liquid at the crest", "liquid that stays", "hold of the plant"
WASHED, SLOW, WITHIN_REACH = "washed out at once", "slow time", "extract within reach"
CYCLE, WORTH, DROP_LIMIT = "siphoning by the plan", "worth a siphoning", "drop still shows at"
FIRST = "first siphoning over a later one"
TAP, COUNT, OFF, BACK = "tap", "siphonings at tap", "off", "back"
VIAL, RESIDUE, VOLUME, READ, DROP = "vial", "sample", "sample volume", "refractometer", "drop"
LEAST_REFRACTOMETER = 0.12
"""Standard uncertainty of a refractometer reading less its blank, where nobody said: common practice, no source [%]."""
_NUMBERED = re.compile(r"(.+) (\d+)")
SPAN = 3.29
"""Width of a 90 % interval in standard deviations of a normal one [1]."""


@dataclass(frozen=True, slots=True)
class Watched:
    """A run that is watched, after its last siphoning."""

    taps: Siphonings
    advice: Advice

    @property
    def inside_percent(self) -> float:
        """Still inside, of all within reach [%]."""
        return 100.0 * self.advice.inside.middle

    @property
    def next_percent(self) -> float:
        """What the next siphoning brings, of all within reach [%]."""
        return 100.0 * self.advice.next_shares[0].middle

    @property
    def next_g(self) -> float:
        """What the next siphoning brings, by the plan's amount and what was weighed [g]."""
        return self.advice.next_shares[0].middle * self.advice.amount_g.middle

    @property
    def more(self) -> float:
        """Siphonings more [1]."""
        return self.advice.more.middle

    @property
    def ratio(self) -> float:
        """Fall of what washes out at once, from one siphoning to the next [1]."""
        return self.advice.ratio.middle

    @property
    def slow_percent(self) -> float:
        """What does not wash out at once, of all within reach [%]."""
        return 100.0 * self.advice.slow_share.middle

    @property
    def cycle_min(self) -> float:
        """Time of the next siphoning [min]."""
        return self.taps.cycle_min


@formula("watched-soxhlet", takes_named_inputs=True)
def watched_of(inputs: Mapping[str, tuple[float, float]]) -> Watched:
    """A watched run from named inputs; rerun by its name. [min, mL, mg, %, 1].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        The names above, those of taps and of what was seen with a number behind, each with its standard uncertainty.
    """
    return _worked(tuple(inputs.items()))


@lru_cache(maxsize=8)
def _worked(items: tuple[tuple[str, tuple[float, float]], ...]) -> Watched:
    single, numbered = dict[str, tuple[float, float]](), dict[str, dict[int, tuple[float, float]]]()
    for name, value in items:
        found = _NUMBERED.fullmatch(name)
        if found:
            numbered.setdefault(found[1], {})[int(found[2])] = value
        else:
            single[name] = value
    taps = _taps(single, numbered)
    seen = _seen(taps, single, numbered)
    worth = single[WORTH][0] / 100.0
    return Watched(taps, advise(_before(single), seen, taps.cycle_min, worth))


def _taps(
    single: Mapping[str, tuple[float, float]], numbered: Mapping[str, Mapping[int, tuple[float, float]]]
) -> Siphonings:
    taps, counts = numbered.get(TAP, {}), numbered.get(COUNT, {})
    off, back = numbered.get(OFF, {}), numbered.get(BACK, {})
    return siphonings_of(
        [taps[at][0] for at in sorted(taps)],
        [int(counts.get(at, (0.0, 0.0))[0]) for at in sorted(taps)],
        [(off[at][0], back[at][0]) for at in sorted(off)],
        single[CYCLE][0],
        single.get(FIRST, (1.0, 0.0))[0],
    )


def _before(single: Mapping[str, tuple[float, float]]) -> BeforeTheRun:
    def log_sd(name: str, least: float) -> float:
        value, u = single[name]
        return max(u / value, least) if value > 0.0 else least

    washed, washed_u = single[WASHED]
    volumes = float(np.hypot(log_sd(CREST, 0.0), log_sd(HEEL, 0.0)))
    return BeforeTheRun(
        single[CREST][0],
        min(single[HEEL][0], 0.9 * single[CREST][0]),
        max(volumes, 0.03),
        single[HOLD][0],
        log_sd(HOLD, 0.2),
        washed,
        max(washed_u / (washed * (1.0 - washed)), 0.2),
        single[SLOW][0],
        log_sd(SLOW, 0.2),
        single[WITHIN_REACH][0],
        log_sd(WITHIN_REACH, 0.1),
    )


def _seen(
    taps: Siphonings,
    single: Mapping[str, tuple[float, float]],
    numbered: Mapping[str, Mapping[int, tuple[float, float]]],
) -> Seen:
    bare = Seen.nothing(taps.minutes)
    size = taps.minutes.size
    columns = {
        "vials": bare.vials, "sample_mg": bare.sample_mg, "refractometer": bare.refractometer, "drops": bare.drops,
    }  # fmt: skip
    volume, sure = bare.sample_ml, bare.scale_mg
    read_u = [u for _, u in numbered.get(READ, {}).values() if u > 0.0]
    for name, column in zip((VIAL, RESIDUE, READ, DROP), columns.values(), strict=True):
        for number, (value, u) in numbered.get(name, {}).items():
            if not 1 <= number <= size:
                continue
            column[number - 1] = value
            if name == VIAL and value >= PALEST:
                column[number - 1] = np.inf
            if name == RESIDUE:
                volume[number - 1] = numbered[VOLUME][number][0]
                sure[number - 1] = u
    return replace(
        bare,
        refractometer_sd=max([LEAST_REFRACTOMETER, *read_u]),
        drop_limit=single.get(DROP_LIMIT, (0.0, 0.0))[0],
    )


def watched(inputs: Mapping[str, Answer]) -> tuple[Watched, dict[str, Answer]]:
    """A watched run, and its figures with their reasons by their parts.

    Parameters
    ----------
    inputs : mapping of str to Answer
        As in ``watched_of``. [min, mL, mg, %, 1]

    Returns
    -------
    (Watched, dict of str to Answer)
        [%, g, min, 1]

    Raises
    ------
    NotEnough
        Nothing siphoned yet.

    References
    ----------
    extraction-practice
    """
    found = watched_of({name: (one.value, one.standard_uncertainty or 0.0) for name, one in inputs.items()})
    advice = found.advice

    def part(pick: str, name: str, unit: str, of: Ranged | None, times: float, says: str) -> Answer:
        u = times * (of.high - of.low) / SPAN if of else None
        return reckoned(
            name, watched_of, unit=unit, inputs=inputs, pick=pick, says=says, standard_uncertainty=u,
            sources=("extraction-practice",),
        )  # fmt: skip

    fit = "a share washed out at once and a slow rest, fitted together to all that was seen"
    next_one = advice.next_shares[0]
    return found, {
        "inside": part("inside_percent", "still inside, of all within reach", "%", advice.inside, 100.0, fit),
        "next": part("next_percent", "the next siphoning brings, of all within reach", "%", next_one, 100.0, fit),
        "next_g": part(
            "next_g", "the next siphoning brings", "g", advice.next_g, 1.0,
            "that share of what the plan and the samples say is within reach",
        ),
        "more": part("more", "siphonings more", "", advice.more, 1.0, "until the next one is not worth it"),
        "ratio": part("ratio", "fall from one siphoning to the next", "", advice.ratio, 1.0, fit),
        "slow": part("slow_percent", "slow rest, of all within reach", "%", advice.slow_share, 100.0, fit),
        "cycle": part("cycle_min", "time of the next siphoning", "min", None, 1.0, "middle of the last ones"),
    }  # fmt: skip
