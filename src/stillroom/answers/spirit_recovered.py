"""Spirit got back by a simple still: what is over at a cut, how strong, how hot, with how much heat.

Promises that distillate, what escapes and what stays close in mass and in ethanol. The stop is first turned into a
share of the ethanol; everything else follows from that share. Ethanol and water only: extract in the flask is taken
not to change the boiling.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from stillroom.answers import still_shares as shares
from stillroom.answers import still_sums as sums
from stillroom.answers.budget import Stated, budget_of, stated
from stillroom.answers.spirit_percent import spirit_volume_ml
from stillroom.answers.spirit_strength import BASIS
from stillroom.answers.still_stops import (
    SOURCES,
    boiling_of_strength_c,
    published_sets_differ,
    strength_of_masses_percent,
)
from stillroom.errors import OutsideModel
from stillroom.evidence.answer import Answer, reckoned
from stillroom.substances.spirits import BOILING_SOURCES, HEAT_SOURCES, SPIRIT_SOURCES

SHARES = (0.25, 0.5, 0.75, 0.9, 0.95, 0.99)
"""Cuts that are always told, as shares of the ethanol."""
LEAST_DOUBT = 1e-6
"""Of the value; less is rounding of the arithmetic."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A moment of a run.

    ``share``, ``volume``, ``strength``, ``drip``, ``boiling``: ethanol over [1]; distillate so far [mL]; its
    strength and that of the drip [% v/v]; boiling point [°C].
    """

    share: Answer
    volume: Answer
    strength: Answer
    drip: Answer
    boiling: Answer


@dataclass(frozen=True, slots=True)
class Sure:
    """How sure the figures at the stop are; what was asked for stands as it was asked.

    ``volume``, ``mass``, ``strength``, ``drip``, ``boiling``, ``left``, ``left_strength``, ``most``: [mL, g,
    % v/v, % v/v, °C, g, % v/v, % v/v]
    """

    volume: Stated | Answer
    mass: Stated | Answer
    strength: Stated | Answer
    drip: Stated | Answer
    boiling: Stated | Answer
    left: Stated | Answer
    left_strength: Stated | Answer
    most: Stated | Answer


@dataclass(frozen=True, slots=True)
class Recovered:
    """A run of a simple still, to its cut.

    ``start``, ``ethanol``: in the flask at the start. [g]
    ``mass``, ``ethanol_over``: of the distillate that comes over. [g]
    ``escaped``, ``caught``, ``caught_volume``: past the condenser, and what is caught. [g, g, mL]
    ``left``, ``left_strength``, ``left_ethanol``: in the flask at the end. [g, % v/v, g]
    ``first_boiling``, ``pressure``: [°C, Pa]
    ``heat``, ``minutes``, ``power``: [kJ, min, W]
    """

    have: Stated
    """Strength in the flask at the start. [% v/v]"""
    start: Answer
    ethanol: Answer
    stop: Cut
    """Where it is stopped."""
    cuts: tuple[Cut, ...]
    """The usual ones before and after."""
    curve: tuple[Cut, ...]
    """For the drawing, in order."""
    mass: Answer
    ethanol_over: Answer
    escaped: Answer
    caught: Answer
    caught_volume: Answer
    left: Answer
    left_strength: Answer
    left_ethanol: Answer
    most: Answer
    """The strongest this still can give: its first drop. [% v/v]"""
    first_boiling: Answer
    pressure: Answer
    reads: Answer | None
    """What the alcoholometer shows in the distillate; None outside its table. [% v/v]"""
    heat: Answer
    minutes: Answer
    power: Answer
    sure: Sure


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
    left = reckoned(
        "stays in the flask", sums.rest_g, unit="g", inputs={"whole_g": start, "part_g": mass},
        says="what was in it, less what came over",
    )  # fmt: skip
    left_ethanol = reckoned(
        "ethanol that stays", sums.rest_g, unit="g", inputs={"whole_g": ethanol, "part_g": over},
        says="what was in it, less what came over",
    )  # fmt: skip
    left_strength = reckoned(
        "strength of what stays", strength_of_masses_percent, unit="%", basis=BASIS,
        inputs={"ethanol_g": left_ethanol, "mass_g": left}, says="the ethanol that stays, over all that stays",
        sources=SPIRIT_SOURCES,
    )  # fmt: skip
    boiling = reckoned(
        "boiling point now", boiling_of_strength_c, unit="°C",
        inputs={"volume_percent_20c": left_strength, "pressure_pa": pressure},
        says="of what is left in the flask, at that pressure", sources=BOILING_SOURCES,
    )  # fmt: skip
    stop = replace(stop, boiling=boiling)
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
        left=left,
        left_strength=left_strength,
        left_ethanol=left_ethanol,
        most=first.drip,
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
        sure=Sure(
            *(_sure(one) for one in (stop.volume, mass, stop.strength, stop.drip, boiling, left, left_strength,
                                     first.drip))
        ),
    )  # fmt: skip


def _sure(answer: Answer) -> Stated | Answer:
    """With its uncertainty, unless it is what was asked for and has none."""
    known = budget_of(answer).standard_uncertainty > LEAST_DOUBT * abs(answer.value)
    return stated(answer) if known else answer


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
