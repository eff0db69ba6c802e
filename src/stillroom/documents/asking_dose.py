"""A dose asked without a book, as a page and as a lesson: grams, what they make, the bound against the ceiling.

Promises that a verdict that is not "within" stands before the grams, and that "no rule found" never reads as allowed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Unpack

from stillroom.documents.blocks import Block, Heading, Numbers, Page, PageFacts, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.doors import Unsaid, unsaid_blocks
from stillroom.documents.lessons import Lesson
from stillroom.documents.showing import number, show
from stillroom.evidence.answer import Answer
from stillroom.products.dose import Dose
from stillroom.products.dose_asked import Tempting
from stillroom.products.dose_option import worst_of
from stillroom.products.dose_otherwise import WhatIf
from stillroom.texts.catalogue import t

MEETS = {"aim on average": "asking_dose.aim_on_average", "aim at least": "asking_dose.aim_at_least"}
"""Names of the words for what a dose is to meet."""


@dataclass(frozen=True, slots=True)
class DoseTold:
    """A dose with what it was asked for.

    Attributes
    ----------
    found : Dose
    bulk : Answer
        [g]
    of : str
        What strength and aim count: "total alkaloids as quinine".
    kind, market : str
    left : Answer or None
        Of the extract at hand. [g]
    next_lot : WhatIf
    next_said : bool
        False where the next lot is only an example.
    like : str
        A known name that is spelt nearly like one no rule was found for.
    tempting : tuple of Tempting
        The one that matters most first.
    units : int
        Bottles, zero for a bulk.
    """

    found: Dose
    bulk: Answer
    of: str
    kind: str
    market: str
    left: Answer | None
    next_lot: WhatIf
    next_said: bool
    like: str
    tempting: tuple[Tempting, ...]
    units: int

    @property
    def aim(self) -> Answer:
        """What the product is to hold. [% w/w]."""
        return next(one for name, one in self.found.chosen.exact.inputs if name == "aim_percent")

    @property
    def title(self) -> str:
        """One line that says what it is."""
        large = self.bulk.value >= 1000.0
        bulk = f"{self.bulk.value / 1000.0:.4g} kg" if large else f"{self.bulk.value:.4g} g"
        return t("asking_dose.aim_of_bulk", aim=self.aim.value, of=self.of, bulk=bulk)


def asked_dose_page(
    told: DoseTold,
    unsaid: Sequence[Unsaid],
    *,
    href: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The answer to "how much extract", on one page.

    Parameters
    ----------
    told : DoseTold
    unsaid : sequence of Unsaid
        What nobody entered.
    href : str
        Address of the page.
    **page_facts
        As on every page.
    """
    found, chosen = told.found, told.found.chosen
    ceiling = chosen.judged.ceiling.limit
    blocks: list[Block] = [
        *_verdict(told, before=True),
        Numbers(
            (show(chosen.mass, label=t("asking_dose.extract_to_weigh"), decimals=_decimals(chosen.mass)),)
        ),
        Prose(_rounding(found)),
        *_stock(found),
        Heading(t("asking_dose.makes_product")),
        Numbers(
            (
                show(chosen.content, label=t("asking_dose.content")),
                show(worst_of(chosen.content), label=t("asking_dose.upper_bound_stands_against")),
                *((show(ceiling, label=t("asking_dose.ceiling")),) if ceiling else ()),
            )
        ),
        *_verdict(told, before=False),
        Table(
            (
                t("asking_dose.it_should_hold"),
                t("asking_dose.weigh"),
                t("asking_dose.content"),
                t("asking_dose.at_least_the_aim"),
                t("asking_dose.ceiling"),
            ),
            tuple(
                (
                    f"{t(MEETS[one.meets])}{t('asking_dose.taken') if one is chosen else ''}",
                    show(one.mass, decimals=_decimals(one.mass)),
                    show(
                        one.content,
                    ),
                    t("asking_dose.of_such_batches", chance_of_aim=one.chance_of_aim.value),
                    one.judged.verdict,
                )
                for one in found.options
            ),
            (1, 2),
        ),
        *([Points(found.strength.notes)] if found.strength.notes else []),
        *_left(told),
        *_next(told),
        Heading(t("asking_dose.tempting_and_wrong")),
        *(block for one in told.tempting for block in _tempted(one, told)),
        *unsaid_blocks(unsaid),
        *(
            [Prose(t("asking_dose.plan_only"), quiet=True)]
            if chosen.content.answer.rests_on_an_assumption
            else []
        ),
        caution_block("restricted-active"),
    ]
    return Page(
        title=told.title,
        kind="a dose",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=t(
            "asking_dose.nothing_written_book",
            kind=told.kind,
            market=told.market,
            it_should_hold=t(MEETS[chosen.meets]),
        ),
        href=href,
    )


