"""The memory: finished batches make the next plan this laboratory's own.

What a plan would assume is moved by what one's own runs showed, and narrowed; inputs that a weighing tells only
together stay tied together. The starter is the prior, and how many runs it counts as is told. How much runs differ
among themselves, and whether the starter's range was too narrow, is weighed by what the runs show. A run that lies
far off hardly counts. What no run resembles stays as the starter says. Nothing here may serve a release, a
certificate or a label.
"""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from stillroom.planning.assumptions import assumed_for
from stillroom.planning.finished import (
    FARTHEST,
    Finished,
    LotAssayed,
    assumed_spreads,
    seen_of,
    seen_of_lot,
    spread_of_known,
)
from stillroom.planning.inputs import all_inputs, only_roles
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.resemblance import OF_PLANT, Belongs, levels_of, share_a_level
from stillroom.quantities.rounding import to_significant
from stillroom.quantities.spread import Spread
from stillroom.science.measuring.hierarchical import NORMAL_TO_T, Fit, Seen, mixed, robust_fit
from stillroom.stream.components import Array
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import between, t

RUN_SHARES = {0.01: 0.16, 0.03: 0.26, 0.08: 0.27, 0.18: 0.18, 0.35: 0.09, 0.6: 0.04}
"""Which share of the starter's variance may be from run to run, and how likely before a run was seen (chosen). [1]"""
TOO_NARROW = {1.0: 0.88, 4.0: 0.09, 16.0: 0.03}
"""By how much the starter's variance may be too small, and how likely before a run was seen (chosen). [1]"""
MIDDLE_SHARE = 0.18
PASSES = 3
MOST_RUNS = 24
"""Runs that are looked at, the newest; what they tell of the next hardly grows after that. [1]"""
FAR_FROM_WHERE_LOOKED = 2.0
"""So far from where a batch was run its straight line no longer holds: it is run again there. [1]"""
REPEATS, FEW = 12, 3
"""Steps of the search for the weights of runs, from nothing and from those of a neighbour. [1]"""
WORTH_TELLING = 0.02
"""Share of its variance that runs must take from an input before it is called one's own. [1]"""
FAR_OFF = 0.2
"""Weight below which a run is said to lie far off. [1]"""


@dataclass(frozen=True, slots=True)
class Remembered:
    """What one's own runs make of the inputs of a plan.

    ``runs``, ``far_off``: codes of the runs and lots that resemble it, and of those that hardly count.
    """

    known: tuple[Known, ...] = ()
    """Inputs that are one's own now."""
    together: tuple[tuple[float, ...], ...] = ()
    """How each goes with each other, as correlations, in the order of ``known``. [1]"""
    runs: tuple[str, ...] = ()
    far_off: tuple[str, ...] = ()
    run_share: float = 0.0
    """Share of the starter's variance that is from run to run. [1]"""
    set_aside: tuple[str, ...] = ()
    """Codes of runs by which nothing could be planned: what they said would not run to its end."""

    @property
    def starter_counts_runs(self) -> float:
        """How many runs the starter counts as: variance from run to run over the rest of its own [1]."""
        return self.run_share / (1.0 - self.run_share)


NOTHING = Remembered()


@remember(32)
def remembered(
    request: PlanRequest, coming: Belongs, batches: tuple[Finished, ...], lots: tuple[LotAssayed, ...] = ()
) -> Remembered:
    """What finished batches make of the inputs of a plan.

    Parameters
    ----------
    request : PlanRequest
        With nothing remembered in it.
    coming : Belongs
        What the run that is planned belongs to.
    batches : tuple of Finished
        The newest last.
    lots : tuple of LotAssayed
        Lots of plant that were assayed or dried.

    Returns
    -------
    Remembered
        Nothing where no run resembles it.
    """
    inputs = only_roles(all_inputs(request), "supply")
    asked = assumed_spreads(inputs, request.extraction)
    unknowns = _of_plant(request) | {name: spread for name, (_, spread) in asked.items()}
    near = [one for one in batches if _resembles(one.belongs, coming, unknowns)][-MOST_RUNS:]
    of_plant = [one for one in lots if one.belongs.plant == coming.plant]
    if not near and not of_plant:
        return NOTHING
    runs = _Runs(coming, tuple(near), tuple(of_plant), unknowns)
    if not runs.seen:
        return NOTHING
    for _ in range(PASSES):
        if runs.off_by <= FAR_FROM_WHERE_LOOKED:
            break
        runs = replace(runs, looks_at=runs.places)
    mean, covariance, informed = runs.next_run
    names = list(unknowns)
    known, places = [], []
    for name, (role, spread) in asked.items():
        place = names.index(name)
        own = runs.resembling(name)
        if own and informed[place] >= WORTH_TELLING:
            deviation = min(1.0, float(np.sqrt(covariance[place, place])))
            said = _said(inputs[role], spread, own, {one.belongs.code for one in of_plant})
            known.append(_own(replace(inputs[role], role=role), spread, float(mean[place]), deviation, said))
            places.append(place)
    if not known:
        return NOTHING
    deviations = np.sqrt(np.diag(covariance)[places])
    tied = covariance[np.ix_(places, places)] / np.outer(deviations, deviations)
    return Remembered(
        tuple(known),
        tuple(tuple(float(one) for one in row) for row in _sure(tied)),
        tuple(one.code for one in runs.belongs),
        runs.far_off,
        runs.run_share,
    )


