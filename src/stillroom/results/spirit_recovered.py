"""Spirit got back by a simple still: what is over at a cut, how strong, how hot, with how much heat.

Promises that distillate, what escapes and what stays close in mass and in ethanol. The stop is first turned into a
share of the ethanol; everything else follows from that share. Ethanol and water only: extract in the flask is taken
not to change the boiling.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from stillroom.errors import OutsideModel
from stillroom.evidence.answer import Answer, Leaf, reckoned
from stillroom.results import still_shares as shares
from stillroom.results import still_sums as sums
from stillroom.results.budget import Stated, measured
from stillroom.results.spirit_percent import spirit_volume_ml
from stillroom.results.spirit_strength import BASIS
from stillroom.substances.rules import rule
from stillroom.substances.spirits import BOILING_SOURCES, HEAT_SOURCES, SPIRIT_SOURCES

StopAs: TypeAlias = Literal["share", "distillate", "drip", "boiling", "volume", "mass"]
SOURCES = (*BOILING_SOURCES, "rayleigh-1902")
SHARES = (0.25, 0.5, 0.75, 0.9, 0.95, 0.99)
"""Cuts that are always told, as shares of the ethanol."""
LEAST_DOUBT = 1e-6
"""Of the value; less is rounding of the arithmetic."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A moment of a run.

    Attributes
    ----------
    share, volume, strength, drip, boiling : Answer
        Ethanol over [1]; distillate so far [mL]; its strength and that of the drip [% v/v]; boiling point [°C].
    """

    share: Answer
    volume: Answer
    strength: Answer
    drip: Answer
    boiling: Answer


@dataclass(frozen=True, slots=True)
class Recovered:
    """A run of a simple still, to its cut.

    Attributes
    ----------
    have : Stated
        Strength in the flask at the start. [% v/v]
    start, ethanol : Answer
        In the flask at the start. [g]
    stop : Cut
        Where it is stopped.
    cuts : tuple of Cut
        The usual ones before and after.
    curve : tuple of Cut
        For the drawing, in order.
    mass, ethanol_over : Answer
        Of the distillate that comes over. [g]
    escaped, caught, caught_volume : Answer
        Past the condenser, and what is caught. [g, g, mL]
    left, left_strength, left_ethanol : Answer
        In the flask at the end. [g, % v/v, g]
    most : Answer
        The strongest this still can give: its first drop. [% v/v]
    first_boiling, pressure : Answer
        [°C, Pa]
    reads : Answer or None
        What the alcoholometer shows in the distillate; None outside its table. [% v/v]
    heat, minutes, power : Answer
        [kJ, min, W]
    """

    have: Stated
    start: Answer
    ethanol: Answer
    stop: Cut
    cuts: tuple[Cut, ...]
    curve: tuple[Cut, ...]
    mass: Answer
    ethanol_over: Answer
    escaped: Answer
    caught: Answer
    caught_volume: Answer
    left: Answer
    left_strength: Answer
    left_ethanol: Answer
    most: Answer
    first_boiling: Answer
    pressure: Answer
    reads: Answer | None
    heat: Answer
    minutes: Answer
    power: Answer


def published_sets_differ(start_percent: float) -> Answer:
    """How far published boilings of spirit differ in what comes over.

    Parameters
    ----------
    start_percent : float
        In the flask at the start. [% v/v]

    Returns
    -------
    Answer
        Zero with its doubt: anything up to that difference either way is as likely. [% v/v]

    References
    ----------
    boiling-sets
    """
    rows = {at: rule(f"boiling-sets-differ-{at}").value for at in (20, 40, 70)}
    half = float(np.interp(start_percent, list(rows), list(rows.values())))
    where = f"laboratory_rules, boiling-sets-differ-40: {half:.2g} % v/v, by the rows of 20, 40 and 70"
    leaf = Leaf("published", where, shape="rectangular")
    return Answer(
        "what published boilings differ by",
        0.0,
        "%",
        half / math.sqrt(3.0),
        leaf=leaf,
        sources=("boiling-sets",),
    )


def share_at_stop(
    kind: StopAs, stop: Answer, start: Answer, have: Answer, pressure: Answer, temperature: Answer
) -> Answer:
    """The share of the ethanol that is over when the still is stopped.

    Parameters
    ----------
    kind : StopAs
        What the stop is a figure of. [text]
    stop : Answer
        [1, % v/v, °C, mL or g]
    start, have, pressure, temperature : Answer
        In the flask; of the distillate when it is measured. [g, % v/v, Pa, °C]

    Returns
    -------
    Answer
        [1]

    Raises
    ------
    OutsideModel
        This still never comes to that.
    """
    if kind == "share":
        return stop
    flask = {"volume_percent_20c": have, "pressure_pa": pressure}
    if kind in ("distillate", "drip"):
        stop = reckoned(
            stop.name, sums.with_difference_percent, unit="%", basis=BASIS, fixed={"sign": -1.0},
            inputs={"percent": stop, "difference_percent": published_sets_differ(have.value)},
            says="what was asked, as far as published boilings agree", sources=("boiling-sets",),
        )  # fmt: skip
    ways: dict[str, tuple[Callable[..., float], dict[str, Answer]]] = {
        "distillate": (shares.share_at_distillate_percent, {"distillate_percent_20c": stop}),
        "drip": (shares.share_at_drip_percent, {"drip_percent_20c": stop}),
        "boiling": (shares.share_at_boiling_point, {"boiling_c": stop}),
        "volume": (
            shares.share_at_volume,
            {"start_mass_g": start, "distillate_volume_ml": stop, "temperature_c": temperature},
        ),
        "mass": (shares.share_at_mass, {"start_mass_g": start, "distillate_mass_g": stop}),
    }
    function, more = ways[kind]
    return reckoned(
        "share of the ethanol that is over", function, unit="1", inputs={**flask, **more},
        says="where the run meets what was asked, by Rayleigh's balance", sources=SOURCES,
    )  # fmt: skip


def recovered(
    have: Stated,
    start: Answer,
    share: Answer,
    *,
    temperature: Answer,
    distillate_temperature: Answer,
    pressure: Answer,
    escapes: Answer,
    power: Answer,
    power_share: Answer,
) -> Recovered:
    """Work a run out, up to its cut.

    Parameters
    ----------
    have : Stated
        Strength in the flask. [% v/v]
    start : Answer
        Spirit in the flask. [g]
    share : Answer
        Ethanol over at the cut. [1]
    temperature, distillate_temperature : Answer
        Of the flask at the start; of the distillate when it is measured. [°C]
    pressure : Answer
        In the still. [Pa]
    escapes : Answer
        Share of the vapour that gets past the condenser. [1]
    power, power_share : Answer
        Of the heater, and the part that reaches the liquid. [W, 1]

    Returns
    -------
    Recovered
        [record]

    Raises
    ------
    OutsideModel
        The pressure or the strength is beyond the boiling data.
    """
    flask: Mapping[str, Answer] = {"volume_percent_20c": have.answer, "pressure_pa": pressure}

    def strength_in_flask(name: str, function: Callable[..., float], at: Answer, says: str) -> Answer:
        return reckoned(
            name, function, unit="%", basis=BASIS, inputs={**flask, "ethanol_share": at}, says=says, sources=SOURCES,
        )  # fmt: skip

    differ = published_sets_differ(have.answer.value)

    def less_sure(strength: Answer) -> Answer:
        return reckoned(
            strength.name, sums.with_difference_percent, unit="%", basis=BASIS,
            inputs={"percent": strength, "difference_percent": differ},
            says=strength.says, sources=(*SOURCES, "boiling-sets"),
        )  # fmt: skip

    def cut(at: Answer) -> Cut:
        strength = less_sure(
            strength_in_flask(
                "strength of the distillate", sums.distillate_percent, at, "all that came over, mixed"
            )
        )
        over = reckoned(
            "distillate, by mass", sums.distillate_of_strength_g, unit="g",
            inputs={"start_mass_g": start, "start_percent": have.answer, "ethanol_share": at,
                    "distillate_percent": strength},
            says="the ethanol that came over, over its strength by mass", sources=SOURCES,
        )  # fmt: skip
        volume = reckoned(
            "distillate", spirit_volume_ml, unit="mL",
            inputs={"mass_g": over, "volume_percent_20c": strength, "temperature_c": distillate_temperature},
            says="its mass over its density", sources=SPIRIT_SOURCES,
        )  # fmt: skip
        drip = less_sure(
            strength_in_flask(
                "strength of what drips now",
                sums.drip_percent,
                at,
                "the vapour over what is left in the flask",
            )
        )
        boiling = reckoned(
            "boiling point now", sums.boiling_point_c, unit="°C", inputs={**flask, "ethanol_share": at},
            says="of what is left in the flask, at that pressure", sources=BOILING_SOURCES,
        )  # fmt: skip
        return Cut(at, volume, strength, drip, boiling)

    first = cut(_given(0.0))
    stop = cut(share)
    stop = Cut(share, _sure(stop.volume), _sure(stop.strength), _sure(stop.drip), _sure(stop.boiling))
    told = tuple(cut(_given(one)) for one in SHARES)
    curve = (first, *(cut(_given(one / 24.0)) for one in range(1, 24)), told[-1])
    mass = dict(stop.volume.inputs)["mass_g"]
    ethanol = reckoned(
        "ethanol in the flask", sums.ethanol_g, unit="g",
        inputs={"mass_g": start, "volume_percent_20c": have.answer}, says="mass times strength by mass",
        sources=SPIRIT_SOURCES,
    )  # fmt: skip
    over = reckoned(
        "ethanol that came over", sums.part_g, unit="g", inputs={"whole_g": ethanol, "share": share},
        says="its share of the ethanol in the flask",
    )  # fmt: skip
    escaped = reckoned(
        "past the condenser", sums.part_g, unit="g", inputs={"whole_g": mass, "share": escapes},
        says="its share of what came over",
    )  # fmt: skip
    caught = reckoned(
        "distillate caught", sums.rest_g, unit="g", inputs={"whole_g": mass, "part_g": escaped},
        says="what came over, less what escaped",
    )  # fmt: skip
    left_strength = strength_in_flask(
        "strength of what stays", sums.residue_percent, share, "what is left in the flask"
    )
    heat = reckoned(
        "heat into the liquid", sums.heat_kj, unit="kJ",
        inputs={"start_mass_g": start, **flask, "ethanol_share": share, "temperature_c": temperature},
        says="warming all of it to the boil and what stays on to the end, and boiling the distillate off; good to 5 %",
        sources=HEAT_SOURCES,
    )  # fmt: skip
    return Recovered(
        have=have,
        start=start,
        ethanol=ethanol,
        stop=stop,
        cuts=told,
        curve=curve,
        mass=mass,
        ethanol_over=over,
        escaped=escaped,
        caught=caught,
        caught_volume=reckoned(
            "distillate caught, by volume", spirit_volume_ml, unit="mL",
            inputs={
                "mass_g": caught, "volume_percent_20c": stop.strength, "temperature_c": distillate_temperature,
            },
            says="its mass over its density", sources=SPIRIT_SOURCES,
        ),
        left=reckoned(
            "stays in the flask", sums.rest_g, unit="g", inputs={"whole_g": start, "part_g": mass},
            says="what was in it, less what came over",
        ),
        left_strength=left_strength,
        left_ethanol=reckoned(
            "ethanol that stays", sums.rest_g, unit="g", inputs={"whole_g": ethanol, "part_g": over},
            says="what was in it, less what came over",
        ),
        most=_sure(first.drip),
        first_boiling=first.boiling,
        pressure=pressure,
        reads=_reads(stop.strength, distillate_temperature),
        heat=heat,
        minutes=reckoned(
            "minutes", sums.minutes_for_kj, unit="min",
            inputs={"heat_kj": heat, "power_w": power, "power_share": power_share},
            says="the heat over the part of the heater's power that arrives",
        ),
        power=power,
    )  # fmt: skip


def _sure(answer: Answer) -> Answer:
    """With its uncertainty, unless it is what was asked for and has none."""
    found = measured(answer)
    return found if (found.standard_uncertainty or 0.0) > LEAST_DOUBT * abs(found.value) else answer


def _given(share: float) -> Answer:
    return reckoned(
        f"{100.0 * share:.3g} % of the ethanol over", shares.given_share, unit="1", inputs={},
        fixed={"ethanol_share": share}, says="a cut to be told",
    )  # fmt: skip


def _reads(strength: Answer, temperature: Answer) -> Answer | None:
    try:
        return reckoned(
            "reading of the alcoholometer", sums.reading_percent, unit="%", basis="v/v, as read",
            inputs={"volume_percent_20c": strength, "temperature_c": temperature},
            says="its density at that temperature, glass included", sources=SPIRIT_SOURCES,
        )  # fmt: skip
    except OutsideModel:
        return None
