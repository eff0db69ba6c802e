"""Acid and ammonia: resin drops from the acid liquor, ammonia sets the bases free.

The turning of acid and ammonia into ammonium chloride is declared and closes in mass: HCl + NH3 -> NH4Cl,
36.461 + 17.031 = 53.492 g/mol (iupac-atomic-weights). Says nothing about pH; that is read at the bench and
set. The acid a marker needs is reckoned where its molar mass is told; without it only the bench can tell.
"""

import numpy as np

from stillroom.errors import NotEnough, worded
from stillroom.stream.components import ACID, AMMONIA, MARKER, OTHERS, SALT, Grams, only, whole_mass
from stillroom.stream.kind import MARKER_G_MOL, Settings, StepKind, StepOutput, Work
from stillroom.texts.catalogue import later

HYDROGEN_CHLORIDE_G_MOL = 36.461
AMMONIA_G_MOL = 17.031
PROTONS_PER_MARKER = 2.0
"""At most: quinine has two nitrogens that take one, most tertiary alkaloids one. The safe side."""


def _acidified(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    together = inlets[0] + inlets[1]
    if MARKER_G_MOL in settings:
        _must_be_enough(together, settings)
    resin = only(together, OTHERS) * settings["resin_share"]
    with_resin = only(together, MARKER) * settings["marker_in_resin_share"]
    clear = together - resin - with_resin
    in_filter = clear * settings["liquor_in_filter_share"]
    losses = {
        "resin on the filter": resin,
        "marker in the resin": with_resin,
        "liquor in the filter": in_filter,
    }
    return StepOutput((clear - in_filter,), losses)


def _must_be_enough(together: Grams, settings: Settings) -> None:
    needed_g = together[MARKER] / settings[MARKER_G_MOL] * PROTONS_PER_MARKER * HYDROGEN_CHLORIDE_G_MOL
    if not np.all(together[ACID] >= needed_g):
        raise NotEnough(
            "There must be acid for two nitrogens of every alkaloid",
            worded("{needed_g:.2f} of that", needed_g=float(np.min(together[ACID] / needed_g))),
            "Take more acid",
        )


def _basified(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    basic = inlets[0] + inlets[1]
    acid_mol = basic[ACID] / HYDROGEN_CHLORIDE_G_MOL
    spare_mol = basic[AMMONIA] / AMMONIA_G_MOL - acid_mol
    if not np.all(spare_mol > 0):
        raise NotEnough(
            "There must be more ammonia than acid, or the bases are not set free",
            worded("{acid_mol:.2f} of it", acid_mol=float(np.min(basic[AMMONIA] / AMMONIA_G_MOL / acid_mol))),
            "Take more ammonia",
        )
    basic[ACID] = 0.0
    basic[AMMONIA] = spare_mol * AMMONIA_G_MOL
    basic[SALT] += acid_mol * (HYDROGEN_CHLORIDE_G_MOL + AMMONIA_G_MOL)
    fumes = only(basic, AMMONIA) * settings["fumes_share"]
    return StepOutput((basic - fumes,), {"ammonia fumes": fumes})


def _filtering(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:  # noqa: ARG001
    return Work(watch_min=settings["filter_min_per_kg"] * whole_mass(outlets[0]) / 1000.0)


ACIDIFY = StepKind(
    "acidify and filter",
    inlets=("residue", "acid"),
    outlets=("clear acid liquor",),
    losses=("resin on the filter", "marker in the resin", "liquor in the filter"),
    settings=("resin_share", "marker_in_resin_share", "liquor_in_filter_share", "filter_min_per_kg"),
    weighed=("acid", "clear acid liquor"),
    says="In acid the alkaloids stay dissolved and resin drops; some of each stays on the filter.",
    when_off=later(
        "Stop adding. Without water there is no rinsing: keep away from the acid until the tap runs."
    ),
    works=_acidified,
    asks=_filtering,
    cautions=("acid-dilution",),
    sources=("extraction-practice", "iupac-atomic-weights"),
    told=(MARKER_G_MOL,),
    does="cleans",
    reagent="acid",
)
BASIFY = StepKind(
    "basify",
    inlets=("acid liquor", "ammonia"),
    outlets=("basic liquor",),
    losses=("ammonia fumes",),
    settings=("fumes_share",),
    weighed=("ammonia",),
    says="Ammonia, slowly and cold, until the meter shows the pH of the procedure; the bases are set free.",
    when_off=later(
        "Stop adding and close the ammonia. Without power the hood does not draw: leave the room if it "
        "smells."
    ),
    works=_basified,
    cautions=("ammonia-and-solvent",),
    turns=((ACID, AMMONIA, SALT),),
    sources=("extraction-practice", "iupac-atomic-weights"),
    does="cleans",
    reagent="ammonia",
)
