"""Cooling water: whether what boils may run on this water, this bucket and this breaker.

Promises a verdict that names the first set-up that fails. The inlet is asked each day and never filled in. The
calculation is ``answers.cooled``; what is told and taught of it is ``cooling_told``. Writes nothing.
"""

import re
from dataclasses import dataclass, replace

from stillroom.answers.cooled import (
    CooledSetUp,
    breaker_limit,
    cooled,
    first_failing,
    least_flow,
    pressure_at,
    total_load,
    water_used,
)
from stillroom.answers.cooled_by_bucket import Bucket, bucket, still_water
from stillroom.answers.plain_sums import sum_of
from stillroom.answers.set_ups_said import (
    CAUGHT,
    CAUGHT_C,
    TAKEN_PERCENT,
    SetUpSaid,
    caught_in,
    set_up,
    set_ups_in,
)
from stillroom.asking.entries import Assumption, Flag, maybe, needed, taken
from stillroom.asking.question import Question, Way
from stillroom.asking.readers import ASKED, Figure, OneOf, Own
from stillroom.asking.said import Said
from stillroom.errors import BadEntry
from stillroom.evidence.answer import Answer, assumed, published, reading, reckoned
from stillroom.quantities.entry import degrees_apart, entry, share
from stillroom.questions.cooling_told import CoolingFound, refuse, teach, tell
from stillroom.questions.height import altitude_said, height
from stillroom.science.heat.breaker import PLANNED_SHARE
from stillroom.texts.catalogue import later, t

PLANNED = published(
    "planned share", PLANNED_SHARE, "1", "common practice, no source", sources=("common-practice",)
)
HOSES = {"series": later("in series"), "parallel": later("in parallel")}
MARGIN, MARGIN_K = "margin below the boiling point", 20.0
JACKET_ML = 150.0
MAINS_V = 230.0


# ---- what is asked


def share_in(text: str, where: str) -> Answer:
    """The part of a heater that boils the liquid [1]."""
    return reading("share of the heater that boils", share(text, least=0.01, where=where), "1", ASKED)


def margin_in(text: str, where: str) -> Answer:
    """How far below its boiling point water may leave [K]."""
    value = degrees_apart(text, where=where)
    if not 0.0 <= value <= 60.0:
        raise BadEntry(
            "The margin must lie between 0 and 60 K", repr(text[:40]), "20 K is usual", where=where
        )
    return reading(MARGIN, value, "K", ASKED)


def heaters_in(text: str, where: str) -> Answer | None:
    """Everything on the breaker at once: "2 × 300 W; 1000 W" [W]."""
    loads: dict[str, Answer] = {}
    for part in (one.strip() for one in re.split(r"[;\n]|,\s|\s\+\s", text) if one.strip()):
        hit = re.fullmatch(r"(?:(\d+)\s*[×x*]\s*)?(.+)", part)
        many, each = (int(hit[1] or 1), hit[2]) if hit else (1, part)
        watts = entry(each, "W", where=where).in_unit("W")
        for _ in range(min(many, 50)):
            name = f"heater {len(loads) + 1}"
            loads[name] = reading(name, watts, "W", ASKED)
    return reckoned("all heaters at once", sum_of, unit="W", inputs=loads, says="the sum") if loads else None


def has_a_heater(found: CoolingFound, _: Said) -> bool:
    """Whether a set-up is known by its heater."""
    return any(by_heater(one) for one in found.set_ups)


def has_a_drip(found: CoolingFound, _: Said) -> bool:
    """Whether a set-up is known by what drips back."""
    return not all(by_heater(one) for one in found.set_ups)


def heaters_were_said(_: CoolingFound, said: Said) -> bool:
    """Whether the heaters are known, and only the breaker is not."""
    return "heaters" in said.text


def by_heater(one: CooledSetUp) -> bool:
    """Whether its heat is that of a heater."""
    return any(name == "power_w" for name, _ in one.set_up.load.inputs)


