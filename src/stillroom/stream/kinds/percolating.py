"""Percolation: liquid drips through the packed plant; the marc keeps some, and water pushes most of that out.

Every solute within reach is washed alike (tanks in a row); what is out of reach stays in the marc. The time follows
from the drops a minute that are counted, or from the drip that is stated for a kilogram. Reach and capacity are
settings with a spread, to be replaced by the laboratory's own.
"""

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

import numpy as np

from stillroom.errors import BadEntry, worded
from stillroom.reference.tables import row
from stillroom.science.extraction.percolation import percolated_fraction
from stillroom.science.liquids.dripping import STANDARD_DROPS
from stillroom.stream.components import ETHANOL, WATER, Array, Grams, only, whole_mass
from stillroom.stream.kind import BedPlanned, RunFigure, Runs, Settings, StepKind, StepOutput, Work, said_or
from stillroom.stream.kinds.bed import dry_plant_g, liquid_ml, within_reach
from stillroom.substances.drops import DROPS_SOURCES, spirit_drops
from stillroom.texts.catalogue import later, t

SHOWN_ML_PER_G = (1.0, 2.0, 4.0)
MOST_DRIP_ML_PER_MIN_KG = 5.0
"""Faster than this the liquid runs past the plant (parameter ranges: 1 to 5, from memory). [mL/(min kg)]"""
LONG_H = 48.0


@cache
def water_g_ml() -> float:
    """Density of water at 20 °C, from the table of liquids [g/mL]."""
    return row("liquids", "water").number("density_20c_g_ml")


def _out_share(dripped_ml: Array, drug_g: Array, settings: Settings) -> Array:
    capacity, tanks = settings["washing_capacity_ml_per_g"], int(np.max(settings["tanks"]))
    return np.asarray(percolated_fraction(dripped_ml, drug_g, np.asarray(capacity), tanks))


def _dripped(
    inlets: tuple[Grams, ...], reserve_ml_per_g: Array | float, settings: Settings
) -> tuple[Grams, ...]:
    """The first so many millilitres for a gram, what comes after with what water pushes out, and the marc."""
    plant, liquid, pushing_water = inlets
    bed = plant + liquid
    drug_g, free = dry_plant_g(bed), only(bed, WATER, ETHANOL)
    volume_ml, kept_ml = liquid_ml(free), drug_g * settings["retention_ml_per_g"]
    if not np.all(kept_ml < volume_ml):
        raise BadEntry(
            "The plant must get more liquid than it keeps",
            worded("it keeps {volume_ml:.2f} of the liquid", volume_ml=float(np.max(kept_ml / volume_ml))),
            "Pour more",
        )
    kept = free * (kept_ml / volume_ml)
    drips_ml = volume_ml - kept_ml
    first_ml = np.minimum(np.asarray(reserve_ml_per_g) * drug_g, drips_ml)
    shares = [_out_share(one, drug_g, settings) for one in (first_ml, drips_ml)]
    first = (free - kept) * (first_ml / drips_ml) + within_reach(bed, shares[0], settings)
    pushed = kept * settings["pushed_out_share"]
    takes_its_place_g = kept_ml * settings["pushed_out_share"] * water_g_ml()
    staying = np.minimum(takes_its_place_g / np.maximum(pushing_water[WATER], 1e-30), 1.0)
    both = free - kept + within_reach(bed, shares[1], settings) + pushed + pushing_water * (1.0 - staying)
    return first, both - first, bed + pushing_water - both


