"""What a kind of step is: its doors, its named losses, the settings it reads, its work and its cautions.

A kind does not know which procedure uses it. It promises that all that goes in comes out or is a named loss;
the run checks that in every draw.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from stillroom.errors import StillroomError
from stillroom.stream.components import Array, Grams, Number
from stillroom.texts.catalogue import later

Settings: TypeAlias = Mapping[str, Number]
MARKER_G_MOL = "marker_g_mol"
"""What a step may be told: molar mass of the compound the marker is counted as. [g/mol]"""
STANDS = later("Nothing is heated: cover it, and it may stand. Write for how long.")
BOILING = later(
    "Heater off at the plug and away from the flask. Leave the cooling running if there is any, open the "
    "receiver to the air, and let it go cold. Fresh chips before it boils again."
)
"""What standing and what boiling needs when water or power goes."""
ALTITUDE_M = "altitude_m"
"""What a step may be told: height of the laboratory above the sea, none where nobody says. [m]"""
LOT_PARTICLE_MM = "lot_particle_mm"
"""What a step may be told: middle particle of the lot that goes in, which comes before the procedure's own. [mm]"""
Does: TypeAlias = Literal[
    "brings to strength",
    "mixes",
    "blends",
    "extracts",
    "recovers",
    "strips",
    "cleans",
    "dries",
    "bottles",
    "",
]
Bed: TypeAlias = Literal["stands", "drips", ""]
Reagent: TypeAlias = Literal["acid", "ammonia", "clean-up solvent", ""]


@dataclass(frozen=True, slots=True)
class Feed:
    """What stands on the shelf for a line of a procedure."""

    makeup: Mapping[str, Number]
    """Component and its share of the mass. [g/g]"""
    density_g_ml: Number | None = None
    """Density at 20 °C, where the line is measured by volume. [g/mL]"""


@dataclass(frozen=True, slots=True)
class StepOutput:
    """What a step gave: one stream for each outlet, and the named losses."""

    outlets: tuple[Grams, ...]
    losses: Mapping[str, Grams] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Work:
    """What a step asks of people and of the house.

    ``hands_min``, ``watch_min``, ``free_min``: minutes that need hands, watching eyes, nobody. [min]
    """

    hands_min: Number = 0.0
    watch_min: Number = 0.0
    free_min: Number = 0.0
    heat_kwh: Number = 0.0
    """Electric energy for heating. [kWh]"""
    cooling_j: Number = 0.0
    """Heat the cooling water carries away. [J]"""


@dataclass(frozen=True, slots=True)
class RunFigure:
    """One figure of how a step runs."""

    label: str
    """In the trade's words, waiting to be said in a language."""
    values: Number
    """One of each draw."""
    unit: str


@dataclass(frozen=True, slots=True)
class SiphoningsPlanned:
    """The siphonings of one filling, as planned: every figure for each draw.

    ``washed_share``, ``slow_min``: of the same, as fine and as warm as it is. [1, min]
    ``siphon_ml``, ``heel_ml``, ``sorption_ml``: liquid at the crest, what stays of it, hold of the plant as
    liquid. [mL]
    """

    minutes: Array
    """From the first drop to each siphoning. [min]"""
    left_share: Array
    """Of what dissolves and is within reach: still in the thimble after each. [1]"""
    washed_share: Array
    slow_min: Array
    siphon_ml: Array
    heel_ml: Array
    sorption_ml: Array
    within_reach_g: Array
    """Marker and everything else that dissolves. [g]"""


@dataclass(frozen=True, slots=True)
class BedPlanned:
    """Plant and liquid that stand or drip, as planned: every figure for each draw."""

    dry_g: Array
    """Plant without its water. [g]"""
    liquid_ml: Array
    """What holds what is dissolved: hold of the plant and, where it stands, its own water in. [mL]"""
    within_reach_g: Array
    """Marker and everything else that dissolves. [g]"""
    off_kg_m3: Array
    """By what the plant's own water moves the density of the liquid poured on it. [kg/m3]"""
    washed_share: Array | None = None
    """As fine as the plant is ground; None where the step says neither this nor the time. [1]"""
    slow_min: Array | None = None
    """[min]"""


