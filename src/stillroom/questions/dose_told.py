"""What is told and taught of a dose: grams, what they make, the bound against the ceiling.

Promises that a verdict that is not "within" stands before the grams, and that "no rule found" never reads as allowed.
"""

from dataclasses import dataclass

from stillroom.asking.question import Told
from stillroom.asking.said import Said
from stillroom.documents.blocks import Block, Heading, Numbers, Points, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.dosing import content_made, scale_decimals, scale_step_g
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.evidence.answer import Answer
from stillroom.products.dose import Dose
from stillroom.products.dose_asked import Tempting
from stillroom.products.dose_option import worst_of
from stillroom.products.dose_otherwise import WhatIf, fine_scale_mg, finest_needed_g
from stillroom.texts.catalogue import later, t

MEETS = {"aim on average": later("about that much"), "aim at least": later("at least that much")}
"""Names of the words for what a dose is to meet."""


@dataclass(frozen=True, slots=True)
class Dosed:
    """A dose with what it was asked for."""

    found: Dose
    aim: Answer
    """What the product is to hold. [% w/w]"""
    bulk: Answer
    """[g]"""
    of: str
    """What strength and aim count: "total alkaloids as quinine"."""
    doubt: Answer
    """What the strength may be off. [% w/w]"""
    drying: Answer | None
    """Loss on drying of the extract, where its strength is of the dried one. [%]"""
    density: tuple[Answer, ...]
    """Of a bulk that was not weighed, as it was taken, and what that may be off; none where it was said. [g/mL]"""
    left: Answer | None
    """Of the extract at hand. [g]"""
    next_lot: WhatIf
    like: str
    """A known name that is spelt nearly like one no rule was found for."""
    tempting: tuple[Tempting, ...]
    """The one that matters most first."""


def tell(it: Dosed, said: Said) -> Told:
    """The answer to "how much extract"."""
    chosen = it.found.chosen
    large = it.bulk.value >= 1000.0
    bulk = f"{it.bulk.value / 1000.0:.4g} kg" if large else f"{it.bulk.value:.4g} g"
    may_serve = Prose(
        t("An assumed figure may serve a plan, never a release, a certificate or a label."), quiet=True
    )
    return Told(
        t("{aim:g} % {of} in {bulk}", aim=it.aim.value, of=it.of, bulk=bulk),
        t(
            "{kind}, {market}, {it_should_hold}. Nothing is written in a book.",
            kind=said.text["kind"], market=said.text.get("market", "EU"), it_should_hold=t(MEETS[chosen.meets]),
        ),
        (
            *_verdict(it, before=True),
            Numbers((show(chosen.mass, label=t("Extract to weigh"), decimals=scale_decimals(chosen.mass)),)),
            Prose(t(
                "The scale shows steps of {step:g} g, so {exact:.5g} g becomes {shown:g} g.",
                step=scale_step_g(chosen.mass), exact=chosen.exact.value, shown=chosen.mass.value,
            )),
            *_stock(it.found),
            *content_made(chosen),
            *_verdict(it, before=False),
            _options(it.found),
            *([Points(it.found.strength.notes)] if it.found.strength.notes else []),
            *_left(it),
            *_next(it, said),
            Heading(t("Tempting, and wrong")),
            *(block for one in it.tempting for block in _tempted(one, it)),
        ),
        (*([may_serve] if chosen.content.answer.rests_on_an_assumption else []), caution_block("restricted-active")),
    )  # fmt: skip


def _options(found: Dose) -> Table:
    return Table(
        (t("It should hold"), t("Weigh"), t("Content"), t("At least the aim"), t("Ceiling")),
        tuple(
            (
                f"{t(MEETS[one.meets])}{t(' (taken)') if one is found.chosen else ''}",
                show(one.mass, decimals=scale_decimals(one.mass)),
                show(one.content),
                t("{chance_of_aim:.0f} of 100 such batches", chance_of_aim=one.chance_of_aim.value),
                one.judged.verdict,
            )
            for one in found.options
        ),
        (1, 2),
    )


