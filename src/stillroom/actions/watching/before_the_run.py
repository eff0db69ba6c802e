"""What is known of a watched Soxhlet before it siphons: the plan's settings, one's own water, prices.

Where a crest was measured with water, on this batch or one before it, it takes the place of the plan's; else what the
extractor in use empties, as in the plan. What the plan does not say is assumed, and says so.
"""

from dataclasses import replace

import numpy as np

from stillroom.actions.house.glass_at_hand import known_of_glass
from stillroom.actions.house.pricing import currency_of
from stillroom.actions.orders.amounts_planned import planned_g
from stillroom.actions.watching.siphonings_noted import CREST, HEEL
from stillroom.answers import soxhlet_watched as names
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.planning.assumptions import ASSUMED
from stillroom.planning.request import PRICE_OF
from stillroom.quantities.money import EURO
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.records.procedures import Setting, Step
from stillroom.science.heat.distilling import latent_heat_j_g
from stillroom.science.liquids.density import density_kg_m3
from stillroom.store.reader import Reader
from stillroom.stream.components import Array
from stillroom.stream.kind import SiphoningsPlanned
from stillroom.stream.kinds.fits_the_glass import EXTRACTOR, THIMBLE
from stillroom.stream.kinds.soxhlet_run import MOST_KEPT_SHARE, USUAL_ML_PER_G
from stillroom.substances.spirits import ethanol_water_heats, oiml_r22

DRY_SHARE = 0.92
EXTRACT_SHARE, EXTRACT_LOG_SD = 0.2, 0.6
USUAL = {
    "siphon_ml_per_g": (7.0, 0.2), "heel_ml_per_g": (2.2, 0.25), "sorption_ml_per_g": (0.3, 0.5),
    "washed_share": (0.55, 0.13), "slow_min": (90.0, 0.4), "cycle_min": (12.0, 0.3),
}  # fmt: skip
"""Where a step says nothing: a value, and its standard uncertainty (of a share as it is, of the rest as a share)."""
CONDENSATE_MASS_FRACTION = 0.92
"""Strength of what drips into a thimble, near enough for its heat [1]."""
HEAT_REACHING_SHARE = 0.55
EXTRACTOR_SHARE = 0.03
"""Standard uncertainty of what is noted of an extractor, as a share of it (common practice, no source). [1]"""
PLANNED_CREST_SHARE = 0.1
"""Standard uncertainty of a crest that was planned and not measured, as a share of it (chosen). [1]"""
WHY = "common practice, no source"
BY_PLAN = "the plan of this batch"


def prior(
    look: Reader, batch: str, step: Step | None, planned: SiphoningsPlanned | None = None
) -> dict[str, Answer]:
    """What is known of a run before its first siphoning, by the names of ``soxhlet_watched``.

    Parameters
    ----------
    step : Step or None
        None where the procedure has no Soxhlet: what is usual with ten grams of plant is taken.
    planned : SiphoningsPlanned or None
        Its siphonings as planned; None where the plan does not reach them, and the settings of the step are taken.
    """
    if step is None:
        return _of_none()
    found = _of_settings(look, batch, step)
    return found if planned is None else found | _of_plan(planned, found)


def _of_plan(planned: SiphoningsPlanned, found: dict[str, Answer]) -> dict[str, Answer]:
    """What the plan says of a run: its glass and grind, as warm as its thimble is; water measured stays as it is."""
    times = np.atleast_2d(planned.minutes)
    paces = np.diff(times, axis=0)[-1] if len(times) > 1 else times[0]
    asked = {
        names.CREST: (planned.siphon_ml, "mL"),
        names.HEEL: (planned.heel_ml, "mL"),
        names.HOLD: (planned.sorption_ml, "mL"),
        names.WASHED: (planned.washed_share, ""),
        names.SLOW: (planned.slow_min, "min"),
        names.WITHIN_REACH: (planned.within_reach_g, "g"),
        names.CYCLE: (paces, "min"),
        names.FIRST: (times[0] / np.maximum(paces, 1e-9), ""),
    }
    return {
        name: assumed(
            name, float(np.median(values)), unit, BY_PLAN, standard_uncertainty=_doubt(name, values)
        )
        for name, (values, unit) in asked.items()
        if name not in found or (leaf := found[name].leaf) is None or leaf.entry_no is None
    }


