"""What a run shares with another: which unknown follows the plant, which the way, which only the house.

An unknown of a plan is named by the kind of its step and its setting ("percolate/retention_ml_per_g"), so that two
procedures of one way meet. What stands here is the whole of what this laboratory takes to resemble: another plant and
another way are never moved by a plant or a way they share nothing with.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.records.procedures import Procedure
from stillroom.stream.kinds import kind_does

ASSAY, DRYING, OTHERS = "assay of the plant", "loss on drying", "other extractables"
OF_PLANT = (ASSAY, DRYING, OTHERS)
OF_HOUSE = frozenset(
    {
        "evaporated_share",
        "film_g",
        "fumes_share",
        "heat_reaching_share",
        "interface_share",
        "left_in_press_share",
        "liquor_in_filter_share",
        "lost_g_per_kg_h",
        "past_condenser_share",
        "ph",
        "pushed_out_share",
        "soft_extract_solids_mass_fraction",
        "solvent_in_liquid_share",
        "solvent_left_mg_per_kg",
        "water_in_oil_share",
        "water_in_solvent_g_per_g",
        "water_mass_fraction",
    }
)
"""Settings that follow glass, heater and hand, and not the plant."""
STRENGTH_STEP = 0.15
"""Spirits this far apart in strength are taken to be another way of extracting (chosen). [1]"""
Level: TypeAlias = tuple[float, tuple[str, ...]]
Inner: TypeAlias = Literal["lot", "run"]


@dataclass(frozen=True, slots=True)
class Belongs:
    """What a run belongs to.

    ``lot``, ``supplier``: "" where nobody says; such a run shares neither with any other.
    """

    plant: str
    """Substance that was extracted."""
    lot: str
    supplier: str
    code: str
    """Its own name."""
    marker: str = ""
    """What is counted in it."""
    how: str = ""
    """Strength of the liquid, in words that are the same for runs done alike."""
    grind: str = ""
    """Term of its grind; "" where nobody says, which counts as one grind."""
    apparatus: tuple[tuple[str, str], ...] = ()
    """Kind of each step, as its unknowns name it, and what that ran in; a kind of which nobody says counts as one."""
    place: str = ""
    """Where the plant grew; where nobody says, its supplier stands for it."""
    state: str = ""
    """One of "fresh", "dry" or ""."""

    def ran_in(self, kind: str) -> str:
        """What a kind of step ran in; "" where nobody says.

        Parameters
        ----------
        kind : str
            As an unknown names it.
        """
        return dict(self.apparatus).get(kind, "")


def kinds_numbered(procedure: Procedure) -> dict[str, str]:
    """Kind of each step by its name; the second of a kind has its number behind."""
    met: dict[str, int] = {}
    found: dict[str, str] = {}
    for step in procedure.steps:
        met[step.kind] = met.get(step.kind, 0) + 1
        found[step.name] = step.kind + (f" {met[step.kind]}" if met[step.kind] > 1 else "")
    return found


def unknowns_of(procedure: Procedure) -> dict[str, str]:
    """Role of each setting of an extraction, and the name of the unknown it is."""
    kinds = kinds_numbered(procedure)
    return {
        f"extraction/{step.name}/{one.name}": f"{kinds[step.name]}/{one.name}"
        for step in procedure.steps
        for one in step.settings
    }


def how_of(procedure: Procedure) -> str:
    """Strength of the extracting liquid of a procedure, in steps within which runs count as done alike."""
    for step in procedure.steps:
        if kind_does(step.kind, "brings to strength"):
            for one in step.settings:
                if one.name == "want_volume_fraction_20c":
                    return f"spirit {round(one.value / STRENGTH_STEP)}"
    return "spirit as sold" if any(one.substance.startswith("spirit") for one in procedure.lines) else "water"


def levels_of(unknown: str, run: Belongs) -> tuple[tuple[Level, ...], Inner, tuple[str, ...]]:
    """What a run shares of an unknown: levels with their share, whether the rest is of the lot or the run, and its key.

    Parameters
    ----------
    unknown : str
        "other extractables", "percolate/retention_ml_per_g".

    Returns
    -------
    (tuple of (float, tuple of str), "lot" or "run", tuple of str)
        Shares of what does not change from lot to lot, or from run to run; they sum to one. [1]
    """
    supplier = ("supplier", run.plant, run.supplier or run.code)
    place = ("place", run.plant, run.place or run.supplier or run.code)
    lot = ("lot", run.lot or run.code)
    if unknown in (ASSAY, DRYING):
        counted = (run.marker,) if unknown == ASSAY else (run.state,) if run.state == "fresh" else ()
        levels: tuple[Level, ...] = (
            (0.7, ("plant", run.plant, *counted)),
            (0.15, (*supplier, *counted)),
            (0.15, (*place, *counted)),
        )
        return levels, "lot", (*lot, *counted)
    if unknown == OTHERS:
        liquid = run.how.partition(" ")[0]
        levels = (
            (0.5, ("plant", run.plant, liquid)),
            (0.12, ("plant", run.plant, run.how)),
            (0.08, ("plant", run.plant, run.grind, liquid, "ground")),
            (0.15, (*supplier, liquid)),
            (0.15, (*place, liquid)),
        )
        return levels, "lot", (*lot, liquid)
    kind, _, setting = unknown.partition("/")
    if setting in OF_HOUSE:
        levels = (
            (0.7, ("house", kind)),
            (0.15, ("house", kind, run.how)),
            (0.15, ("house", kind, run.ran_in(kind), "in")),
        )
        return levels, "run", ("run", run.code)
    levels = (
        (0.5, ("plant", run.plant, run.marker, kind)),
        (0.13, ("plant", run.plant, run.marker, kind, run.how)),
        (0.12, ("plant", run.plant, run.marker, kind, run.grind, run.ran_in(kind))),
        (0.125, (*supplier, run.marker, kind)),
        (0.125, (*place, run.marker, kind)),
    )
    return levels, "run", ("run", run.code)


def share_a_level(unknown: str, one: Belongs, other: Belongs) -> bool:
    """Whether two runs have anything in common of an unknown."""
    mine, _, inner = levels_of(unknown, one)
    theirs, _, beside = levels_of(unknown, other)
    return inner == beside or any(a[1] == b[1] for a, b in zip(mine, theirs, strict=True))