def _percolated(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    first, after, marc = _dripped(inlets, 0.0, settings)
    percolate = first + after
    gone = only(percolate, ETHANOL) * settings["evaporated_share"]
    return StepOutput((percolate - gone, marc), {"evaporated while dripping": gone})


def _in_two_parts(inlets: tuple[Grams, ...], settings: Settings) -> StepOutput:
    first, after, marc = _dripped(inlets, np.asarray(settings["reserve_ml_per_g"]), settings)
    gone_first, gone_after = (only(one, ETHANOL) * settings["evaporated_share"] for one in (first, after))
    return StepOutput(
        (first - gone_first, after - gone_after, marc), {"evaporated while dripping": gone_first + gone_after}
    )


def drops_a_ml(strength: Array, settings: Settings) -> Array:
    """Drops of the percolate that make a millilitre: counted, or by its strength off a standard tip [1/mL].

    Parameters
    ----------
    strength : array
        Of what drips, ethanol by mass. [g/g]
    settings : mapping
        With or without ``drops_a_millilitre``.
    """
    return np.asarray(said_or(settings, "drops_a_millilitre", spirit_drops(strength)))


def _drip_ml_min(plant: Grams, drips: Grams, settings: Settings) -> Array:
    """How fast it runs: by the drops that are counted, else as stated for a kilogram [mL/min]."""
    if "drops_a_minute" in settings:
        spirit_g = np.maximum(drips[WATER] + drips[ETHANOL], 1e-30)
        return np.asarray(settings["drops_a_minute"]) / drops_a_ml(drips[ETHANOL] / spirit_g, settings)
    return np.asarray(settings["drip_ml_per_min_kg"] * dry_plant_g(plant) / 1000.0)


def _dripping(inlets: tuple[Grams, ...], outlets: tuple[Grams, ...], settings: Settings) -> Work:
    drips = np.sum(outlets[:-1] or outlets, axis=0)
    drip_min = liquid_ml(drips) / _drip_ml_min(inlets[0], drips, settings)
    return Work(free_min=drip_min + np.asarray(said_or(settings, "stands_min", 0.0)))


def _shown(inlets: tuple[Grams, ...], settings: Settings) -> Runs:
    plant, liquid, _ = inlets
    bed = plant + liquid
    drug_g, free = dry_plant_g(bed), only(bed, WATER, ETHANOL)
    strength = free[ETHANOL] / np.maximum(whole_mass(free), 1e-30)
    drips = _percolated(inlets, settings).outlets[0]
    pace, of_a_ml = _drip_ml_min(plant, drips, settings), drops_a_ml(strength, settings)
    minutes = liquid_ml(drips) / pace
    stands = np.broadcast_to(np.asarray(said_or(settings, "stands_min", 0.0)), minutes.shape)
    labels = (later("Out after 1 mL for a gram, of what washes out"), later("After 2 mL for a gram"),
              later("After 4 mL for a gram"))  # fmt: skip
    figures = (
        RunFigure(later("Dry plant in the bed"), drug_g, "g"),
        RunFigure(later("Drips off, with what water displaces"), liquid_ml(drips), "mL"),
        RunFigure(later("Drip"), pace, "mL/min"),
        RunFigure(later("Drops that make a millilitre"), of_a_ml, ""),
        RunFigure(later("Drops to count in a minute"), pace * of_a_ml, ""),
        *(
            [RunFigure(later("Stands in the percolator first"), stands / 60.0, "h")]
            if "stands_min" in settings
            else []
        ),
        RunFigure(later("Then drips for"), minutes / 60.0, "h"),
        *(
            RunFigure(label, 100.0 * _out_share(ml_g * drug_g, drug_g, settings), "%")
            for label, ml_g in zip(labels, SHOWN_ML_PER_G, strict=True)
        ),
    )
    planned = BedPlanned(
        drug_g,
        settings["washing_capacity_ml_per_g"] * drug_g,
        whole_mass(within_reach(bed, np.ones_like(drug_g), settings)),
        np.zeros_like(drug_g),
    )
    says = tuple(_to_be_known(pace, drug_g, of_a_ml, minutes, settings))
    return Runs(figures, says, minutes + stands, bed=planned)


def _to_be_known(
    pace: Array, drug_g: Array, of_a_ml: Array, minutes: Array, settings: Settings
) -> Iterable[str]:
    yield t(
        "Count {drops:.0f} drops a minute: that is {pace:.2g} mL.",
        drops=float(np.median(pace * of_a_ml)), pace=float(np.median(pace)),
    )  # fmt: skip
    if "drops_a_millilitre" not in settings:
        yield t(
            "By a tip that gives {water:.0f} drops of water to the millilitre; taps differ by a quarter and more. "
            "Count the drops that fill 5 mL once, and put them in.",
            water=STANDARD_DROPS,
        )  # fmt: skip
    if float(np.median(1000.0 * pace / drug_g)) > MOST_DRIP_ML_PER_MIN_KG * 1.001:
        yield t("So fast it runs past the plant: 1 to 5 mL a minute for a kilogram is usual.")
    if float(np.median(minutes)) > 60.0 * LONG_H:
        yield t("So slow it drips for more than two days.")
    yield t(
        "It may stop when a sample of the last drops leaves nothing: dry one, or try a drop of reagent, twice."
    )


MAY = ("stands_min", "drops_a_minute", "drops_a_millilitre")
PERCOLATE = StepKind(
    "percolate",
    inlets=("moist plant", "liquid", "pushing water"),
    outlets=("percolate", "marc"),
    losses=("evaporated while dripping",),
    settings=(
        "retention_ml_per_g",
        "washing_capacity_ml_per_g",
        "tanks",
        "marker_within_reach_share",
        "others_within_reach_share",
        "pushed_out_share",
        "evaporated_share",
        "drip_ml_per_min_kg",
    ),
    weighed=("percolate", "marc"),
    says="The liquid drips through the packed plant; water at the end pushes most of the kept spirit out.",
    when_off=later(
        "Close the tap before the liquid falls below the top of the bed, cover both vessels, and note the"
        " level. A bed that ran dry is packed again."
    ),
    works=_percolated,
    asks=_dripping,
    shows=_shown,
    may=MAY,
    cautions=("flammable-vapour",),
    sources=("extraction-practice", *DROPS_SOURCES),
    does="extracts",
    bed="drips",
    runs_in=("percolator",),
)
PERCOLATE_IN_TWO = replace(
    PERCOLATE,
    name="percolate in two parts",
    outlets=("reserve", "weak percolate", "marc"),
    settings=("reserve_ml_per_g", *PERCOLATE.settings),
    weighed=("reserve", "weak percolate", "marc"),
    says="The first, strong percolate is kept apart; the weak rest is boiled down and joined to it, never the reserve.",
    works=_in_two_parts,
)