def dose_lesson(told: DoseTold) -> Lesson:
    """The same dose asked again on paper.

    Parameters
    ----------
    told : DoseTold
    """
    found, tempting = told.found, told.tempting[0]
    strength = found.strength.answer
    given = (
        (t("asking_dose.bulk"), f"{number(told.bulk.value)} g"),
        (t("asking_dose.it_is_to_hold"), f"{told.aim.value:g} % w/w, {t(MEETS[found.chosen.meets])}"),
        *((name.capitalize(), _stated(one)) for name, one in _strength_told(strength)),
        (t("asking_dose.smallest_step_scale"), f"{_step(found.chosen.mass):g} g"),
        *(
            (
                (
                    t("asking_dose.ceiling_of_the_law"),
                    f"{found.judged.ceiling.limit.value:g} % {found.judged.ceiling.basis}",
                ),
            )
            if found.judged.ceiling.limit
            else ()
        ),
    )
    return Lesson(
        question=t("asking_dose.how_many_grams_extract", aim=told.aim.value, of=told.of),
        given=given,
        blanks=(
            t("asking_dose.strength_as_is_percent"),
            t("asking_dose.extract_g"),
            t("asking_dose.on_this_scale"),
            t("asking_dose.content_percent"),
            t("asking_dose.upper_bound_percent"),
        ),
        tempting=tempting.says,
        tempting_answer=t("asking_dose.of_extract", mass=number(tempting.mass.value)),
        how_far_off=_far_off(tempting, told),
        worked=(
            Numbers(
                (
                    show(strength, label=t("asking_dose.strength_as_is")),
                    show(found.chosen.exact, label=t("asking_dose.extract"), decimals=3),
                    show(
                        found.chosen.mass,
                        label=t("asking_dose.on_the_scale"),
                        decimals=_decimals(found.chosen.mass),
                    ),
                    show(found.content, label=t("asking_dose.content")),
                    show(worst_of(found.content), label=t("asking_dose.upper_bound")),
                )
            ),
            *_verdict(told, before=False),
            caution_block("restricted-active"),
        ),
    )


def _verdict(told: DoseTold, *, before: bool) -> tuple[Block, ...]:
    """The verdict: within a ceiling after the grams, everything else before them."""
    judged = told.found.judged
    within = judged.verdict == "within"
    if before == within:
        return ()
    says = [judged.says]
    if judged.verdict == "no rule found" and told.like:
        says.append(t("asking_dose.name_nearly_like_rule", like=told.like))
    return (Points(tuple(says), "done" if within else "missing"),)


def _rounding(found: Dose) -> str:
    exact, mass = found.chosen.exact.value, found.chosen.mass.value
    return t("asking_dose.scale_shows_steps_becomes", step=_step(found.chosen.mass), exact=exact, shown=mass)


def _stock(found: Dose) -> tuple[Block, ...]:
    stock = found.stock_solution
    if stock is None:
        return ()
    return (
        Heading(t("asking_dose.scale_too_coarse"), 3),
        Prose(
            t(
                "asking_dose.step_scale_more_dose",
                extract_g=stock.extract_g,
                solution_g=stock.solution_g,
                portion_g=stock.portion_g,
            )
        ),
    )


def _left(told: DoseTold) -> tuple[Block, ...]:
    if told.left is None:
        return ()
    return (
        Heading(t("asking_dose.what_is_left")),
        Numbers((show(told.left, decimals=_decimals(told.found.mass)),)),
    )


def _next(told: DoseTold) -> tuple[Block, ...]:
    lot = told.next_lot
    strength = f"{number(lot.strength.value)} %"
    return (
        Heading(t("asking_dose.the_next_lot")),
        Prose(
            t(
                "asking_dose.lot_takes_another_weight",
                strength=strength,
                which="" if told.next_said else t("asking_dose.as_an_example"),
            )
        ),
        Numbers(
            (
                show(lot.mass, label=t("asking_dose.it_would_take"), decimals=_decimals(told.found.mass)),
                show(lot.old_mass_gives, label=t("asking_dose.weight_lot_would_make")),
            )
        ),
    )


def _tempted(one: Tempting, told: DoseTold) -> tuple[Block, ...]:
    return (
        Prose(f"{one.says} {_far_off(one, told)}"),
        Numbers(
            (
                show(one.mass, label=t("asking_dose.it_weighs"), decimals=_decimals(told.found.mass)),
                show(one.content, label=t("asking_dose.it_makes")),
            )
        ),
    )


def _far_off(one: Tempting, told: DoseTold) -> str:
    aim = told.aim.value
    off = 100.0 * (one.content.answer.value / aim - 1.0)
    way = "above" if off > 0 else "below"
    said = t("asking_dose.makes_wanted", content=number(one.content.answer.value), off=abs(off), way=way)
    if one.judged.blocks:
        said += t("asking_dose.may_not_made", judged_says=one.judged.says)
    return said


def _strength_told(strength: Answer) -> tuple[tuple[str, Answer], ...]:
    """What was stated of the strength: itself, and the loss on drying where it is of the dried extract."""
    below = dict(strength.inputs)
    if "dried_percent" in below:
        return (
            *_strength_told(below["dried_percent"]),
            (t("asking_dose.loss_on_drying"), below["loss_on_drying_percent"]),
        )
    return ((t("asking_dose.strength_of_the_extract"), strength),)


def _stated(answer: Answer) -> str:
    basis = f" {answer.basis}" if answer.basis else ""
    doubts = [one.standard_uncertainty for one in (answer, *(below for _, below in answer.inputs))]
    u = next((one for one in doubts if one), None)
    return f"{answer.value:.4g} %{basis}" + (f", ± {2.0 * u:.2g} (k = 2)" if u else "")


def _step(mass: Answer) -> float:
    return next(one.value for name, one in mass.inputs if name == "scale_step_g")


def _decimals(mass: Answer) -> int:
    """Decimals the scale shows."""
    return max(0, len(f"{_step(mass):.6f}".rstrip("0").partition(".")[2]))
