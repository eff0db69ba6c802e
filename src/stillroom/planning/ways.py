"""Ways of extracting side by side: what a charge of one plant gives and takes by each, from the plan's own draws.

Every way is the same charge planned, with inputs of one name drawn together, so that what they share (the plant, the
house) moves them alike. What a way cannot do with the glass at hand is told beside its figures, never hidden; nothing
is recommended but by the figures.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.errors import StillroomError
from stillroom.planning.lawful import refuse_plants_and_solvents
from stillroom.planning.lines import asked_of, chain_of, inputs_of, lines_of
from stillroom.planning.outcome import PlanLine, line_of
from stillroom.planning.request import PlanRequest
from stillroom.planning.route import spirit_lines
from stillroom.planning.stages import settings_of, supply
from stillroom.planning.totals import charge_unpriced
from stillroom.stream.run import runs_of
from stillroom.substances.remembering import remember

YIELD, COST = "recovery_percent", "charge_cost"
COMPARED = (
    YIELD,
    "charge_active_g",
    "extract_from_charge_g",
    "charge_hands_h",
    "charge_watch_h",
    "charge_clock_h",
    "charge_spirit_ml",
    "charge_spirit_lost_ml",
    "charge_water_l",
    COST,
    "charge_cost_per_g",
)
"""Keys of the figures that ways are compared by, in the order they are told."""


OF_SPIRIT = ("charge_spirit_ml", "charge_spirit_lost_ml")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A way that might be taken."""

    name: str
    title: str
    request: PlanRequest | None
    """Of its charge; None where it cannot be planned at all."""
    warned: str = ""
    """What speaks against it for this marker."""
    cannot: tuple[str, ...] = ()
    """Why it cannot be done, before anything is calculated."""


@dataclass(frozen=True, slots=True)
class WayCompared:
    """A way with its figures."""

    way: Candidate
    lines: tuple[PlanLine, ...] = ()
    """What is nothing in every draw is left out."""
    cannot: tuple[str, ...] = ()
    """Why it cannot be done with what there is."""
    unpriced: tuple[str, ...] = ()
    """What its cost leaves out."""

    @property
    def can(self) -> bool:
        """Whether it can be done with what there is."""
        return bool(self.lines) and not self.cannot

    def line(self, key: str) -> PlanLine | None:
        """The figure of that key; None where it is nothing."""
        return line_of(self.lines, key)


def compared(candidates: Sequence[Candidate], plant_g: float) -> tuple[WayCompared, ...]:
    """Ways side by side: those that can be done first, by their yield.

    Parameters
    ----------
    plant_g : float
        Mass of plant as is. [g]
    """
    found = [compared_way(one, plant_g) for one in candidates]
    return tuple(sorted(found, key=_order))


@remember(32)
def compared_way(way: Candidate, plant_g: float) -> WayCompared:
    """One way with its figures.

    Parameters
    ----------
    plant_g : float
        [g]
    """
    if way.request is None:
        return WayCompared(way, cannot=way.cannot)
    try:
        refuse_plants_and_solvents(way.request.extraction)
        inputs = inputs_of(way.request, plant_g)
        asked = asked_of(way.request, inputs)
        found = supply(asked.only("supply"))
        runs = runs_of(found.extraction, found.charge, settings_of("extraction", found.drawn.values))
        with_spirit = bool(spirit_lines(way.request.extraction))
        keys = [one for one in COMPARED if with_spirit or one not in OF_SPIRIT]
        lines = lines_of(keys, asked, inputs, chain_of(way.request, inputs))
    except StillroomError as error:
        return WayCompared(way, cannot=(*way.cannot, error.sentence))
    cannot = (*way.cannot, *(trouble.sentence for one in runs.values() for trouble in one.cannot))
    return WayCompared(way, lines, tuple(dict.fromkeys(cannot)), charge_unpriced(asked.only("money")))


def _order(one: WayCompared) -> tuple[bool, float]:
    line = one.line(YIELD)
    return not one.can, -(line.median if line else 0.0)
