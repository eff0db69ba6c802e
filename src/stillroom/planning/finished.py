"""A finished batch as a witness of its inputs: what was weighed and assayed, as a straight line of what was unknown.

The stream of the batch is run where its unknowns are now thought to be, and a little to either side of each (a Laplace
step); it is run again where they moved. Inputs of the batch that are no unknowns of the next plan (its spirit as it was
read) only widen the reading.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from stillroom.errors import StillroomError
from stillroom.planning.plan_inputs import Known, spread_of
from stillroom.planning.resemblance import OF_PLANT, Belongs, unknowns_of
from stillroom.planning.shelf_inputs import feeds_of
from stillroom.planning.stages import plant_of, settings_of
from stillroom.quantities.spread import Spread
from stillroom.records.procedures import Procedure
from stillroom.science.measuring.hierarchical import Seen
from stillroom.stream.account import Account
from stillroom.stream.components import MARKER, OTHERS, SOLIDS, Array, Grams, whole_mass
from stillroom.stream.run import run_for_record

STEP = 0.25
"""How far to either side the stream is run, in standard deviations of the starter. [1]"""
FARTHEST = 6.0
"""No unknown is looked for further from the starter's middle than this. [1]"""
MARC_DRY_DOUBT, LEFT_DOUBT = 0.02, 0.1
"""Standard uncertainty of a dried marc and of what a second extraction finds beside the first, as shares of them: a
marc keeps some moisture, and a portion is not the whole (assumed). [1]"""
WITHIN_REACH = {MARKER: "marker_within_reach_share", OTHERS: "others_within_reach_share"}
"""Settings by which a step that extracts says what it can reach."""


@dataclass(frozen=True)
class Finished:
    """A finished extraction."""

    belongs: Belongs
    procedure: Procedure
    plant_g: float
    """Plant weighed in, as is. [g]"""
    inputs: Mapping[str, Known]
    """By role, each as the starter says it, or as it was read where no starter says it."""
    weighed: Mapping[str, tuple[float, float]]
    """What each thing given weighed, and its standard uncertainty as a share of it. [g, 1]"""
    content: tuple[float, float] | None = None
    """Marker in the product as assayed, and its standard uncertainty as a share of it. [% w/w, 1]"""
    poured: Mapping[str, float] = field(default_factory=dict)
    """By how much more than the procedure says was poured, by the role of its setting. [1]"""
    dry_marc_g: float = 0.0
    """The marc, dried; 0 where nobody weighed it. [g]"""
    left_share: float = 0.0
    """Of all that run and marc held, what was left in the marc by a second extraction of it; 0 where there
    was none. [1]"""

    def __hash__(self) -> int:
        """The same for the same run; what its mappings hold decides with equality."""
        return hash((self.belongs, self.plant_g, self.content, self.dry_marc_g))

    @property
    def product(self) -> str:
        """What its last step gives first."""
        return self.procedure.steps[-1].gives[0]


@dataclass(frozen=True, slots=True)
class LotAssayed:
    """What was measured of a lot of plant itself."""

    belongs: Belongs
    measured: Mapping[str, tuple[float, float]]
    """Role and value with its standard uncertainty, on the basis of the plan. [%]"""

    def __hash__(self) -> int:
        """The same for the same lot and figures."""
        return hash((self.belongs, tuple(self.measured.items())))


def spread_of_known(one: Known) -> Spread:
    """The spread of an input."""
    return spread_of(one.spread, one.value, one.uncertainty_in_unit)


def assumed_spreads(inputs: Mapping[str, Known], procedure: Procedure) -> dict[str, tuple[str, Spread]]:
    """Each unknown of an extraction that somebody assumed, with its role and its spread.

    Parameters
    ----------
    inputs : mapping of str to Known
        By role.
    """
    named = unknowns_of(procedure)
    found = {}
    for role, one in inputs.items():
        base = next((name for name in OF_PLANT if role.startswith(name)), named.get(role, ""))
        spread = spread_of_known(one)
        if base and one.origin == "assumed" and spread.varies:
            found[base] = (role, spread)
    return found


def seen_of(batch: Finished, plant: str, unknowns: Mapping[str, Spread], at: Array) -> Seen | None:
    """What a batch says of the unknowns, as a straight line about where they are now thought to be.

    Parameters
    ----------
    plant : str
        Of the plan that asks; of another plant, what is the plant's own only widens the reading.
    unknowns : mapping of str to Spread
        Of the plan that asks.
    at : array
        Where each unknown is thought to be, in standard deviations of its spread. [1]

    Returns
    -------
    Seen or None
        None where the stream of the batch reaches nothing that was weighed.
    """
    spreads, columns = _spreads(batch, plant, unknowns)
    count = len(unknowns)
    centre = np.zeros(len(spreads))
    for place, column in enumerate(columns):
        if column >= 0:
            centre[place] = at[column]
    moved = np.vstack(
        [centre, *(centre + sign * STEP * row for row in np.eye(len(spreads)) for sign in (1, -1))]
    )
    found = _readings(batch, dict(zip(spreads, moved.T, strict=True)), spreads)
    if found is None:
        return None
    forecast, shown, variances = found
    slopes = (forecast[:, 1::2] - forecast[:, 2::2]) / (2.0 * STEP)
    ours = np.array([place for place, column in enumerate(columns) if column >= 0], dtype=int)
    rest = np.array([place for place, column in enumerate(columns) if column < 0], dtype=int)
    of_unknowns = np.zeros((len(shown), count))
    of_unknowns[:, [columns[place] for place in ours]] = slopes[:, ours]
    besides = slopes[:, rest] @ slopes[:, rest].T
    return Seen(
        of_unknowns,
        shown - forecast[:, 0] + of_unknowns @ at,
        np.diag(variances) + besides,
    )


