"""What is told and taught of cooling: the verdict first, each outlet, the water it takes, a bucket, the breaker.

Promises that a refusal names the first set-up that fails and what would mend it. Calculates nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.answers.cooled import CooledSetUp
from stillroom.answers.cooled_by_bucket import Bucket
from stillroom.asking.question import Told
from stillroom.asking.said import Said
from stillroom.documents.blocks import Block, Cell, Heading, Mark, Numbers, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.errors import NotAllowed
from stillroom.evidence.answer import Answer
from stillroom.quantities.entry import with_unit
from stillroom.stream.cautions import harmful
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import t

CAUTIONS = (
    "closed-apparatus",
    "heat-without-cooling",
    "leaving-the-room",
    "water-or-power-off",
    "own-numbers",
)


@dataclass(frozen=True, slots=True)
class CoolingFound:
    """Cooling, worked out.

    ``margin``, ``total``, ``pressure``, ``water``, ``water_an_hour``: [K, W, Pa, L, L]
    ``heaters``, ``limit``: [W]
    """

    set_ups: tuple[CooledSetUp, ...]
    """In the order of the water."""
    in_series: bool
    """Whether the hoses run from one to the next."""
    alone: tuple[CooledSetUp, ...]
    """Each as if its water were fresh."""
    failing: CooledSetUp | None
    """The first that fails."""
    reordered: tuple[CooledSetUp, ...] | None
    """Most volatile first, where that is another order."""
    margin: Answer
    total: Answer
    pressure: Answer
    water: Answer
    water_an_hour: Answer
    least_flow: Answer | None
    """None where no flow is enough. [L/min]"""
    still: tuple[Answer, ...]
    """Minutes each set-up that passes lasts without water. [min]"""
    bucket: Bucket | None
    heaters: Answer | None
    limit: Answer | None

    @property
    def way(self) -> str:
        """How the hoses run, in words."""
        return t("one after the other") if self.in_series else t("side by side")


def verdict(found: CoolingFound) -> tuple[str, bool]:
    """One sentence that says whether it may run, and True when it must not."""
    told: list[str] = []
    one = found.failing
    if one is not None:
        at = t(
            "{limit:.1f} °C ({boiling:.1f} less {margin})",
            limit=one.limit.value, boiling=one.boiling.value, margin=f"{found.margin.value:g}",
        )  # fmt: skip
        told.append(t(
            "the first to fail is {set_up_name}: its water would leave at {outlet:.1f} °C, above {at}",
            set_up_name=one.set_up.name, outlet=one.outlet.value, at=at,
        ))  # fmt: skip
    if found.heaters is not None and found.limit is not None and found.heaters.value > found.limit.value:
        told.append(t(
            "heaters of {heaters:.0f} W on a breaker to be planned to {limit:.0f} W",
            heaters=found.heaters.value, limit=found.limit.value,
        ))  # fmt: skip
    if found.bucket is not None and one is None and found.bucket.lasts.value <= 0.0:
        told.append(t("the bucket is too warm from the start"))
    if told:
        return "; ".join(told), True
    last = found.set_ups[-1].outlet.value
    return t("every set-up leaves cool enough, the last at {outlet:.1f} °C", outlet=last), False


def refuse(found: CoolingFound, _: Said) -> NotAllowed | None:
    """Why it must not run, naming the first set-up that fails; None when all may run."""
    told, failed = verdict(found)
    if not failed:
        return None
    return NotAllowed("This must not run as it stands", told, "Change what it names, and ask again")


def tell(found: CoolingFound, said: Said) -> Told:
    """The answer to "may these run on this water"."""
    transfer = rule("condenser-heat-transfer")
    names = ", ".join(dict.fromkeys(one.set_up.liquid.name for one in found.set_ups))
    blocks: list[Block] = [
        _verdict(found),
        *_what_mends(found),
        Heading(t("Each condenser, in the order of the water")),
        _condensers(found.set_ups),
        Prose(
            t(
                "Hoses {way}. Water may leave at most {margin} K below the boiling point here, at "
                "{pressure:.1f} kPa. No heat is taken to be lost, so the outlets are upper bounds: "
                "hold a thermometer in the last one. Surface: what condenses that heat at "
                "{transfer:g} {unit}, a figure of a worked problem. A jacket of 25 cm over a tube of "
                "12 mm has about 94 cm²; twice the need is wise.",
                way=found.way,
                margin=f"{found.margin.value:g}",
                pressure=found.pressure.value / 1000.0,
                transfer=transfer.value,
                unit=transfer.unit,
            ),
            quiet=True,
        ),
        Heading(t("Water")),
        Numbers(tuple(
            show(one, label=label, decimals=decimals)
            for one, label, decimals in (
                (found.total, t("Heat of all condensers"), 0),
                (found.water, t("Water in {hours}", hours=_as_said(said, "hours", "h")), 0),
                (found.water_an_hour, t("Water in an hour"), 0),
                (found.least_flow, t("Least flow"), 2),
            )
            if one is not None
        )),
        *_breaker(found),
        *_bucket(found, said),
        *_outage(found),
    ]  # fmt: skip
    return Told(
        t("Cooling {set_ups}: {names}", set_ups=_count(len(found.set_ups)), names=names),
        t(
            "Water at {inlet}, {flow}, hoses {way}. Nothing is written in a book.",
            inlet=_as_said(said, "inlet", "°C"),
            flow=_as_said(said, "flow", "L/min"),
            way=found.way,
        ),
        tuple(blocks),
        tuple(caution_block(key) for key in (*CAUTIONS, *_of_the_liquids(found))),
    )


def teach(found: CoolingFound, said: Said) -> Lesson:
    """The same condensers asked again on paper."""
    last, own, margin = found.set_ups[-1], found.alone[-1], f"{found.margin.value:g}"
    given: list[tuple[str, Cell]] = [
        (t("Water coming in"), _as_said(said, "inlet", "°C")),
        (t("Flow of a line"), _as_said(said, "flow", "L/min")),
        (t("Hoses"), found.way),
        (t("Heat of water"), t("4.186 J for a gram and a degree")),
        *((one.set_up.name, _load(one)) for one in found.set_ups),
        (t("Water may leave at most"), t("{margin} K below the boiling point", margin=margin)),
    ]
    if found.in_series and len(found.set_ups) > 1:
        tempting = t("Each condenser warms the water that comes from the tap.")
        answer = t("{outlet:.1f} °C at the last one", outlet=own.outlet.value)
        off = t(
            "The last one leaves at {outlet:.1f} °C, {warmer:.1f} °C warmer: in series the water "
            "carries the heat of all that stand before it.",
            outlet=last.outlet.value,
            warmer=last.outlet.value - own.outlet.value,
        )
    else:
        tempting = t("A condenser works while its water leaves colder than the boiling point.")
        answer = t(
            "{boiling:.1f} °C as the warmest outlet of {set_up_name}",
            boiling=last.boiling.value,
            set_up_name=last.set_up.name,
        )
        off = t(
            "Vapour escapes before that: water may leave at {limit:.1f} °C at most, {margin} K "
            "below (common practice, no source).",
            limit=last.limit.value,
            margin=margin,
        )
    return Lesson(
        question=t("Where does the water leave each condenser, and may they all run?"),
        given=tuple(given),
        blanks=(
            *(t("{set_up_name} leaves at, °C", set_up_name=one.set_up.name) for one in found.set_ups),
            t("May they run"),
            t("The first to fail"),
        ),
        tempting=tempting,
        tempting_answer=answer,
        how_far_off=off,
        worked=(
            _verdict(found),
            _condensers(found.set_ups),
            Numbers((show(found.total, label=t("Heat of all condensers"), decimals=0),)),
            caution_block("heat-without-cooling"),
        ),
    )


def _as_said(said: Said, name: str, unit: str) -> str:
    return with_unit(said.text.get(name, ""), unit)


def _load(one: CooledSetUp) -> str:
    return t("{load:.1f} W, boils at {boiling:.1f} °C", load=one.set_up.load.value, boiling=one.boiling.value)


def _verdict(found: CoolingFound) -> Points:
    told, failed = verdict(found)
    yes_or_no = t("Not like this") if failed else t("Yes")
    return Points((f"{yes_or_no}: {told}.",), "missing" if failed else "done")


def _condensers(set_ups: Sequence[CooledSetUp]) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (
            one.set_up.name,
            f"{one.set_up.load.value:.1f}",
            f"{one.outlet.value:.1f}",
            f"{one.limit.value:.1f}",
            f"{one.boiling.value:.1f}",
            "–" if one.surface is None else f"{one.surface.value:.0f}",
            Mark("met" if one.passes else "over"),
        )
        for one in set_ups
    ]
    return Table(
        (
            t("Set-up"),
            t("Heat, W"),
            t("Leaves at, °C"),
            t("At most, °C"),
            t("Boils at, °C"),
            t("Surface, cm²"),
            "",
        ),
        tuple(rows),
        (1, 2, 3, 4, 5),
    )


def _what_mends(found: CoolingFound) -> tuple[Block, ...]:
    mends: list[str] = []
    if found.reordered is not None:
        names = ", ".join(one.set_up.name for one in found.reordered)
        fine = all(one.passes for one in found.reordered)
        mends.append(
            t("Most volatile first: {names}. ", names=names)
            + (t("In that order all pass.") if fine else t("It is the better order."))
        )
    if found.failing is not None:
        if found.least_flow is None:
            mends.append(
                t("The inlet alone is too warm for it: no flow is enough. Ice water, or another liquid.")
            )
        else:
            mends.append(
                t("{least_flow} L/min would be enough", least_flow=number(found.least_flow.value, 2))
                + (t(" in the better order.") if found.reordered else ".")
            )
        if found.in_series:
            mends.append(t("Or give that set-up water of its own, or run it alone."))
    if found.heaters is not None and found.limit is not None and found.heaters.value > found.limit.value:
        over = found.heaters.value - found.limit.value
        mends.append(t("Switch off {limit:.0f} W, or take another circuit.", limit=over))
    return (Points(tuple(mends)),) if mends else ()


def _breaker(found: CoolingFound) -> tuple[Block, ...]:
    if found.heaters is None or found.limit is None:
        return ()
    return (
        Heading(t("Breaker")),
        Numbers(
            (
                show(found.heaters, label=t("All heaters at once"), decimals=0),
                show(found.limit, label=t("At most"), decimals=0),
            )
        ),
        caution_block("overload"),
    )


def _bucket(found: CoolingFound, said: Said) -> tuple[Block, ...]:
    if found.bucket is None:
        return ()
    it, litres, hours = found.bucket, _as_said(said, "bucket", "L"), _as_said(said, "hours", "h")
    with_ice = t(", with the ice") if "ice" in said.text else ""
    return (
        Heading(t("A bucket of {bucket} and a pump in place of the tap", bucket=litres)),
        Numbers(
            (
                show(it.warmest, label=t("As warm as it may become"), decimals=1),
                show(it.lasts, label=t("It lasts{which}", which=with_ice), decimals=0),
                show(it.ice, label=t("Ice for {hours}", hours=hours), decimals=1),
            )
        ),
        Table(
            (t("After, min"), t("Bucket, °C"), ""),
            tuple(
                (f"{time.value:.0f}", f"{warm.value:.1f}", Mark("met" if warm.value <= it.warmest.value else "over"))
                for time, warm in it.warming
            ),
            (0, 1),
        ),
        Prose(
            t(
                "It begins as warm as the inlet, ice melts first; nothing is taken to be lost to the "
                "room. Heat off before it is at its warmest; a thermometer in the bucket decides."
            )
        ),
    )  # fmt: skip


def _outage(found: CoolingFound) -> tuple[Block, ...]:
    if not found.still:
        return ()
    least = min(found.still, key=lambda one: one.value)
    seconds = 60.0 * least.value
    told = (
        t("{seconds:.0f} seconds", seconds=seconds)
        if least.value < 3.0
        else t("{least:.0f} minutes", least=least.value)
    )
    return (
        Heading(t("When the water stops")),
        Prose(
            t(
                "With the heat still on, the water that stands in the first to go lasts about "
                "{minutes}: heat off at once.",
                minutes=told,
            )
        ),
        Numbers(tuple(show(one, decimals=1) for one in found.still)),
    )


def _of_the_liquids(found: CoolingFound) -> tuple[str, ...]:
    keys = []
    if harmful(one.set_up.liquid.name for one in found.set_ups):
        keys.append("harmful-vapour")
    if any(one.set_up.liquid.flammable for one in found.set_ups):
        keys.append("flammable-vapour")
    if any("ether" in one.set_up.liquid.name for one in found.set_ups):
        keys.append("peroxide")
    return tuple(keys)


def _count(many: int) -> str:
    return t("one set-up") if many == 1 else f"{many} set-ups"