def teach(it: Dosed, _: Said) -> Lesson:
    """The same dose asked again on paper."""
    found, tempting = it.found, it.tempting[0]
    strength = found.strength.answer
    given = (
        (t("Bulk"), f"{number(it.bulk.value)} g"),
        (t("It is to hold"), f"{it.aim.value:g} % w/w, {t(MEETS[found.chosen.meets])}"),
        *((name.capitalize(), _stated(one)) for name, one in _strength_told(strength)),
        (t("Readability of the scale (its smallest step)"), f"{scale_step_g(found.chosen.mass):g} g"),
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
            aim=it.aim.value,
            of=it.of,
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
        how_far_off=_far_off(tempting, it),
        worked=(
            Numbers(
                (
                    show(strength, label=t("Strength, as is")),
                    show(found.chosen.exact, label=t("Extract"), decimals=3),
                    show(
                        found.chosen.mass,
                        label=t("On the scale"),
                        decimals=scale_decimals(found.chosen.mass),
                    ),
                    show(found.content, label=t("Content")),
                    show(worst_of(found.content), label=t("Upper bound")),
                )
            ),
            *_verdict(it, before=False),
            caution_block("restricted-active"),
        ),
    )


def _verdict(it: Dosed, *, before: bool) -> tuple[Block, ...]:
    """The verdict: within a ceiling after the grams, everything else before them."""
    judged = it.found.judged
    within = judged.verdict == "within"
    if before == within:
        return ()
    says = [judged.says]
    if judged.verdict == "no rule found" and it.like:
        says.append(t("A name nearly like it, {like}, has a rule: look whether it was meant.", like=it.like))
    return (Points(tuple(says), "done" if within else "missing"),)


def _stock(found: Dose) -> tuple[Block, ...]:
    stock, dose_g = found.stock_solution, found.chosen.exact.value
    if scale_step_g(found.mass) <= finest_needed_g(dose_g):
        return ()
    return (
        Heading(t("The scale is too coarse for it"), 3),
        Prose(
            t(
                "One step of the scale is more than 1 % of the dose: take a scale that shows steps of {fine:g} mg.",
                fine=fine_scale_mg(dose_g),
            )
            if stock is None
            else t(
                "One step of the scale is more than 1 % of the dose. Dissolve {extract_g:g} g of "
                "extract to {solution_g:g} g of solution and weigh {portion_g:.4g} g of that; what "
                "dissolves it counts in the formula. Or use a finer scale.",
                extract_g=stock.extract_g,
                solution_g=stock.solution_g,
                portion_g=stock.portion_g,
            )
        ),
    )


def _left(it: Dosed) -> tuple[Block, ...]:
    if it.left is None:
        return ()
    return (
        Heading(t("What is left")),
        Numbers((show(it.left, decimals=scale_decimals(it.found.mass)),)),
    )


def _next(it: Dosed, said: Said) -> tuple[Block, ...]:
    lot = it.next_lot
    strength = f"{number(lot.strength.value)} %"
    return (
        Heading(t("The next lot")),
        Prose(
            t(
                "A lot of {strength}{which} takes another weight; assay it first, then calculate its dose.",
                strength=strength,
                which="" if "next-strength" in said.text else t(", as an example,"),
            )
        ),
        Numbers(
            (
                show(lot.mass, label=t("It would take"), decimals=scale_decimals(it.found.mass)),
                show(lot.old_mass_gives, label=t("The weight of this lot would make")),
            )
        ),
    )


def _tempted(one: Tempting, it: Dosed) -> tuple[Block, ...]:
    return (
        Prose(f"{one.says} {_far_off(one, it)}"),
        Numbers(
            (
                show(one.mass, label=t("It weighs"), decimals=scale_decimals(it.found.mass)),
                show(one.content, label=t("It makes")),
            )
        ),
    )


def _far_off(one: Tempting, it: Dosed) -> str:
    aim = it.aim.value
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