def _doubt(name: str, values: Array) -> float:
    """Half the width of the middle two thirds, which a long tail does not move; a crest that is planned may differ."""
    low, high = np.percentile(values, (16, 84))
    least = PLANNED_CREST_SHARE * float(np.median(values)) if name == names.CREST else 0.0
    return max(0.5 * float(high - low), least)


def _of_settings(look: Reader, batch: str, step: Step) -> dict[str, Answer]:
    grams = planned_g(look, batch)
    takes = [
        grams[step.name, name]
        for name in step.weighs
        if (step.name, name) in grams and name not in step.gives
    ]
    begun = look.batch(batch)
    plant_g = takes[0] if takes else begun.scale_g
    filling_g = next((one.value for one in step.settings if one.name == "charge_g"), 0.0)
    said = {one.name: one for one in step.settings}
    owned = {one.role: one for one in known_of_glass(look, look.procedure_of(batch))}
    packed = said.get("packed_ml_per_g")
    takes_g = (
        owned[THIMBLE].value / (packed.value if packed else USUAL_ML_PER_G) if THIMBLE in owned else plant_g
    )
    dry_g = min(DRY_SHARE * plant_g, filling_g or plant_g, takes_g)

    def of(setting: str, name: str, unit: str, times: float = 1.0) -> Answer:
        one = said.get(setting)
        value, spread = USUAL[setting]
        if one is None or not one.value > 0.0:
            return assumed(
                name, times * value, unit, WHY, standard_uncertainty=_spread(setting, times * value, spread)
            )
        u = _sure(one, spread) * times
        leaf = assumed if one.origin == "assumed" else reading
        return leaf(name, times * one.value, unit, f"{step.name}, {setting}", standard_uncertainty=u)

    _, crest, heel = measured_with_water(look, batch)
    if crest is None and (glass := owned.get(EXTRACTOR)):
        crest = reading(
            names.CREST, glass.value, "mL", glass.because, entry_no=glass.entry_no,
            standard_uncertainty=EXTRACTOR_SHARE * glass.value,
        )  # fmt: skip
    crest = crest or of("siphon_ml_per_g", names.CREST, "mL", dry_g)
    stays = of("heel_ml_per_g", names.HEEL, "mL", dry_g)
    found = {
        names.CREST: crest,
        names.HEEL: heel or replace(stays, value=min(stays.value, MOST_KEPT_SHARE * crest.value)),
        names.HOLD: of("sorption_ml_per_g", names.HOLD, "mL", dry_g),
        names.WASHED: of("washed_share", names.WASHED, ""),
        names.SLOW: of("slow_min", names.SLOW, "min"),
        names.WITHIN_REACH: assumed(
            names.WITHIN_REACH, EXTRACT_SHARE * dry_g, "g", WHY,
            standard_uncertainty=EXTRACT_LOG_SD * EXTRACT_SHARE * dry_g,
        ),
    }  # fmt: skip
    return found | {names.CYCLE: _cycle(found, step) or of("cycle_min", names.CYCLE, "min")}


def _cycle(found: dict[str, Answer], step: Step) -> Answer | None:
    """The time of a siphoning by the watts of the heater; None where the step says minutes, or no watts."""
    said = {one.name: one.value for one in step.settings}
    useful_w = said.get("heater_w", 0.0) * said.get("heat_reaching_share", HEAT_REACHING_SHARE) - said.get(
        "lost_w", 0.0
    )
    if "cycle_min" in said or useful_w <= 0.0:
        return None
    minutes = _heat_j(found) / useful_w / 60.0
    return assumed(
        names.CYCLE, minutes, "min", "by the watts of the heater", standard_uncertainty=0.3 * minutes
    )


