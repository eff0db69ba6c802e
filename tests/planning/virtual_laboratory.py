"""Laboratories that never were, with hidden truths: plants, places, ways and hands, and readings that are a little off.

The truth is drawn about the starter by a rule that is *not* the memory's own: what differs from run to run and from
place to place has a share of its own for each setting, and one run in twelve is spoiled half way. Who plans sees
nothing but weighings and assays.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from stillroom.planning.finished import Finished, LotAssayed, assumed_spreads
from stillroom.planning.forecast import charge_account, charge_draws
from stillroom.planning.inputs import all_inputs, only_roles
from stillroom.planning.lines import asked_of
from stillroom.planning.memory import Remembered, remembered, with_memory
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.resemblance import ASSAY, DRYING, OF_HOUSE, OF_PLANT, Belongs, how_of
from stillroom.planning.shelf_inputs import feeds_of
from stillroom.planning.stages import plant_of, settings_of, supply
from stillroom.stream.account import Account
from stillroom.stream.components import MARKER, whole_mass
from stillroom.stream.run import run
from tests.planning.any_plant import WAYS, asked

Floats = NDArray[np.float64]
SPOILED = 1.0 / 12.0
DRAWS = 512
CHARGE_G = 200.0


@dataclass
class VirtualLaboratory:
    """One laboratory with its hidden truth.

    Attributes
    ----------
    seed : int
    way : str
        One of ``any_plant.WAYS``.
    plant : str
        "" for the usual one of the way.
    """

    seed: int
    way: str
    plant: str = ""
    batches: list[Finished] = field(default_factory=list)
    lots: list[LotAssayed] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.chance = np.random.default_rng(self.seed)
        self.request: PlanRequest = asked(self.way, self.plant, draws=DRAWS)
        inputs = only_roles(all_inputs(self.request), "supply")
        self.inputs = inputs
        self.asked = assumed_spreads(inputs, self.request.extraction)
        self.hidden = {name: _Hidden(self.chance) for name in self.asked}
        self.of_lot: dict[str, dict[str, float]] = {}

    def belongs(self, number: int) -> Belongs:
        """The run of that number: the first and the eleventh are of a new lot, from one of two places."""
        lot = (number + 2) // 3
        usual, marker, _ = WAYS[self.way]
        plant, how = self.plant or usual, how_of(self.request.extraction)
        return Belongs(plant, f"L{lot}", f"S{lot % 2}", f"B{number}", marker, how)

    def with_another(self, plant: str) -> "VirtualLaboratory":
        """The same house with everything it remembers, before a plant that it never had."""
        other = VirtualLaboratory(self.seed + 10_000, self.way, plant, self.batches, self.lots)
        house = {name: one for name, one in self.hidden.items() if name.partition("/")[2] in OF_HOUSE}
        other.hidden |= {name: one for name, one in house.items() if name in other.hidden}
        return other

    def truth(self, run_of: Belongs) -> dict[str, float]:
        """What the unknowns of a run are, by role; nobody sees them."""
        found = {}
        kept = self.of_lot.setdefault(run_of.lot, {})
        for name, (role, spread) in self.asked.items():
            one = self.hidden[name]
            if name in OF_PLANT:
                normal = kept.setdefault(name, one.of(run_of.supplier) + one.run())
            else:
                normal = one.of(run_of.supplier) + one.run()
            found[role] = float(spread.value(np.array([normal]))[0])
        return found

    def really(self, truth: dict[str, float], plant_g: float) -> Account:
        """What comes of a charge, exactly."""
        values = {role: truth.get(role, one.value) for role, one in self.inputs.items()}
        feeds = feeds_of(self.request.extraction, values, plant_of(values, values))
        return run(self.request.extraction, feeds, settings_of("extraction", values), plant_g, 1)

    def assayed(self, run_of: Belongs, truth: dict[str, float]) -> tuple[Known, ...]:
        """The lot's own assay and drying, each a little off."""
        found = []
        for base, doubt in ((ASSAY, 0.02), (DRYING, 0.3)):
            role = next((one for one in truth if one.startswith(base)), None)
            if role is None:
                continue
            sure = doubt * truth[role] if base == ASSAY else doubt
            value = truth[role] + sure * self.chance.normal()
            found.append(
                Known(base, f"lot {run_of.lot}/{base}", value, "%", sure, "normal", "reading", "read")
            )
        return tuple(found)

    def make(self, run_of: Belongs, truth: dict[str, float]) -> None:
        """A batch, weighed and assayed; now and then one is spoiled half way."""
        account = self.really(truth, CHARGE_G)
        steps = self.request.extraction.steps
        spoiled_at = int(self.chance.integers(len(steps))) if self.chance.random() < SPOILED else len(steps)
        kept_share = self.chance.uniform(0.5, 0.85)
        weighed = {}
        for at, step in enumerate(steps):
            for line in step.gives:
                if line in step.weighs:
                    mass = float(whole_mass(account.given(line))[0])
                    mass *= kept_share if at >= spoiled_at else 1.0
                    weighed[line] = (mass * float(np.exp(0.008 * self.chance.normal())), 0.0100)
        product = account.given(steps[-1].gives[0])
        strength = 100.0 * float(product[MARKER][0] / whole_mass(product)[0])
        found = strength * float(np.exp(0.02 * self.chance.normal()))
        if run_of.lot not in {one.belongs.lot for one in self.lots}:
            told = {one.role: (one.value, one.standard_uncertainty) for one in self.assayed(run_of, truth)}
            self.lots.append(LotAssayed(replace(run_of, code=run_of.lot), told))
        self.batches.append(
            Finished(run_of, self.request.extraction, CHARGE_G, self.inputs, weighed, (found, 0.02))
        )

    def planned(self, run_of: Belongs, known: tuple[Known, ...] = ()) -> tuple[PlanRequest, Remembered]:
        """What is asked for the next run, with everything remembered so far."""
        request = replace(self.request, known=known)
        own = remembered(request, run_of, tuple(self.batches), tuple(self.lots))
        return with_memory(request, own), own


