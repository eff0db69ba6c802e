"""What is known about a material, so that one basis can be restated as another.

Holds figures only; each comes from a reading, a published row or a named assumption of whoever fills it in.
Nothing is assumed here: an absent fact stays absent.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from stillroom.errors import BadEntry, worded
from stillroom.quantities.basis import Matter

_MEAN = "mean of "


@dataclass(frozen=True, slots=True)
class ExtractYield:
    """How much extract a plant gave."""

    mass_fraction: float
    """Grams of extract for each gram of plant [g/g]."""
    extract_matter: Matter
    """How the extract was weighed [text]."""
    plant_matter: Matter
    """How the plant was weighed [text]."""

    def __post_init__(self) -> None:
        _require(
            0 < self.mass_fraction <= 1,
            "An extraction yield lies above 0 and at most at 1 g/g",
            self.mass_fraction,
        )


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known about the material; each part may be absent."""

    molar_mass_g_mol: Mapping[str, float] = field(default_factory=dict)
    """By name of compound [g/mol]."""
    markers_per_formula: Mapping[str, int] = field(default_factory=dict)
    """How many of the marker one formula unit holds, where not one: 2 for quinine sulfate [1]."""
    form_of: Mapping[str, str] = field(default_factory=dict)
    """One of "base", "acid" or "salt" by name of compound [text]."""
    loss_on_drying_mass_fraction: Mapping[str, float] = field(default_factory=dict)
    """By kind of whole ("plant", "extract", "product"), of the whole as is [g/g]."""
    density_g_ml: float | None = None
    """Density of the whole [g/mL]."""
    density_of_part_g_ml: float | None = None
    """Density of what is counted, as a pure liquid [g/mL]."""
    density_temperature_c: float | None = None
    """The temperature of both densities [°C]."""
    spirit_mass_fraction: Callable[[float, float], float] | None = None
    """Ethanol volume fraction and reference temperature to mass fraction [(mL/mL, °C) to g/g]."""
    spirit_volume_fraction: Callable[[float, float], float] | None = None
    """Ethanol mass fraction and reference temperature to volume fraction [(g/g, °C) to mL/mL]."""
    extract_yield: ExtractYield | None = None
    """Grams of extract a gram of plant gave [g/g]."""
    recovered_fraction: float | None = None
    """Part of the plant's content that went into the extract [1]."""

    def __post_init__(self) -> None:
        for name, molar_mass in self.molar_mass_g_mol.items():
            _require(0 < molar_mass < 1e6, f"The molar mass of {name} must lie above zero", molar_mass)
        for name, count in self.markers_per_formula.items():
            _require(count >= 1, f"A formula unit of {name} must hold at least one marker", count)
        for kind, loss in self.loss_on_drying_mass_fraction.items():
            _require(0 <= loss < 1, f"The loss on drying of {kind} is a fraction below 1", loss)
        for density in (self.density_g_ml, self.density_of_part_g_ml):
            _require(density is None or 0 < density < 25, "A density lies between 0 and 25 g/mL", density)
        recovered = self.recovered_fraction
        _require(
            recovered is None or 0 < recovered <= 1,
            "A recovered fraction lies above 0 and at most at 1",
            recovered,
        )

    def grams_per_marker(self, compound: str) -> float:
        """Grams of a compound that hold one mole of the marker.

        Parameters
        ----------
        compound : str
            Name of the compound, or "mean of A and B" [text].

        Returns
        -------
        float
            Molar mass divided by the markers in one formula unit [g/mol].

        Raises
        ------
        BadEntry
            The molar mass was not given.

        Notes
        -----
        The mean of two alkaloids is the plain mean of their molar masses, as titrations of mixed alkaloids
        are reckoned (common practice, no source).
        """
        masses = {_same(name): mass for name, mass in self.molar_mass_g_mol.items()}
        counts = {_same(name): count for name, count in self.markers_per_formula.items()}
        name = _same(compound)
        if name in masses:
            return masses[name] / counts.get(name, 1)
        if name.startswith(_MEAN):
            both = name.removeprefix(_MEAN).split(" and ")
            return sum(self.grams_per_marker(one) for one in both) / len(both)
        raise BadEntry(
            worded("The molar mass of {compound} would be needed", compound=compound),
            do="Enter it, or leave the compound as it is",
        )


def _same(text: str) -> str:
    return " ".join(text.casefold().split())


def _require(holds: bool, must: str, got: float | None) -> None:
    if not holds or (got is not None and not math.isfinite(got)):
        raise BadEntry(must, repr(got))
