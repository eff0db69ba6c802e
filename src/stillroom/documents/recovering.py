"""Spirit got back, as a page and as a lesson: the cut first, the most this still can give, then heat and cautions.

Promises the same figures on both. Says what nobody entered. Reckons nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import (
    Block,
    Cell,
    Heading,
    Numbers,
    Page,
    PageFacts,
    Points,
    Prose,
    Table,
)
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.lessons import Lesson
from stillroom.documents.showing import number, show
from stillroom.documents.still_drawing import still_drawing
from stillroom.results.spirit_percent import spirit_volume_ml
from stillroom.results.spirit_recovered import Cut, Recovered
from stillroom.results.still_sums import ethanol_g
from stillroom.texts.catalogue import t

FIRST = ("heat-without-cooling", "leaving-the-room", "bumping")
CAUTIONS = (
    "closed-apparatus",
    "flammable-vapour",
    "water-or-power-off",
    "hot-liquid",
    "spirit-law",
    "methanol",
)
AS_SOLD = 96.0


@dataclass(frozen=True, slots=True)
class RecoveryWords:
    """A run of a still in the words it was asked in.

    Attributes
    ----------
    have, amount, stop, temperature, distillate_temperature, pressure : str
    extract : bool
        Whether the flask holds extract.
    vacuum : bool
        Whether it boils under less than the air's pressure.
    """

    have: str
    amount: str
    stop: str
    temperature: str
    distillate_temperature: str
    pressure: str
    extract: bool
    vacuum: bool = False


def recovery_page(
    found: Recovered,
    words: RecoveryWords,
    unsaid: Sequence[Unsaid],
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "how much spirit do I get back", on one page.

    Parameters
    ----------
    found : Recovered
    words : RecoveryWords
    unsaid : sequence of Unsaid
        What nobody entered.
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    stop = found.stop
    blocks: list[Block] = [
        Points((t("recovering.stop_when", stop=words.stop),), "done"),
        *_dry(found),
        Numbers(
            (
                show(stop.strength, label=t("recovering.strength_of_the_distillate"), decimals=1),
                show(
                    stop.volume,
                    label=t("recovering.comes_over_at", distillate_temperature=words.distillate_temperature),
                    decimals=0,
                ),
                show(found.mass, label=t("recovering.comes_over_by_mass"), decimals=0),
                show(found.caught_volume, label=t("recovering.of_it_caught"), decimals=0),
                show(found.ethanol_over, label=t("recovering.ethanol_in_it"), decimals=0),
            )
        ),
        Prose(
            t("recovering.doubt_strength_flask_published"),
            quiet=True,
        ),
        Prose(
            t(
                "recovering.ethanol_flask_stay",
                share=100.0 * stop.share.value,
                ethanol=number(found.ethanol.value, 0),
                left_ethanol=number(found.left_ethanol.value, 0),
            )
        ),
        Heading(t("recovering.at_that_moment")),
        Numbers(
            (
                show(stop.drip, label=t("recovering.what_drips"), decimals=1),
                show(stop.boiling, label=t("recovering.the_flask_boils_at"), decimals=1),
                show(found.left, label=t("recovering.left_in_the_flask"), decimals=0),
                show(found.left_strength, label=t("recovering.its_strength"), decimals=1),
            )
        ),
        Heading(t("recovering.most_still_can_give")),
        Numbers((show(found.most, label=t("recovering.its_first_drop"), decimals=1),)),
        Prose(t("recovering.no_cut_simple_still")),
        Heading(t("recovering.strength_against_cut")),
        _cuts(found),
        still_drawing(found),
        Heading(t("recovering.check_alcoholometer")),
        *_reading(found, words),
        Heading(t("recovering.heat_and_time")),
        Numbers(
            (
                show(found.first_boiling, label=t("recovering.begins_boil"), decimals=1),
                show(found.heat, label=t("recovering.heat_into_the_liquid"), decimals=0),
                show(
                    found.minutes,
                    label=t("recovering.minutes_on", power=number(found.power.value, 0)),
                    decimals=0,
                ),
                show(found.escaped, label=t("recovering.past_the_condenser"), decimals=0),
            )
        ),
        Prose(
            t("recovering.pressure_still_stopwatch_thermometer", pressure=words.pressure),
            quiet=True,
        ),
        Heading(t("recovering.before_the_heat")),
        Points(
            (
                t("recovering.cooling_water_first_seen"),
                t("recovering.fresh_boiling_chips_cold"),
                t("recovering.somebody_stays_first_drop"),
                t("recovering.never_dryness_stop_while"),
                t("recovering.heat_off_cooled_before"),
            )
        ),
        *(caution_block(key) for key in FIRST),
        *unsaid_blocks(unsaid),
        *(caution_block(key) for key in (*(("vacuum",) if words.vacuum else ()), *CAUTIONS)),
    ]
    return Page(
        title=t("recovering.through_simple_still", amount=words.amount, have=found.have.answer.value),
        kind="spirit recovered",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t("recovering.start_nothing_written_book", have=words.have, temperature=words.temperature),
        href=href,
    )


def recovery_lesson(found: Recovered, words: RecoveryWords) -> Lesson:
    """The same run asked again on paper.

    Parameters
    ----------
    found : Recovered
    words : RecoveryWords
    """
    given: tuple[tuple[str, Cell], ...] = (
        (t("recovering.ethanol_in_the_flask"), f"{number(found.ethanol.value, 0)} g"),
        (t("recovering.where_it_is_stopped"), words.stop),
        (t("recovering.strength_first_drop"), f"{found.most.value:.1f} % v/v"),
        (t("recovering.distillate_cut_mass"), f"{number(found.mass.value, 0)} g"),
        (t("recovering.share_ethanol_over"), f"{100.0 * found.stop.share.value:.1f} %"),
    )
    tempting_ml = spirit_volume_ml(found.ethanol_over.value / ethanol_g(1.0, AS_SOLD), AS_SOLD, 20.0)
    over = t("recovering.volume_strength", volume=found.stop.volume.value, strength=found.stop.strength.value)
    return Lesson(
        question=(
            t("recovering.spirit_distilled_simple_still", amount=words.amount, have=found.have.answer.value)
        ),
        given=given,
        blanks=(
            t("recovering.ethanol_over_g"),
            t("recovering.share_distillate_mass"),
            t("recovering.strength"),
            t("recovering.volume"),
        ),
        tempting=t("recovering.recovered_spirit_strong_bought", as_sold=AS_SOLD),
        tempting_answer=t("recovering.tempting_ml_as_sold", tempting_ml=tempting_ml, as_sold=AS_SOLD),
        how_far_off=(
            t(
                "recovering.truth_same_ethanol_more",
                over=over,
                as_sold=AS_SOLD,
                strength=AS_SOLD - found.stop.strength.value,
            )
        ),
        worked=(_cuts(found), *(caution_block(key) for key in (*FIRST, "spirit-law"))),
    )


def _dry(found: Recovered) -> tuple[Block, ...]:
    left = found.left.value / found.start.value
    if left >= 0.1:
        return ()
    return (
        Points(
            (t("recovering.only_liquid_would_stay", left=100.0 * left),),
            "missing",
        ),
    )


def _cuts(found: Recovered) -> Table:
    stop = found.stop
    cuts = sorted((*found.cuts, stop), key=lambda one: one.share.value)
    return Table(
        (
            t("recovering.ethanol_over_percent"),
            t("recovering.distillate"),
            t("recovering.so_far"),
            t("recovering.drips"),
            t("recovering.boils_at"),
            "",
        ),
        tuple(_cut_row(one, "here" if one is stop else "") for one in cuts),
        (0, 1, 2, 3, 4),
    )


def _cut_row(cut: Cut, word: str) -> tuple[Cell, ...]:
    return (
        f"{100.0 * cut.share.value:.1f}",
        f"{cut.volume.value / 1000.0:.3f}",
        f"{cut.strength.value:.1f}",
        f"{cut.drip.value:.1f}",
        f"{cut.boiling.value:.1f}",
        word,
    )


def _reading(found: Recovered, words: RecoveryWords) -> tuple[Block, ...]:
    if found.reads is None:
        return (
            Prose(
                t(
                    "recovering.alcoholometer_table_does_not",
                    distillate_temperature=words.distillate_temperature,
                )
            ),
        )
    told = (
        t("recovering.flask_itself_holds_extract")
        if words.extract
        else t("recovering.read_distillate_stirred_still")
    )
    return (
        Numbers(
            (
                show(
                    found.reads,
                    label=t(
                        "recovering.it_should_show_at", distillate_temperature=words.distillate_temperature
                    ),
                    decimals=1,
                ),
            )
        ),
        Prose(t("recovering.neither_alcoholometer_nor_density", where=told)),
    )