def with_memory(request: PlanRequest, own: Remembered) -> PlanRequest:
    """The request with its assumptions replaced by what one's own runs say."""
    return replace(request, remembered=own.known, together=own.together)


@dataclass(frozen=True)
class _Runs:
    """Runs and lots that resemble what is planned, and what they say together."""

    coming: Belongs
    batches: tuple[Finished, ...]
    lots: tuple[LotAssayed, ...]
    unknowns: Mapping[str, Spread]
    looks_at: Mapping[str, Array] | None = None
    """Where each batch is run; None for where a fit of the starter's own variance brings it. [1]"""

    @cached_property
    def _last_looked(self) -> tuple[list[Seen], list[Belongs], Mapping[str, Array]]:
        """What each said, run where its unknowns came to lie, and where that is."""
        if self.looks_at is not None:
            return *self._look(self.looks_at), self.looks_at
        at = {one.belongs.code: np.zeros(len(self.unknowns)) for one in self.batches}
        seen, belongs = self._look(at)
        for _ in range(PASSES if seen else 0):
            fit = _fit(seen, self._alike(belongs), MIDDLE_SHARE, 1.0)
            moved = at | _places(belongs, fit.run_means)
            again, still = self._look(moved)
            if still != belongs:
                break
            seen, at = again, moved
        return seen, belongs, at

    def _look(self, at: Mapping[str, Array]) -> tuple[list[Seen], list[Belongs]]:
        found = [
            (seen_of(one, self.coming.plant, self.unknowns, at[one.belongs.code]), one.belongs)
            for one in self.batches
        ]
        found += [(seen_of_lot(one, self.unknowns), one.belongs) for one in self.lots]
        there = [(seen, belongs) for seen, belongs in found if seen is not None]
        return [seen for seen, _ in there], [belongs for _, belongs in there]

    @property
    def seen(self) -> list[Seen]:
        return self._last_looked[0]

    @property
    def belongs(self) -> list[Belongs]:
        return self._last_looked[1]

    def _alike(self, belongs: Sequence[Belongs]) -> tuple[Array, Array, Array]:
        """Of each unknown, what is shared with whom: by levels, by the lot, and whether the rest is of the run."""
        every = [*belongs, self.coming]
        size = (len(self.unknowns), len(every), len(every))
        levels, of_lot, of_run = np.zeros(size), np.zeros(size), np.zeros(len(self.unknowns))
        for place, name in enumerate(self.unknowns):
            told = [levels_of(name, one) for one in every]
            for level in range(len(told[0][0])):
                keys = [one[0][level] for one in told]
                levels[place] += [[a[0] if a[1] == b[1] else 0.0 for b in keys] for a in keys]
            if told[0][1] == "run":
                of_run[place] = 1.0
            else:
                of_lot[place] = [[float(a[2] == b[2]) for b in told] for a in told]
        return levels, of_lot, of_run

    @cached_property
    def _grid(self) -> tuple[list[Fit], Array, Array]:
        """A fit for each guess of how runs differ, with its evidence, and how much it tells of each unknown."""
        alike = self._alike(self.belongs)
        fits, evidences, informed = [], [], []
        begun = {
            scale: _fit(self.seen, alike, MIDDLE_SHARE, scale, repeats=REPEATS).weights
            for scale in TOO_NARROW
        }
        for share, likely in RUN_SHARES.items():
            for scale, credible in TOO_NARROW.items():
                fit = _fit(self.seen, alike, share, scale, begun[scale])
                own = share * alike[2]
                before = (1.0 - share) * scale * alike[0][:, -1, -1] + share * alike[1][:, -1, -1] + own
                fits.append(replace(fit, covariance=fit.covariance + np.diag(own)))
                evidences.append(fit.log_evidence + np.log(likely * credible))
                informed.append(1.0 - np.diag(fits[-1].covariance) / before)
        return fits, np.array(evidences), np.array(informed)

    @cached_property
    def next_run(self) -> tuple[Array, Array, Array]:
        """Mean and covariance of the unknowns of the coming run, and how much of their variance was taken away [1]."""
        fits, _, informed = self._grid
        mean, covariance, shares = self._mixed
        del fits
        return mean, covariance, np.asarray(shares @ informed)

    @cached_property
    def _mixed(self) -> tuple[Array, Array, Array]:
        fits, evidences, _ = self._grid
        return mixed(
            np.array([one.mean for one in fits]), np.array([one.covariance for one in fits]), evidences
        )

    @property
    def places(self) -> dict[str, Array]:
        """Where the unknowns of each batch lie by every guess of how runs differ, as likely as it is."""
        means = np.einsum("f,fij->ij", self._mixed[2], np.array([one.run_means for one in self._grid[0]]))
        return dict(self._last_looked[2]) | _places(self.belongs, means)

    @property
    def off_by(self) -> float:
        """How far from where a batch was run its unknowns lie, in standard deviations of the starter [1]."""
        places, at = self.places, self._last_looked[2]
        return max((float(np.max(np.abs(places[one] - where))) for one, where in at.items()), default=0.0)

    @property
    def run_share(self) -> float:
        """Share of the starter's variance that is from run to run [1]."""
        shares = self._mixed[2].reshape(len(RUN_SHARES), len(TOO_NARROW)).sum(axis=1)
        return float(shares @ np.array(list(RUN_SHARES)))

    @property
    def far_off(self) -> tuple[str, ...]:
        """Batches that hardly count."""
        weights = self._mixed[2] @ np.array([one.weights for one in self._grid[0]])
        batches = {one.belongs.code for one in self.batches}
        return tuple(
            one.code
            for one, weight in zip(self.belongs, weights, strict=True)
            if one.code in batches and weight < FAR_OFF
        )

    def resembling(self, unknown: str) -> tuple[str, ...]:
        """Codes of the runs and lots that tell of an unknown and share something of it with the coming one."""
        at = list(self.unknowns).index(unknown)
        return tuple(
            one.code
            for seen, one in zip(self.seen, self.belongs, strict=True)
            if seen.slopes[:, at].any() and share_a_level(unknown, one, self.coming)
        )