BREAKER_NOT_CHECKED = Assumption(
    what=later("what hangs on the breaker"), taken=later("nothing"), because=later("nobody said"),
    effect=later("not checked"), share=0.25,
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUps(Said):
    """What boils, on which water, for how long, on which breaker."""

    set_ups: tuple[SetUpSaid, ...] = needed(
        Own(set_ups_in),
        label=later("Set-ups, in the order of the water"), argument=True, joined=";",
        hint=later("Such as 2 × ethanol 12 mL/min; spirit 86 % v/v 12 mL/min; acetone 300 W"),
    )  # fmt: skip
    inlet: Answer = needed(
        Figure(of="cooling water in", symbol="°C", unit="°C", low=0.0, high=60.0),
        must=later("The temperature of the cooling water is asked each day, never filled in"),
        do=later("Hold the thermometer under the tap today"),
        label=later("Water coming in, measured today"), house="tap temperature",
        help='Cooling water coming in, measured today: "24 °C". Never filled in.',
    )  # fmt: skip
    flow: Answer = needed(
        Figure(of="flow", symbol="L/min", unit="L/min", low=0.02, high=30.0, zero=True),
        must=later("The flow is needed"), do=later('Write "0.5 L/min"; a litre jug and a watch tell it'),
        label=later("Flow of a line"), help='Water through a line: "0.5 L/min".',
    )  # fmt: skip
    hoses: str = taken(
        "series",
        OneOf(HOSES, must=later("Hoses run in series or in parallel")),
        label=later("Hoses, and for how long"), chosen="series",
        flags={"parallel": Flag("parallel", help="Each condenser has a line of its own; in series when left out.")},
    )  # fmt: skip
    hours: Answer = needed(
        Figure(of="time", symbol="h", unit="h", low=0.0, high=48.0, zero=True),
        must=later("The time is needed"), do=later('Write "6 h"'),
        label=later("For how long"), beside=True, usual="6 h", help="How long it runs.",
    )  # fmt: skip
    heaters: Answer | None = maybe(
        Own(heaters_in),
        label=later("Everything on the breaker"), hint=later("Such as 2 × 300 W; 1000 W"), folded=True,
        help='Everything on the breaker: "2 × 300 W; 1000 W".', unsaid=BREAKER_NOT_CHECKED,
    )  # fmt: skip
    breaker: Answer | None = maybe(
        Figure(of="breaker", symbol="A", unit="A", low=1.0, high=125.0, zero=True),
        label=later("Breaker, mains"), folded=True, help='Printed on it: "10 A".',
        unsaid=replace(BREAKER_NOT_CHECKED, counts=heaters_were_said),
    )  # fmt: skip
    mains: Answer = taken(
        assumed("mains", MAINS_V, "V", "230 V, since nobody said"),
        Figure(of="mains", symbol="V", unit="V", low=90.0, high=440.0, zero=True),
        label=later("Mains"), beside=True, help='"230 V".',
    )  # fmt: skip
    bucket: Answer | None = maybe(
        Figure(of="water in the bucket", symbol="L", unit="L", low=0.5, high=1000.0, zero=True),
        label=later("Bucket, ice in it, pump"), hint=later("In place of the tap"), folded=True,
        help='Water in a bucket in place of the tap: "25 L".',
    )  # fmt: skip
    ice: Answer = taken(
        assumed("ice", 0.0, "kg", "none"),
        Figure(of="ice", symbol="kg", unit="kg", low=0.0, high=200.0, zero=True),
        label=later("Ice"), beside=True, help='Ice in it: "5 kg".',
    )  # fmt: skip
    pump: Answer = taken(
        assumed("pump", 0.0, "W", "none said"),
        Figure(of="pump", symbol="W", unit="W", low=0.0, high=500.0, zero=True),
        label=later("Pump"), beside=True, help='Power of the pump: "10 W".',
    )  # fmt: skip
    altitude: Answer | None = altitude_said(
        later("altitude"), later("each 300 m lowers every boiling point by about 1 °C"), share=0.2
    )
    share: Answer = taken(
        assumed("share of the heater that boils", 1.0, "1", "all of it: the careful side"),
        Own(share_in, "figure", "%"),
        label=later("How much of a heater boils the liquid"), folded=True,
        help='Part of a heater that boils the liquid: "60 %".',
        unsaid=Assumption(
            what=later("how much of a heater boils the liquid"), taken=later("all of it"),
            because=later("the careful side"), counts=has_a_heater, share=0.4,
            effect=later("a mantle gives 40 to 70 %: the true rise is that much less"),
        ),
    )  # fmt: skip
    margin: Answer = taken(
        published(MARGIN, MARGIN_K, "K", "common practice, no source", sources=("common-practice",)),
        Own(margin_in, "figure", "K"),
        label=later("How far below boiling water may leave"), folded=True,
        help='How far below its boiling point water may leave: "20 K".',
        unsaid=Assumption(
            what=later("how far below its boiling point water may leave"), taken=f"{MARGIN_K:g} K",
            because=later("common practice, no source"), effect=later("decides which set-ups pass"), share=0.3,
        ),
    )  # fmt: skip
    jacket: Answer = taken(
        assumed("water standing in the condenser", JACKET_ML, "mL", "a usual small condenser"),
        Figure(of="water standing in the condenser", symbol="mL", unit="mL", low=10.0, high=5000.0, zero=True),
        label=later("Water standing in a condenser"), folded=True, help='Water standing in a condenser: "150 mL".',
        unsaid=Assumption(
            what=later("water standing in a condenser"), taken=f"{JACKET_ML:g} mL",
            because=later("a usual small condenser"), share=0.05,
            effect=later("moves the minutes left when the water stops, in proportion"),
        ),
    )  # fmt: skip
    caught_at: Answer | None = taken(
        assumed(CAUGHT, CAUGHT_C, "°C", "caught cold in a cylinder, since nobody said"),
        Own(caught_in, "figure", "°C"),
        label=later("How warm what drips back is when you measure it"), folded=True,
        help='How warm what drips back is when its volume is taken: "20 °C" when left out, or "boiling".',
        unsaid=Assumption(
            what=later("how warm what drips back is when its volume is taken"), taken=f"{CAUGHT_C:g} °C",
            because=later("caught cold in a cylinder"), counts=has_a_drip, share=0.07,
            effect=later("taken boiling hot the same millilitres weigh 5 to 8 % less, and so does the heat"),
        ),
    )  # fmt: skip


# ---- how it is worked out


def work(said: SetUps) -> CoolingFound:
    """Warm the water from one condenser to the next."""
    set_ups = [set_up(one, said.share, said.caught_at) for one in said.set_ups]
    in_series, pressure = said.hoses == "series", pressure_at(height(said.altitude, said))
    given = said.inlet, said.flow, said.margin, pressure
    found = cooled(set_ups, *given, in_series=in_series)
    best = tuple(sorted(found, key=lambda one: one.limit.value))
    reordered = None
    if in_series and best != found:
        reordered = cooled([one.set_up for one in best], *given, in_series=True)
    lines = reading("lines of water", 1.0 if in_series else float(len(set_ups)), "1", ASKED)
    return CoolingFound(
        set_ups=found,
        in_series=in_series,
        alone=cooled(set_ups, *given, in_series=False),
        failing=first_failing(found),
        reordered=reordered,
        margin=said.margin,
        total=total_load(set_ups),
        pressure=pressure,
        water=water_used(said.flow, lines, said.hours),
        water_an_hour=water_used(said.flow, lines, reading("an hour", 1.0, "h", ASKED)),
        least_flow=least_flow(reordered or found, said.inlet, in_series=in_series),
        still=tuple(still_water(one, said.jacket) for one in found if one.passes),
        bucket=_bucket(said, found),
        heaters=said.heaters,
        limit=said.breaker and breaker_limit(said.breaker, said.mains, PLANNED),
    )


def _bucket(said: SetUps, found: tuple[CooledSetUp, ...]) -> Bucket | None:
    if said.bucket is None:
        if said.ice.value or said.pump.value:
            raise BadEntry(
                "Ice and a pump belong to a bucket",
                "no bucket",
                "Say how much water is in it",
                where="bucket",
            )
        return None
    in_series, water = said.hoses == "series", said.bucket
    return bucket(found, said.flow, said.inlet, water, said.ice, said.pump, said.hours, in_series=in_series)


def assume(found: CoolingFound, _: SetUps) -> tuple[Assumption, ...]:
    """Spirit that drips back, and whose strength nobody said."""
    percents = (leaf for one in found.set_ups if not by_heater(one) for _, leaf in one.set_up.load.inputs)
    if not any(one.leaf and one.leaf.kind == "assumed" and one.value == TAKEN_PERCENT for one in percents):
        return ()
    return (
        Assumption(
            what=t("how strong the spirit that drips back is"), taken=f"{TAKEN_PERCENT:g} % v/v",
            because=t("the careful side: the vapour of a flask that has fallen to 20 % v/v"),
            effect=t(
                "at 86 % v/v it gives 18 % less heat, pure ethanol 43 % less; write "
                '"spirit 86 % v/v 12 mL/min"'
            ),
            share=0.2, field="set-ups",
        ),
    )  # fmt: skip


QUESTION = Question(
    name="cooling",
    title=later("Cooling water"),
    lead=later("What boils, in the order of the water; the water today; how long."),
    button=later("May it run?"),
    help="""Whether SET_UPS ("ethanol 12 mL/min", "acetone 300 W", in the order of the water) may run on one water.

    What must not run ends with exit code 2 and names the first that fails.
    """,
    kind="cooling",
    asks=Way(SetUps, work, tell, teach, assume, refuse),
)
