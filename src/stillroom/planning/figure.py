"""What a figure of a plan is: its key, its words, its stage, and how it is taken from the draws."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.planning.stages import Asked
from stillroom.stream.components import Array

Stage: TypeAlias = Literal["filling", "packaging", "supply", "content", "house", "money"]
Takes: TypeAlias = Callable[[Asked], Array]


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the plan.

    Attributes
    ----------
    key, group, label, unit, basis : str
    stage : str
        Decides which inputs its trail carries.
    takes : callable
        From what is asked to one value for each draw.
    says : str
        The figure in one sentence.
    at : "median", "upper limit" or "mean"
        Which figure of the draws the plan says to have.
    sources : tuple of str
    """

    key: str
    group: str
    label: str
    unit: str
    stage: Stage
    takes: Takes
    says: str
    at: Literal["median", "upper limit", "mean"] = "median"
    basis: str = ""
    sources: tuple[str, ...] = ()


OIML = ("oiml-r22-1975",)
BOILING = ("ethanol-water-nrtl-vle-ig", "perry-8-dippr101", "rayleigh-1902")
PRACTICE = ("extraction-practice",)
QUININE = "alkaloids as quinine"
