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
from stillroom.documents.numbers_shown import number, show
from stillroom.evidence.answer import Answer
from stillroom.products.dose import Dose
from stillroom.products.dose_asked import Tempting
from stillroom.products.dose_option import worst_of
from stillroom.products.dose_otherwise import WhatIf
from stillroom.texts.catalogue import later, t

MEETS = {"aim on average": later("about that much"), "aim at least": later("at least that much")}
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
        return t("{aim:g} % {of} in {bulk}", aim=self.aim.value, of=self.of, bulk=bulk)


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
        Numbers((show(chosen.mass, label=t("Extract to weigh"), decimals=_decimals(chosen.mass)),)),
        Prose(_rounding(found)),
        *_stock(found),
        Heading(t("What it makes of the product")),
        Numbers(
            (
                show(chosen.content, label=t("Content")),
                show(worst_of(chosen.content), label=t("Upper bound, which stands against the ceiling")),
                *((show(ceiling, label=t("Ceiling")),) if ceiling else ()),
            )
        ),
        *_verdict(told, before=False),
        Table(
            (
                t("It should hold"),
                t("Weigh"),
                t("Content"),
                t("At least the aim"),
                t("Ceiling"),
            ),
            tuple(
                (
                    f"{t(MEETS[one.meets])}{t(' (taken)') if one is chosen else ''}",
                    show(one.mass, decimals=_decimals(one.mass)),
                    show(
                        one.content,
                    ),
                    t("{chance_of_aim:.0f} of 100 such batches", chance_of_aim=one.chance_of_aim.value),
                    one.judged.verdict,
                )
                for one in found.options
            ),
            (1, 2),
        ),
        *([Points(found.strength.notes)] if found.strength.notes else []),
        *_left(told),
        *_next(told),
        Heading(t("Tempting, and wrong")),
        *(block for one in told.tempting for block in _tempted(one, told)),
        *unsaid_blocks(unsaid),
        *(
            [
                Prose(
                    t("An assumed figure may serve a plan, never a release, a certificate or a label."),
                    quiet=True,
                )
            ]
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
            "{kind}, {market}, {it_should_hold}. Nothing is written in a book.",
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
        (t("Bulk"), f"{number(told.bulk.value)} g"),
        (t("It is to hold"), f"{told.aim.value:g} % w/w, {t(MEETS[found.chosen.meets])}"),
        *((name.capitalize(), _stated(one)) for name, one in _strength_told(strength)),
        (t("Readability of the scale (its smallest step)"), f"{_step(found.chosen.mass):g} g"),
        *(
            (
                (
                    t("Ceiling of the law"),
                    f"{found.judged.ceiling.limit.value:g} % {found.judged.ceiling.basis}",
                ),
            )
            if found.judged.ceiling.limit
            else ()
        ),
    )
    return Lesson(
        question=t(
            "How many grams of this extract bring the bulk to {aim:g} % {of}, and does its upper "
            "bound stay below the ceiling?",
            aim=told.aim.value,
            of=told.of,
        ),
        given=given,
        blanks=(
            t("Strength as is, %"),
            t("Extract, g"),
            t("On this scale, g"),
            t("Content, %"),
            t("Upper bound, %"),
        ),
        tempting=tempting.says,
        tempting_answer=t("{mass} g of extract", mass=number(tempting.mass.value)),
        how_far_off=_far_off(tempting, told),
        worked=(
            Numbers(
                (
                    show(strength, label=t("Strength, as is")),
                    show(found.chosen.exact, label=t("Extract"), decimals=3),
                    show(
                        found.chosen.mass,
                        label=t("On the scale"),
                        decimals=_decimals(found.chosen.mass),
                    ),
                    show(found.content, label=t("Content")),
                    show(worst_of(found.content), label=t("Upper bound")),
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
        says.append(
            t("A name nearly like it, {like}, has a rule: look whether it was meant.", like=told.like)
        )
    return (Points(tuple(says), "done" if within else "missing"),)


def _rounding(found: Dose) -> str:
    exact, mass = found.chosen.exact.value, found.chosen.mass.value
    return t(
        "The scale shows steps of {step:g} g, so {exact:.5g} g becomes {shown:g} g.",
        step=_step(found.chosen.mass),
        exact=exact,
        shown=mass,
    )


def _stock(found: Dose) -> tuple[Block, ...]:
    stock = found.stock_solution
    if stock is None:
        return ()
    return (
        Heading(t("The scale is too coarse for it"), 3),
        Prose(
            t(
                "One step of the scale is more than 1 % of the dose. Dissolve {extract_g:g} g of "
                "extract to {solution_g:g} g of solution and weigh {portion_g:.4g} g of that; what "
                "dissolves it counts in the formula. Or use a finer scale.",
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
        Heading(t("What is left")),
        Numbers((show(told.left, decimals=_decimals(told.found.mass)),)),
    )


def _next(told: DoseTold) -> tuple[Block, ...]:
    lot = told.next_lot
    strength = f"{number(lot.strength.value)} %"
    return (
        Heading(t("The next lot")),
        Prose(
            t(
                "A lot of {strength}{which} takes another weight; assay it first, then calculate its dose.",
                strength=strength,
                which="" if told.next_said else t(", as an example,"),
            )
        ),
        Numbers(
            (
                show(lot.mass, label=t("It would take"), decimals=_decimals(told.found.mass)),
                show(lot.old_mass_gives, label=t("The weight of this lot would make")),
            )
        ),
    )


def _tempted(one: Tempting, told: DoseTold) -> tuple[Block, ...]:
    return (
        Prose(f"{one.says} {_far_off(one, told)}"),
        Numbers(
            (
                show(one.mass, label=t("It weighs"), decimals=_decimals(told.found.mass)),
                show(one.content, label=t("It makes")),
            )
        ),
    )


def _far_off(one: Tempting, told: DoseTold) -> str:
    aim = told.aim.value
    off = 100.0 * (one.content.answer.value / aim - 1.0)
    way = "above" if off > 0 else "below"
    said = t(
        "That makes {content} %, {off:.1f} % {way} what is wanted.",
        content=number(one.content.answer.value),
        off=abs(off),
        way=way,
    )
    if one.judged.blocks:
        said += t(" It may not be made: {judged_says}", judged_says=one.judged.says)
    return said


def _strength_told(strength: Answer) -> tuple[tuple[str, Answer], ...]:
    """What was stated of the strength: itself, and the loss on drying where it is of the dried extract."""
    below = dict(strength.inputs)
    if "dried_percent" in below:
        return (
            *_strength_told(below["dried_percent"]),
            (t("loss on drying"), below["loss_on_drying_percent"]),
        )
    return ((t("strength of the extract"), strength),)


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
