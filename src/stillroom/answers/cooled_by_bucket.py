"""A bucket and a pump in place of the tap, and what is left when the water stops.

Promises lower bounds of the time: nothing is lost to the room, the water is well stirred, the heat stays on.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.answers.cooled import MINUTES_IN_AN_HOUR, CooledSetUp, total_load
from stillroom.answers.plain_sums import least_of, less
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.heat.buckets import (
    ice_needed_kg,
    iced_bucket_c,
    minutes_of_still_water,
    minutes_until_warm,
)
from stillroom.science.heat.condensers import outlet_c

SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Parts of the time wanted at which the bucket is told."""


@dataclass(frozen=True, slots=True)
class Bucket:
    """A bucket and a pump in place of the tap, worked out."""

    warmest: Answer
    """As warm as it may become. [°C]"""
    lasts: Answer
    """[min]"""
    ice: Answer
    """For the time wanted. [kg]"""
    warming: tuple[tuple[Answer, Answer], ...]
    """Times through the time wanted, and how warm it is then. [min, °C]"""


def bucket(
    found: Sequence[CooledSetUp], flow: Answer, start: Answer, water: Answer, ice: Answer, pump: Answer, hours: Answer,
    *, in_series: bool,
) -> Bucket:  # fmt: skip
    """How long a bucket lasts, and the ice for the time wanted.

    Parameters
    ----------
    found : sequence of CooledSetUp
        In the order of the water. [records]
    flow, start, water, ice, pump, hours : Answer
        [L/min, °C, L, kg, W, h]
    in_series : bool
        [yes or no]
    """
    allowed = {}
    for at, one in enumerate(found):
        set_ups = [each.set_up for each in found[: at + 1]]
        heat = total_load(set_ups) if in_series and at else one.set_up.load
        inputs = {"limit_c": one.limit, "heat_w": heat, "flow_l_min": flow}
        allowed[one.set_up.name] = reckoned(
            f"warmest bucket for {one.set_up.name}", warmest_inlet_c, unit="°C", inputs=inputs,
            says="its limit less the rise on the way to its outlet",
        )  # fmt: skip
    warmest = reckoned(
        "warmest the bucket may be", least_of, unit="°C", inputs=allowed, says="the least any set-up allows"
    )
    heat = total_load([one.set_up for one in found], pump)
    lasts = reckoned(
        "the bucket lasts", minutes_until_warm, unit="min",
        inputs={"start_c": start, "warmest_c": warmest, "water_l": water, "heat_w": heat, "ice_kg": ice},
        says="the heat that fits into water and ice over the heat that comes in; nothing is lost to the room",
    )  # fmt: skip
    minutes = reckoned(
        "minutes wanted", minutes_of, unit="min", inputs={"hours": hours}, says="sixty to the hour"
    )
    needed = reckoned(
        "ice for that time", ice_needed_kg, unit="kg",
        inputs={"minutes": minutes, "start_c": start, "warmest_c": warmest, "water_l": water, "heat_w": heat},
        says="the heat that does not fit into the water, over what a kilogram of ice takes up",
    )  # fmt: skip
    return Bucket(
        warmest, lasts, needed, tuple(_after(minutes, share, start, water, heat, ice) for share in SHARES)
    )


def _after(
    minutes: Answer, share: float, start: Answer, water: Answer, heat: Answer, ice: Answer
) -> tuple[Answer, Answer]:
    time = reckoned(
        "time since the heat came on", share_of, unit="min", inputs={"minutes": minutes}, fixed={"share": share},
        says="a part of the time wanted",
    )  # fmt: skip
    warm = reckoned(
        f"bucket after {time.value:.0f} min", iced_bucket_c, unit="°C",
        inputs={"minutes": time, "start_c": start, "water_l": water, "heat_w": heat, "ice_kg": ice},
        says="heat held, less what the ice takes up, over the water; nothing is lost to the room",
    )  # fmt: skip
    return time, warm


@formula("share-of-time")
def share_of(minutes: float, share: float) -> float:
    """A part of a time. [min].

    Parameters
    ----------
    minutes : float
        [min]
    share : float
        [1]
    """
    return minutes * share


@formula("warmest-inlet")
def warmest_inlet_c(limit_c: float, heat_w: float, flow_l_min: float) -> float:
    """Warmest inlet that keeps an outlet at its limit. [°C].

    Parameters
    ----------
    limit_c : float
        [°C]
    heat_w : float
        [W]
    flow_l_min : float
        [L/min]
    """
    return 2.0 * limit_c - float(outlet_c(limit_c, heat_w, flow_l_min))


@formula("minutes-of-hours")
def minutes_of(hours: float) -> float:
    """Hours as minutes. [min].

    Parameters
    ----------
    hours : float
        [h]
    """
    return MINUTES_IN_AN_HOUR * hours


def still_water(one: CooledSetUp, jacket: Answer) -> Answer:
    """Minutes a condenser lasts when the water stops and the heat does not.

    Parameters
    ----------
    one : CooledSetUp
        [record]
    jacket : Answer
        Water standing in it. [mL]
    """
    rise = reckoned(
        f"rise left in {one.set_up.name}", less, unit="K",
        inputs={"from_this": one.limit, "this": one.outlet}, says="its warmest outlet less its outlet now",
    )  # fmt: skip
    return reckoned(
        f"{one.set_up.name} lasts without water", minutes_of_still_water, unit="min",
        inputs={"water_ml": jacket, "rise_k": rise, "heat_w": one.set_up.load},
        says="until the water that stands in it is as warm as it may leave",
    )  # fmt: skip
