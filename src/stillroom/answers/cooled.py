"""Condensers on one tap or one bucket: the heat of each, where its water leaves, and the first that would fail.

All of a heater's power is taken to reach the condenser unless a boil-up or a share is said: an upper bound. What is
reckoned from a boil-up is as right as its volume, strength and temperature. A set-up fails when its water leaves warmer
than its boiling point less the margin.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.answers.plain_sums import less, sum_of
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.heat.breaker import most_w
from stillroom.science.heat.condensers import boiling_point_at_c, least_flow_l_min, outlet_c
from stillroom.science.heat.surfaces import condensing_surface_cm2, log_mean_difference_k
from stillroom.science.liquids.air import air_pressure_pa
from stillroom.substances.condensed import Condensed
from stillroom.substances.rules import rule

MINUTES_IN_AN_HOUR = 60.0


@dataclass(frozen=True, slots=True)
class SetUp:
    """One condenser as it was said."""

    name: str
    """Such as "ethanol set-up 2"."""
    liquid: Condensed
    load: Answer
    """Heat it gives off. [W]"""


@dataclass(frozen=True, slots=True)
class CooledSetUp:
    """One condenser, worked out."""

    set_up: SetUp
    boiling: Answer
    """At the pressure of the house. [°C]"""
    limit: Answer
    """Warmest its water may leave at. [°C]"""
    outlet: Answer
    """[°C]"""
    surface: Answer | None
    """Condensing surface it takes; None where the water leaves as warm as the vapour. [cm²]"""

    @property
    def passes(self) -> bool:
        """Whether its water leaves cool enough."""
        return self.outlet.value <= self.limit.value


@formula("heating-power")
def share_of_power_w(power_w: float, share: float) -> float:
    """The part of a heater's power that boils the liquid. [W].

    Parameters
    ----------
    power_w : float
        [W]
    share : float
        [1]
    """
    return power_w * share


@formula("cooling-water-run")
def water_run_l(flow_l_min: float, lines: float, hours: float) -> float:
    """Water run through so many lines in a time. [L].

    Parameters
    ----------
    flow_l_min : float
        In each line. [L/min]
    lines : float
        1 in series, one for each condenser side by side. [1]
    hours : float
        [h]
    """
    return flow_l_min * lines * MINUTES_IN_AN_HOUR * hours


def load_by_heater(name: str, power: Answer, share: Answer) -> Answer:
    """Heat of a condenser from the heater below it.

    Parameters
    ----------
    name : str
        Of the set-up. [text]
    power, share : Answer
        [W, 1]
    """
    return reckoned(
        f"heat of {name}", share_of_power_w, unit="W", inputs={"power_w": power, "share": share},
        says="the part of the heater's power that boils the liquid",
    )  # fmt: skip


def pressure_at(altitude: Answer) -> Answer:
    """Air pressure of the house.

    Parameters
    ----------
    altitude : Answer
        [m]
    """
    return reckoned(
        "air pressure", air_pressure_pa, unit="Pa", inputs={"altitude_m": altitude},
        says="standard atmosphere at that height", sources=("us-standard-atmosphere-1976",),
    )  # fmt: skip


def total_load(set_ups: Sequence[SetUp], more: Answer | None = None) -> Answer:
    """Heat of all condensers together.

    Parameters
    ----------
    set_ups : sequence of SetUp
        [records]
    more : Answer or None
        The pump, where there is one. [W]
    """
    inputs = {one.name: one.load for one in set_ups} | ({"pump": more} if more else {})
    return reckoned("heat of all", sum_of, unit="W", inputs=inputs, says="the sum")


def cooled(
    set_ups: Sequence[SetUp],
    inlet: Answer,
    flow: Answer,
    margin: Answer,
    pressure: Answer,
    *,
    in_series: bool,
) -> tuple[CooledSetUp, ...]:
    """Work the outlets out, in the order of the water.

    Parameters
    ----------
    set_ups : sequence of SetUp
        In the order of the water. [records]
    inlet, flow, margin, pressure : Answer
        [°C, L/min, K, Pa]
    in_series : bool
        Whether one water runs through all. [yes or no]

    Returns
    -------
    tuple of CooledSetUp
        One for each. [records]

    Raises
    ------
    BadEntry
        A heat is negative or the flow not above zero.
    OutsideModel
        The pressure is beyond 40 to 110 kPa.
    """
    made: list[CooledSetUp] = []
    for at, one in enumerate(set_ups):
        upstream = total_load(set_ups[: at + 1]) if in_series and at else one.load
        boiling = boiling_at(one.liquid, pressure)
        outlet = reckoned(
            f"outlet of {one.name}", outlet_c, unit="°C",
            inputs={"inlet_c": inlet, "heat_w": upstream, "flow_l_min": flow},
            says="inlet, and the heat taken up so far over the flow times 4.186 J/(g K)",
            sources=("condenser-problem-web",),
        )  # fmt: skip
        comes_in = made[-1].outlet if in_series and made else inlet
        made.append(
            CooledSetUp(
                one,
                boiling,
                reckoned(
                    f"warmest outlet of {one.name}", less, unit="°C", inputs={"from_this": boiling, "this": margin},
                    says="its boiling point less the margin",
                ),
                outlet,
                surface_for(one, boiling, comes_in, outlet),
            )
        )  # fmt: skip
    return tuple(made)


def surface_for(one: SetUp, boiling: Answer, inlet: Answer, outlet: Answer) -> Answer | None:
    """Condensing surface a set-up takes; None where its water leaves as warm as its vapour.

    Parameters
    ----------
    one : SetUp
        [record]
    boiling, inlet, outlet : Answer
        Where its vapour condenses, its water comes in and leaves. [°C]

    Returns
    -------
    Answer or None
        [cm²]

    References
    ----------
    condenser-problem-web
    """
    if max(inlet.value, outlet.value) >= boiling.value:
        return None
    difference = reckoned(
        f"mean difference of {one.name}", log_mean_difference_k, unit="K",
        inputs={"condensing_c": boiling, "inlet_c": inlet, "outlet_c": outlet},
        says="logarithmic mean of vapour less water at both ends", sources=("condenser-problem-web",),
    )  # fmt: skip
    return reckoned(
        f"surface of {one.name}", condensing_surface_cm2, unit="cm²",
        inputs={
            "heat_w": one.load, "mean_difference_k": difference,
            "transfer_w_m2k": rule("condenser-heat-transfer"),
        },
        says="its heat over the mean difference and what a square metre hands over",
        sources=("condenser-problem-web",),
    )  # fmt: skip


def boiling_at(liquid: Condensed, pressure: Answer) -> Answer:
    """Boiling point of a liquid at the pressure of the house.

    Parameters
    ----------
    liquid : Condensed
        [record]
    pressure : Answer
        [Pa]
    """
    return reckoned(
        f"boiling point of {liquid.name} here", boiling_point_at_c, unit="°C",
        inputs={"normal_boiling_c": liquid.boiling, "antoine_a": liquid.antoine[0],
                "antoine_b": liquid.antoine[1], "antoine_c": liquid.antoine[2], "pressure_pa": pressure},
        says="moved from 101.325 kPa with its vapour pressure", sources=liquid.boiling.sources,
    )  # fmt: skip


def first_failing(found: Sequence[CooledSetUp]) -> CooledSetUp | None:
    """The first set-up, in the order of the water, whose water leaves too warm.

    Parameters
    ----------
    found : sequence of CooledSetUp
        [records]
    """
    return next((one for one in found if not one.passes), None)


def water_used(flow: Answer, lines: Answer, hours: Answer) -> Answer:
    """Water that runs in a time.

    Parameters
    ----------
    flow, lines, hours : Answer
        [L/min, 1, h]
    """
    return reckoned(
        "water", water_run_l, unit="L", inputs={"flow_l_min": flow, "lines": lines, "hours": hours},
        says="flow, times lines, times time",
    )  # fmt: skip


def least_flow(found: Sequence[CooledSetUp], inlet: Answer, *, in_series: bool) -> Answer | None:
    """The least flow with which every set-up passes; None where the inlet alone is too warm.

    Parameters
    ----------
    found : sequence of CooledSetUp
        In the order of the water. [records]
    inlet : Answer
        [°C]
    in_series : bool
        [yes or no]
    """
    needed = []
    for at, one in enumerate(found):
        set_ups = [each.set_up for each in found[: at + 1]]
        heat = total_load(set_ups) if in_series and at else one.set_up.load
        rise = reckoned(
            f"rise left to {one.set_up.name}", less, unit="K", inputs={"from_this": one.limit, "this": inlet},
            says="its limit less the inlet",
        )  # fmt: skip
        if rise.value <= 0.0:
            return None
        needed.append(
            reckoned(
                f"least flow for {one.set_up.name}", least_flow_l_min, unit="L/min",
                inputs={"heat_w": heat, "rise_k": rise}, says="the heat so far over the rise left",
            )
        )  # fmt: skip
    return max(needed, key=lambda one: one.value)


def breaker_limit(current: Answer, voltage: Answer, share: Answer) -> Answer:
    """Most power to plan on the breaker.

    Parameters
    ----------
    current, voltage, share : Answer
        [A, V, 1]
    """
    return reckoned(
        "most to plan on the breaker", most_w, unit="W",
        inputs={"current_a": current, "voltage_v": voltage, "planned_share": share},
        says="amperes times volts times the share one plans to", sources=("common-practice",),
    )  # fmt: skip