class _Hidden:
    """An unknown of a laboratory: what stays, what follows the place, and what changes from run to run."""

    def __init__(self, chance: np.random.Generator) -> None:
        self.chance = chance
        run_share = chance.uniform(0.02, 0.2)
        place_share = chance.uniform(0.0, 0.25) * (1.0 - run_share)
        self._run = np.sqrt(run_share)
        self._stays = np.sqrt(1.0 - run_share - place_share) * chance.normal()
        self._places = dict(zip(("S0", "S1"), np.sqrt(place_share) * chance.normal(size=2), strict=True))

    def of(self, supplier: str) -> float:
        return float(self._stays + self._places[supplier])

    def run(self) -> float:
        return float(self._run * self.chance.normal())


@dataclass(frozen=True, slots=True)
class Order:
    """How an order went.

    Attributes
    ----------
    number : int
        Batches made before it.
    bands : mapping of str to (float, float, float)
        10, 90 % of the plan, and the truth: "extract", "marker" [g].
    wide, wide_alone : mapping of str to float
        Width of the band, and of the starter's alone. [g]
    claim : bool or None
        Whether the plant that was planned for 95 of 100 was enough.
    """

    number: int
    bands: dict[str, tuple[float, float, float]]
    wide: dict[str, float]
    wide_alone: dict[str, float]
    claim: bool | None


def orders_of(lab: VirtualLaboratory, count: int, *, claims: bool = True) -> Iterator[Order]:
    """Orders one after the other: planned, made, remembered.

    Parameters
    ----------
    lab : VirtualLaboratory
    count : int
    claims : bool
        Whether the plant is worked back too.
    """
    for number in range(count):
        run_of = lab.belongs(number)
        truth = lab.truth(run_of)
        yield ordered(lab, run_of, truth, number, claims=claims)
        lab.make(run_of, truth)


def ordered(
    lab: VirtualLaboratory, run_of: Belongs, truth: dict[str, float], number: int, *, claims: bool = True
) -> Order:
    """An order planned with everything remembered so far, beside what will come of it."""
    known = lab.assayed(run_of, truth) if number % 2 else ()
    request, _ = lab.planned(run_of, known)
    alone = replace(request, remembered=(), together=())
    real = _yields(lab.really(truth, CHARGE_G), lab.request)
    bands, wide, wide_alone = {}, {}, {}
    for name, drawn in _drawn(request).items():
        low, high = (float(one) for one in np.percentile(drawn, (10, 90)))
        bands[name] = (low, high, float(real[name][0]))
        wide[name] = high - low
    for name, drawn in _drawn(alone).items():
        low, high = (float(one) for one in np.percentile(drawn, (10, 90)))
        wide_alone[name] = high - low
    claim = None
    if claims:
        found = supply(asked_of(request, all_inputs(request)).only("supply"))
        made = lab.really(truth, found.plant_limit.value).given(request.extraction.steps[-1].gives[0])
        claim = bool(made[MARKER][0] >= found.active_g)
    return Order(number, bands, wide, wide_alone, claim)


def _drawn(request: PlanRequest) -> dict[str, Floats]:
    return _yields(charge_account(request, CHARGE_G, charge_draws(request)), request)


def _yields(account: Account, request: PlanRequest) -> dict[str, Floats]:
    product = account.given(request.extraction.steps[-1].gives[0])
    return {"extract": np.asarray(whole_mass(product)), "marker": np.asarray(product[MARKER])}