@dataclass(frozen=True, slots=True)
class Runs:
    """How a step runs."""

    figures: tuple[RunFigure, ...] = ()
    """With their spread."""
    says: tuple[str, ...] = ()
    """What is to be known before it begins."""
    minutes: Number = 0.0
    """From heater on to its end, all fillings. [min]"""
    cannot: tuple[StillroomError, ...] = ()
    """Why it cannot be planned with what the laboratory has; a record is never refused by it."""
    siphonings: SiphoningsPlanned | None = None
    """Of a Soxhlet."""
    bed: BedPlanned | None = None
    """Of a maceration or a percolation."""


Works: TypeAlias = Callable[[tuple[Grams, ...], Settings], StepOutput]
Asks: TypeAlias = Callable[[tuple[Grams, ...], tuple[Grams, ...], Settings], Work]
Shows: TypeAlias = Callable[[tuple[Grams, ...], Settings], Runs]
TakesUp: TypeAlias = Callable[[tuple[Feed, ...], Settings, Number], tuple[Number, ...]]


def said_or(settings: Settings, name: str, instead: Number) -> Number:
    """A setting, or what is taken where it is left out.

    Parameters
    ----------
    instead : float or array
        In the unit of the setting. [-]
    """
    return settings[name] if name in settings else instead  # noqa: SIM401  a test notes what is asked for


def no_work(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    """Nothing beyond the minutes the procedure itself states."""
    return Work()


@dataclass(frozen=True, slots=True)
class StepKind:
    """One kind of step.

    ``inlets``, ``outlets``: what goes in and comes out, in order. With ``any_number`` the last inlet may be
    repeated.
    """

    name: str
    """Key in ``KINDS``, used by procedures."""
    inlets: tuple[str, ...]
    outlets: tuple[str, ...]
    losses: tuple[str, ...]
    """Where mass goes that is neither an outlet nor created; each has its own model. Empty only where nothing
    is lost."""
    settings: tuple[str, ...]
    """Names of the settings it reads, units in the name."""
    weighed: tuple[str, ...]
    """Which of its inlets and outlets are worth weighing at the bench."""
    says: str
    """One sentence for a person."""
    when_off: str
    """What it needs when water or power goes. Common practice, no source; its cautions and local codes come
    before it, and heat off at the plug before all of them."""
    works: Works
    """Inlets and settings to outlets and losses."""
    asks: Asks = no_work
    """Minutes, heat and cooling, from inlets, outlets and settings."""
    takes_up: TakesUp | None = None
    """How much of each shelf line it takes, where that is not simply in proportion."""
    cautions: tuple[str, ...] = ()
    """Keys of ``reference.cautions`` that always belong to it."""
    turns: tuple[tuple[int, ...], ...] = ()
    """Groups of components that may become one another; their sum must close."""
    any_number: bool = False
    """The last inlet may be repeated."""
    sources: tuple[str, ...] = ()
    """Keys of ``reference/sources.toml``."""
    told: tuple[str, ...] = ()
    """What the run may tell it beside its settings ("marker_g_mol", "altitude_m"); without it the step asks
    less, or takes what is usual."""
    does: Does = ""
    """What it is for in a chain: "brings to strength" spirit, "mixes" a liquid, "blends" a formula,
    "extracts" the plant, "recovers" spirit (its first or named outlet is what is caught), "strips" the
    clean-up solvent, "cleans", "dries", "bottles"; "" where nothing hangs on it."""
    reagent: Reagent = ""
    """What it takes from the shelf beside the liquor; "" for nothing."""
    may: tuple[str, ...] = ()
    """Settings that a procedure may leave out; the step does without, or takes what is usual."""
    shows: Shows | None = None
    """How it runs, from inlets and settings: figures worth a look before it begins, and what is to be known."""
    bed: Bed = ""
    """How the plant lies in the liquid while it is watched: it "stands", or it "drips"; "" for no such watch."""
    runs_in: tuple[str, ...] = ()
    """Kinds of apparatus it runs in, of which one each may be noted with a batch."""
    reckons_stays: bool = False
    """Whether it reckons with glycerol and oil in what goes in; of another kind they are refused, never lost."""
    longer: str = ""
    """The setting that lets it last longer and bring more; "" where more liquid does, or where nothing is
    extracted."""

    @property
    def known_settings(self) -> tuple[str, ...]:
        """Names of every setting it may be given."""
        return (*self.settings, *self.may)