def seen_of_lot(lot: LotAssayed, unknowns: Mapping[str, Spread]) -> Seen | None:
    """What the assay and the drying of a lot say of the unknowns of its plant."""
    names = list(unknowns)
    wanted = {role: one for role, one in lot.measured.items() if role in unknowns}
    slopes, shown = np.zeros((len(wanted), len(names))), np.zeros(len(wanted))
    scatter = np.zeros((len(wanted), len(wanted)))
    for place, (role, (value, doubt)) in enumerate(wanted.items()):
        spread = unknowns[role]
        slopes[place, names.index(role)] = 1.0
        shown[place] = _normal_of(spread, value)
        beside = _normal_of(spread, value + doubt) - shown[place]
        scatter[place, place] = max(beside, 1e-3) ** 2
    return Seen(slopes, shown, scatter) if wanted else None


def _normal_of(spread: Spread, value: float) -> float:
    """Standard deviations of a spread at which it has a value."""
    if spread.kind == "lognormal":
        return float(np.log(value / spread.middle) / spread.width)
    if spread.kind == "logit":
        odds = value * (1.0 - spread.middle) / ((1.0 - value) * spread.middle)
        return float(np.log(odds) / spread.width)
    return (value - spread.middle) / spread.width


def _spreads(
    batch: Finished, plant: str, unknowns: Mapping[str, Spread]
) -> tuple[dict[str, Spread], list[int]]:
    """Spread of each input of the batch that varies, by role, and which unknown it is; -1 for none."""
    named = {role: base for base, (role, _) in assumed_spreads(batch.inputs, batch.procedure).items()}
    order = {name: place for place, name in enumerate(unknowns)}
    spreads, columns = {}, []
    for role, one in batch.inputs.items():
        spread = spread_of_known(one)
        if not spread.varies:
            continue
        base = named.get(role, "")
        column = -1 if base in OF_PLANT and batch.belongs.plant != plant else order.get(base, -1)
        spreads[role] = spread if column < 0 else unknowns[base]
        columns.append(column)
    return spreads, columns


def _readings(
    batch: Finished, normals: Mapping[str, Array], spreads: Mapping[str, Spread]
) -> tuple[Array, Array, Array] | None:
    """Logarithms of what would be read, of what was read, and the variance of that."""
    values: dict[str, float | Array] = {
        role: spreads[role].value(np.clip(normals[role], -FARTHEST - STEP, FARTHEST + STEP))
        if role in spreads
        else one.value
        for role, one in batch.inputs.items()
    }
    for role, factor in batch.poured.items():
        values[role] = values[role] * factor
    draws = len(next(iter(normals.values()))) if normals else 1
    medians = {role: one.value for role, one in batch.inputs.items()}
    try:
        feeds = feeds_of(batch.procedure, values, plant_of(values, medians))
    except StillroomError:
        return None
    account = run_for_record(
        batch.procedure, feeds, settings_of("extraction", values), np.float64(batch.plant_g), draws
    )
    forecast, shown, variances = [], [], []
    for line, (mass_g, share) in batch.weighed.items():
        if account.gives(line) and mass_g > 0:
            expected = np.broadcast_to(whole_mass(account.given(line)), draws)
            if np.min(expected) > 0:
                forecast.append(np.log(expected))
                shown.append(np.log(mass_g))
                variances.append(share**2)
    if batch.content is not None and account.gives(batch.product):
        extract = account.given(batch.product)
        strength = extract[MARKER] / np.maximum(whole_mass(extract), 1e-30)
        if np.min(strength) > 0 and batch.content[0] > 0:
            forecast.append(np.log(100.0 * strength))
            shown.append(np.log(batch.content[0]))
            variances.append(batch.content[1] ** 2)
    for one, read, doubt in _of_the_marc(batch, account, values):
        if np.min(one) > 0:
            forecast.append(np.log(np.broadcast_to(one, draws)))
            shown.append(np.log(read))
            variances.append(doubt**2)
    if not shown:
        return None
    return np.vstack(forecast), np.array(shown), np.array(variances)


def _of_the_marc(
    batch: Finished, account: Account, values: Mapping[str, float | Array]
) -> Iterator[tuple[Array, float, float]]:
    """What the marc would show, what it showed, and the standard uncertainty of that as a share of it."""
    marcs = [one for one in account.outs.values() if np.max(one[SOLIDS]) > 0]
    if not marcs or not account.from_shelf:
        return
    marc: Grams = sum(marcs[1:], marcs[0])
    if batch.dry_marc_g > 0:
        yield np.asarray(marc[SOLIDS] + marc[MARKER] + marc[OTHERS]), batch.dry_marc_g, MARC_DRY_DOUBT
    reaches = [
        roles
        for step in batch.procedure.steps
        if values.keys()
        >= set(
            (
                roles := {part: f"extraction/{step.name}/{name}" for part, name in WITHIN_REACH.items()}
            ).values()
        )
    ]
    if not 0.0 < batch.left_share < 1.0 or len(reaches) != 1:
        return
    plant = account.from_shelf[batch.procedure.scaled_by]
    inside, came = np.zeros(1), np.zeros(1)
    for part, role in reaches[0].items():
        inside = inside + marc[part] - (1.0 - values[role]) * plant[part]
        came = came + plant[part] - marc[part]
    yield (
        np.asarray(inside / np.maximum(came, 1e-30)),
        batch.left_share / (1.0 - batch.left_share),
        LEFT_DOUBT,
    )
