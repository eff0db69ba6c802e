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

PLAN_ONLY = "An assumed figure may serve a plan, never a release, a certificate or a label."
IT_SHOULD_HOLD = {"aim on average": "about that much", "aim at least": "at least that much"}


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
        return f"{self.aim.value:g} % {self.of} in {bulk}"


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
        Numbers((show(chosen.mass, label="Extract to weigh", decimals=_decimals(chosen.mass)),)),
        Prose(_rounding(found)),
        *_stock(found),
        Heading("What it makes of the product"),
        Numbers(
            (
                show(chosen.content.answer, label="Content", k=chosen.content.k),
                show(worst_of(chosen.content), label="Upper bound, which stands against the ceiling"),
                *((show(ceiling, label="Ceiling"),) if ceiling else ()),
            )
        ),
        *_verdict(told, before=False),
        Table(
            ("It should hold", "Weigh", "Content", "At least the aim", "Ceiling"),
            tuple(
                (
                    f"{IT_SHOULD_HOLD[one.meets]}{' (taken)' if one is chosen else ''}",
                    show(one.mass, decimals=_decimals(one.mass)),
                    show(one.content.answer, k=one.content.k),
                    f"{one.chance_of_aim.value:.0f} of 100 such batches",
                    one.judged.verdict,
                )
                for one in found.options
            ),
            (1, 2),
        ),
        *([Points(found.strength.notes)] if found.strength.notes else []),
        *_left(told),
        *_next(told),
        Heading("Tempting, and wrong"),
        *(block for one in told.tempting for block in _tempted(one, told)),
        *unsaid_blocks(unsaid),
        *([Prose(PLAN_ONLY, quiet=True)] if chosen.content.answer.rests_on_an_assumption else []),
        caution_block("restricted-active"),
    ]
    return Page(
        title=told.title,
        kind="a dose",
        code="",
        blocks=tuple(blocks),
        **page_facts,
        lead=f"{told.kind}, {told.market}, {IT_SHOULD_HOLD[chosen.meets]}. Nothing is written in a book.",
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
        ("Bulk", f"{number(told.bulk.value)} g"),
        ("It is to hold", f"{told.aim.value:g} % w/w, {IT_SHOULD_HOLD[found.chosen.meets]}"),
        *((name.capitalize(), _stated(one)) for name, one in _strength_told(strength)),
        ("Smallest step of the scale", f"{_step(found.chosen.mass):g} g"),
        *(
            (("Ceiling of the law", f"{found.judged.ceiling.limit.value:g} % {found.judged.ceiling.basis}"),)
            if found.judged.ceiling.limit
            else ()
        ),
    )
    return Lesson(
        question=f"How many grams of this extract bring the bulk to {told.aim.value:g} % {told.of}, "
        "and does its upper bound stay below the ceiling?",
        given=given,
        blanks=("Strength as is, %", "Extract, g", "On this scale, g", "Content, %", "Upper bound, %"),
        tempting=tempting.says,
        tempting_answer=f"{number(tempting.mass.value)} g of extract",
        how_far_off=_far_off(tempting, told),
        worked=(
            Numbers(
                (
                    show(strength, label="Strength, as is"),
                    show(found.chosen.exact, label="Extract", decimals=3),
                    show(found.chosen.mass, label="On the scale", decimals=_decimals(found.chosen.mass)),
                    show(found.content.answer, label="Content", k=found.content.k),
                    show(worst_of(found.content), label="Upper bound"),
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
        says.append(f"A name nearly like it, {told.like}, has a rule: look whether it was meant.")
    return (Points(tuple(says), "done" if within else "missing"),)


def _rounding(found: Dose) -> str:
    exact, mass = found.chosen.exact.value, found.chosen.mass.value
    return f"The scale shows steps of {_step(found.chosen.mass):g} g, so {exact:.5g} g becomes {mass:g} g."


def _stock(found: Dose) -> tuple[Block, ...]:
    stock = found.stock_solution
    if stock is None:
        return ()
    return (
        Heading("The scale is too coarse for it", 3),
        Prose(
            f"One step of the scale is more than 1 % of the dose. Dissolve {stock.extract_g:g} g of extract to "
            f"{stock.solution_g:g} g of solution and weigh {stock.portion_g:.4g} g of that; what dissolves it counts "
            "in the formula. Or use a finer scale."
        ),
    )


def _left(told: DoseTold) -> tuple[Block, ...]:
    if told.left is None:
        return ()
    return (Heading("What is left"), Numbers((show(told.left, decimals=_decimals(told.found.mass)),)))


def _next(told: DoseTold) -> tuple[Block, ...]:
    lot = told.next_lot
    strength = f"{number(lot.strength.value)} %"
    return (
        Heading("The next lot"),
        Prose(
            f"A lot of {strength}{'' if told.next_said else ', as an example,'} takes another weight; "
            "assay it first, then dose it anew."
        ),
        Numbers(
            (
                show(lot.mass, label="It would take", decimals=_decimals(told.found.mass)),
                show(lot.old_mass_gives, label="The weight of this lot would make"),
            )
        ),
    )


def _tempted(one: Tempting, told: DoseTold) -> tuple[Block, ...]:
    return (
        Prose(f"{one.says} {_far_off(one, told)}"),
        Numbers(
            (
                show(one.mass, label="It weighs", decimals=_decimals(told.found.mass)),
                show(one.content.answer, label="It makes", k=one.content.k),
            )
        ),
    )


def _far_off(one: Tempting, told: DoseTold) -> str:
    aim = told.aim.value
    off = 100.0 * (one.content.answer.value / aim - 1.0)
    way = "above" if off > 0 else "below"
    said = f"That makes {number(one.content.answer.value)} %, {abs(off):.1f} % {way} what is wanted."
    if one.judged.blocks:
        said += f" It may not be made: {one.judged.says}"
    return said


def _strength_told(strength: Answer) -> tuple[tuple[str, Answer], ...]:
    """What was stated of the strength: itself, and the loss on drying where it is of the dried extract."""
    below = dict(strength.inputs)
    if "dried_percent" in below:
        return (*_strength_told(below["dried_percent"]), ("loss on drying", below["loss_on_drying_percent"]))
    return (("strength of the extract", strength),)


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