def _fit(
    seen: Sequence[Seen],
    alike: tuple[Array, Array, Array],
    share: float,
    scale: float,
    weights: Array | None = None,
    repeats: int = FEW,
) -> Fit:
    levels, of_lot, of_run = alike
    common = (1.0 - share) * scale * levels + share * of_lot
    return robust_fit(seen, common, share / NORMAL_TO_T * of_run, weights, repeats)


def _places(belongs: Sequence[Belongs], means: Array) -> dict[str, Array]:
    return {one.code: np.clip(each, -FARTHEST, FARTHEST) for one, each in zip(belongs, means, strict=True)}


def _resembles(one: Belongs, coming: Belongs, unknowns: Mapping[str, Spread]) -> bool:
    return any(share_a_level(name, one, coming) for name in unknowns)


def _of_plant(request: PlanRequest) -> dict[str, Spread]:
    """What a starter assumes of the plant, whether or not this plan has read it."""
    taken = assumed_for(request.plant, request.order.aim, request.extraction, "as is")
    return {name: spread_of_known(taken[name]) for name in OF_PLANT}


def _own(starter: Known, spread: Spread, mean: float, deviation: float, said: str) -> Known:
    """An input as one's own runs have it, in the words of the starter's own spread."""
    value = float(spread.value(np.array([mean]))[0])
    width = spread.width * deviation
    doubt = width
    if spread.kind == "lognormal":
        doubt = float(np.sqrt(np.expm1(width**2)))
    elif spread.kind == "logit":
        doubt = width * value * (1.0 - value)
    return replace(
        starter, value=value, standard_uncertainty=doubt, origin="own runs", because=said, entry_no=None
    )


def _said(starter: Known, spread: Spread, own: Sequence[str], lots: Set[str]) -> str:
    """From how many runs and lots of one's own, and what the starter alone would have said."""
    runs = sum(one not in lots for one in own)
    counted = [
        (runs, t("one run") if runs == 1 else t("{count} runs", count=runs)),
        (len(own) - runs, t("one lot") if len(own) - runs == 1 else t("{count} lots", count=len(own) - runs)),
    ]
    low, high = (spread.at(one) for one in (0.05, 0.95))
    return t(
        "from {runs} of yours ({codes}); the starter alone would have said {value} ({range}) {unit}",
        runs=t(" and ").join(said for number, said in counted if number),
        codes=", ".join(own[-MOST_NAMED:]) + (" …" if len(own) > MOST_NAMED else ""),
        value=_short(starter.value),
        range=between(_short(low), _short(high)),
        unit=starter.unit,
    ).rstrip()


def _sure(tied: Array) -> Array:
    """Correlations a hair nearer to none, so that they can be drawn whatever the last digit."""
    return np.asarray((1.0 - HAIR) * tied + HAIR * np.eye(len(tied)))


HAIR = 1e-7
MOST_NAMED = 4


def _short(value: float) -> str:
    return f"{to_significant(value, 3):f}"
