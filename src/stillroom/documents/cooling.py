"""Cooling as a page: the verdict first, each outlet, the water it takes, a bucket, the breaker, when it stops.

Promises that a refusal names the first set-up that fails and what would mend it. Reckons nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Cell,
    Heading,
    Mark,
    Numbers,
    Page,
    PageFacts,
    Points,
    Prose,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.showing import number, show
from stillroom.evidence.answer import Answer
from stillroom.results.cooled import CooledSetUp
from stillroom.results.cooled_by_bucket import Bucket
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

    Attributes
    ----------
    set_ups : tuple of CooledSetUp
        In the order of the water.
    failing : CooledSetUp or None
        The first that fails.
    reordered : tuple of CooledSetUp or None
        Most volatile first, where that is another order.
    total, pressure, water, water_an_hour : Answer
        [W, Pa, L, L]
    least_flow : Answer or None
        None where no flow is enough. [L/min]
    still : tuple of Answer
        Minutes each set-up that passes lasts without water. [min]
    bucket : Bucket or None
    heaters, limit : Answer or None
        [W]
    """

    set_ups: tuple[CooledSetUp, ...]
    failing: CooledSetUp | None
    reordered: tuple[CooledSetUp, ...] | None
    total: Answer
    pressure: Answer
    water: Answer
    water_an_hour: Answer
    least_flow: Answer | None
    still: tuple[Answer, ...]
    bucket: Bucket | None
    heaters: Answer | None
    limit: Answer | None


@dataclass(frozen=True, slots=True)
class CoolingWords:
    """Cooling in the words it was asked in.

    Attributes
    ----------
    inlet, flow, hours, margin, bucket, ice, breaker : str
    in_series : bool
    """

    inlet: str
    flow: str
    hours: str
    in_series: bool
    margin: str
    bucket: str
    ice: str
    breaker: str


def verdict(found: CoolingFound, words: CoolingWords) -> tuple[str, bool]:
    """One sentence that says whether it may run, and True when it must not.

    Parameters
    ----------
    found : CoolingFound
    words : CoolingWords
    """
    told: list[str] = []
    one = found.failing
    if one is not None:
        at = t(
            "{limit:.1f} °C ({boiling:.1f} less {margin})",
            limit=one.limit.value,
            boiling=one.boiling.value,
            margin=words.margin,
        )
        told.append(
            t(
                "the first to fail is {set_up_name}: its water would leave at {outlet:.1f} °C, above {at}",
                set_up_name=one.set_up.name,
                outlet=one.outlet.value,
                at=at,
            )
        )
    if found.heaters is not None and found.limit is not None and found.heaters.value > found.limit.value:
        told.append(
            t(
                "heaters of {heaters:.0f} W on a breaker to be planned to {limit:.0f} W",
                heaters=found.heaters.value,
                limit=found.limit.value,
            )
        )
    if found.bucket is not None and one is None and found.bucket.lasts.value <= 0.0:
        told.append(t("the bucket is too warm from the start"))
    if told:
        return "; ".join(told), True
    return (
        t(
            "every set-up leaves cool enough, the last at {outlet:.1f} °C",
            outlet=found.set_ups[-1].outlet.value,
        ),
        False,
    )


def cooling_page(
    found: CoolingFound,
    words: CoolingWords,
    unsaid: Sequence[Unsaid],
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "may these run on this water", on one page.

    Parameters
    ----------
    found : CoolingFound
    words : CoolingWords
    unsaid : sequence of Unsaid
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    told, failed = verdict(found, words)
    way = t("one after the other") if words.in_series else t("side by side")
    transfer = rule("condenser-heat-transfer")
    blocks: list[Block] = [
        Points(
            (f"{t('Not like this') if failed else t('Yes')}: {told}.",),
            "missing" if failed else "done",
        ),
        *_what_mends(found, words),
        Heading(t("Each condenser, in the order of the water")),
        condenser_table(found.set_ups),
        Prose(
            t(
                "Hoses {way}. Water may leave at most {margin} K below the boiling point here, at "
                "{pressure:.1f} kPa. No heat is taken to be lost, so the outlets are upper bounds: "
                "hold a thermometer in the last one. Surface: what condenses that heat at "
                "{transfer:g} {unit}, a figure of a worked problem. A jacket of 25 cm over a tube of "
                "12 mm has about 94 cm²; twice the need is wise.",
                way=way,
                margin=words.margin,
                pressure=found.pressure.value / 1000.0,
                transfer=transfer.value,
                unit=transfer.unit,
            ),
            quiet=True,
        ),
        Heading(t("Water")),
        Numbers(
            (
                show(found.total, label=t("Heat of all condensers"), decimals=0),
                show(found.water, label=t("Water in {hours}", hours=words.hours), decimals=0),
                show(found.water_an_hour, label=t("Water in an hour"), decimals=0),
                *(
                    ()
                    if found.least_flow is None
                    else (show(found.least_flow, label=t("Least flow"), decimals=2),)
                ),
            )
        ),
        *_breaker(found),
        *_bucket(found, words),
        *_outage(found),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in CAUTIONS),
        *(caution_block(key) for key in _of_the_liquids(found)),
    ]
    names = ", ".join(dict.fromkeys(one.set_up.liquid.name for one in found.set_ups))
    return Page(
        title=t("Cooling {set_ups}: {names}", set_ups=_count(len(found.set_ups)), names=names),
        kind="cooling",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "Water at {inlet}, {flow}, hoses {way}. Nothing is written in a book.",
            inlet=words.inlet,
            flow=words.flow,
            way=way,
        ),
        href=href,
    )


def condenser_table(set_ups: Sequence[CooledSetUp]) -> Table:
    """Each condenser in the order of the water: heat, outlet, limit, boiling point, surface, whether it passes.

    Parameters
    ----------
    set_ups : sequence of CooledSetUp
    """
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


def _what_mends(found: CoolingFound, words: CoolingWords) -> tuple[Block, ...]:
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
        if words.in_series:
            mends.append(t("Or give that set-up water of its own, or run it alone."))
    if found.heaters is not None and found.limit is not None and found.heaters.value > found.limit.value:
        mends.append(
            t(
                "Switch off {limit:.0f} W, or take another circuit.",
                limit=found.heaters.value - found.limit.value,
            )
        )
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


def _bucket(found: CoolingFound, words: CoolingWords) -> tuple[Block, ...]:
    if found.bucket is None:
        return ()
    lasts = found.bucket.lasts
    return (
        Heading(t("A bucket of {bucket} and a pump in place of the tap", bucket=words.bucket)),
        Numbers(
            (
                show(found.bucket.warmest, label=t("As warm as it may become"), decimals=1),
                show(
                    lasts,
                    label=t("It lasts{which}", which=t(", with the ice") if words.ice else ""),
                    decimals=0,
                ),
                show(found.bucket.ice, label=t("Ice for {hours}", hours=words.hours), decimals=1),
            )
        ),
        Table(
            (t("After, min"), t("Bucket, °C"), ""),
            tuple(
                (
                    f"{time.value:.0f}",
                    f"{warm.value:.1f}",
                    Mark("met" if warm.value <= found.bucket.warmest.value else "over"),
                )
                for time, warm in found.bucket.warming
            ),
            (0, 1),
        ),
        Prose(
            t(
                "It begins as warm as the inlet, ice melts first; nothing is taken to be lost to the "
                "room. Heat off before it is at its warmest; a thermometer in the bucket decides."
            )
        ),
    )


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
