"""What a figure of a plan is: its key, its words, its stage, and how it is taken from the draws."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from stillroom.planning.route import Chain
from stillroom.planning.stages import Asked
from stillroom.stream.components import Array
from stillroom.texts.catalogue import capital

Stage: TypeAlias = Literal["filling", "packaging", "supply", "content", "house", "money"]
Takes: TypeAlias = Callable[[Asked], Array]
Applies: TypeAlias = Callable[[Chain], bool]


def always(chain: Chain) -> bool:  # noqa: ARG001
    """In every plan."""
    return True


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the plan."""

    key: str
    group: str
    label: str
    unit: str
    stage: Stage
    """Decides which inputs its trail carries."""
    takes: Takes
    """From what is asked to one value for each draw."""
    says: str
    """The figure in one sentence."""
    at: Literal["median", "upper limit", "mean"] = "median"
    """Which figure of the draws the plan says to have."""
    basis: str = ""
    sources: tuple[str, ...] = ()
    applies: Applies = always
    """Whether a chain has such a figure."""

    def about(self, chain: Chain) -> "Figure":
        """The same figure with the marker of a chain in its words."""
        words = {"marker": chain.marker, "Marker": capital(chain.marker), "both": " and ".join(chain.both)}
        sources = self.sources
        label, says, basis = (one.format(**words) for one in (self.label, self.says, self.basis))
        if self.key == "share_within_percent" and not chain.bounded:
            label, says = UNBOUNDED
        if self.key == "fill_g" and chain.by_mass:
            says, sources = BY_MASS, ()
        return replace(self, label=label, says=says, basis=basis, sources=sources)


BY_MASS = "Nominal content by mass, and the overfill."
UNBOUNDED = (
    "How sure it reaches what is declared",
    "Share of the draws whose strength is at least the declared one; no ceiling is known.",
)


OIML = ("oiml-r22-1975",)
BOILING = ("ethanol-water-nrtl-vle-ig", "perry-8-dippr101", "rayleigh-1902")
PRACTICE = ("extraction-practice",)