def _heat_j(found: dict[str, Answer]) -> float:
    """Heat that boils what one siphoning carries over [J]."""
    volume_ml = found[names.CREST].value - found[names.HEEL].value
    grams = volume_ml * float(density_kg_m3(CONDENSATE_MASS_FRACTION, 20.0, oiml_r22())) / 1000.0
    return grams * float(latent_heat_j_g(CONDENSATE_MASS_FRACTION, ethanol_water_heats()))


def _of_none() -> dict[str, Answer]:
    dry_g = 10.0
    return {
        names.CREST: assumed(names.CREST, 7.0 * dry_g, "mL", WHY, standard_uncertainty=20.0),
        names.HEEL: assumed(names.HEEL, 2.2 * dry_g, "mL", WHY, standard_uncertainty=6.0),
        names.HOLD: assumed(names.HOLD, 0.3 * dry_g, "mL", WHY, standard_uncertainty=2.0),
        names.WASHED: assumed(names.WASHED, 0.55, "", WHY, standard_uncertainty=0.13),
        names.SLOW: assumed(names.SLOW, 90.0, "min", WHY, standard_uncertainty=36.0),
        names.CYCLE: assumed(names.CYCLE, 12.0, "min", WHY, standard_uncertainty=4.0),
        names.WITHIN_REACH: assumed(names.WITHIN_REACH, 2.0, "g", WHY, standard_uncertainty=2.0),
    }


def _sure(one: Setting, usual: float) -> float:
    """The standard uncertainty of a setting in its own unit; what is chosen is planned, and may come otherwise."""
    if one.spread == "lognormal":
        return one.standard_uncertainty * one.value
    if one.standard_uncertainty:
        return one.standard_uncertainty
    return _spread(one.name, one.value, usual)


def _spread(setting: str, value: float, usual: float) -> float:
    return usual if setting == "washed_share" else usual * value


def measured_with_water(look: Reader, batch: str) -> tuple[str, Answer | None, Answer | None]:
    """Crest and heel as measured with water, where less stayed than it held: on this batch, else on the last one."""
    crests, heels = ({one.body.subject: one for one in look.readings_named(what)} for what in (CREST, HEEL))
    for code in (batch, *(one for one, *_ in reversed(look.ways()))):
        if code in crests and code in heels and 0.0 < heels[code].body.value < crests[code].body.value:
            return code, _by_water(names.CREST, crests[code]), _by_water(names.HEEL, heels[code])
    return "", None, None


def _by_water(name: str, entry: Entry[ReadingTaken]) -> Answer:
    body = entry.body
    return reading(
        name, body.value, "mL", f"entry {entry.entry_no}", entry_no=entry.entry_no,
        standard_uncertainty=0.02 * body.value,
    )  # fmt: skip


def kwh_of_siphoning(inputs: dict[str, Answer], step: Step | None) -> float:
    """Electric energy of one siphoning, the losses of the mantle included [kWh].

    Parameters
    ----------
    inputs : dict of str to Answer
        As ``prior`` gives them.
    """
    said = {one.name: one.value for one in step.settings} if step else {}
    heat_j = _heat_j(inputs)
    reaching, heater_w = said.get("heat_reaching_share", HEAT_REACHING_SHARE), said.get("heater_w", 0.0)
    useful_w = heater_w * reaching - said.get("lost_w", 0.0)
    return (heat_j * heater_w / useful_w if useful_w > 0.0 else heat_j / reaching) / 3.6e6


def price_of_kwh(look: Reader) -> tuple[float, str] | None:
    """What a kilowatt-hour costs, and in which currency: as noted, else as plans assume; None where that is another."""
    for one in look.prices():
        if one.body.of == "electricity" and one.body.per == "kWh":
            return float(one.body.amount), one.body.currency
    return (ASSUMED[f"{PRICE_OF}electricity"].value, EURO) if currency_of(look) == EURO else None
