"""A sum of the bench as a lesson: an acid thinned.

Promises a tempting way that people really take, with what it gives. Every figure comes with the answer.
"""

from stillroom.answers.acid_meanings import Bottle, Mixed
from stillroom.documents.blocks import Cell, Numbers
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.lessons import Lesson
from stillroom.documents.mixing_acid import AcidWords, Found
from stillroom.documents.numbers_shown import number, show
from stillroom.evidence.answer import Answer
from stillroom.texts.catalogue import t


def acid_lesson(
    bottle: Bottle, one: Mixed, words: AcidWords, others: Found, in_millilitres: Answer | None
) -> Lesson | None:
    """The same thinning asked again on paper; None for a solid in moles, where no way tempts.

    Parameters
    ----------
    bottle : Bottle
    one : Mixed
    words : AcidWords
    others : tuple of (Meaning, Mixed or StillroomError)
        What the same figure would give otherwise.
    in_millilitres : Answer or None
        What measuring the grams as millilitres gives. [mol/L]
    """
    tempted = _tempted(one, others, in_millilitres)
    if tempted is None:
        return None
    tempting, tempting_answer, strength, why = tempted
    solute = bottle.of.solute
    vessel = t("From the jar") if bottle.density is None else t("From the bottle")
    given: list[tuple[str, Cell]] = [
        (t("The bottle"), f"{bottle.strength.value:.4g} % w/w {solute}"),
        (t("Meant as"), one.says),
        (t("Molar mass"), f"{bottle.of.molar_mass.value:.3f} g/mol"),
    ]
    if bottle.density is not None:
        given.append((t("Density of the bottle at 20 °C"), f"{bottle.density.value:.4g} g/mL"))
    if one.product is not None and one.product_volume.value > 0.0:
        density = one.product.value / one.product_volume.value
        given.append((t("Density of the solution at 20 °C"), f"{density:.4f} g/mL"))
    asked = (
        t("{amount} of {bottle}", amount=words.amount, bottle=words.bottle) if words.at_hand else words.bottle
    )
    wanted = (
        words.want
        if words.at_hand
        else t("{amount} of {want} {solute}", amount=words.amount, want=words.want, solute=solute)
    )
    return Lesson(
        question=t(
            "At hand: {asked}. How much of it, and how much water, make {wanted}?", asked=asked, wanted=wanted
        )
        if not words.at_hand
        else t(
            "At hand: {asked}. How much water brings it to {wanted}, and how strong is that in mol/L?",
            asked=asked,
            wanted=wanted,
        ),
        given=tuple(given),
        blanks=(
            f"{vessel}, g",
            *((f"{vessel}, mL",) if bottle.density is not None else ()),
            t("Water, g"),
            t("Strength, mol/L"),
        ),
        tempting=tempting,
        tempting_answer=tempting_answer,
        how_far_off=(
            t(
                "It comes out at {strength} mol/L in place of {wanted}, {percent:.0f} % too {which}: {why}",
                strength=number(strength, 3),
                wanted=number(one.strength.value, 3),
                percent=abs(100.0 * (strength / one.strength.value - 1.0)),
                which=t("strong") if strength > one.strength.value else t("weak"),
                why=why,
            )
        ),
        worked=(
            Numbers(
                tuple(
                    show(answer, label=label, decimals=decimals)
                    for label, answer, decimals in (
                        (vessel, one.stock, 1),
                        (t("By volume"), one.stock_volume, 1),
                        (t("Water"), one.water, 1),
                        (t("Strength"), one.strength, 3),
                    )
                    if answer is not None
                )
            ),
            *(caution_block(key) for key in bottle.of.cautions),
        ),
    )


def _tempted(one: Mixed, others: Found, in_millilitres: Answer | None) -> tuple[str, str, float, str] | None:
    found = {meaning: other for meaning, other in others if isinstance(other, Mixed)}
    label, by_volume = found.get("label"), found.get("w/v")
    if label is not None and label.stock_volume is not None:
        return (
            t("The strength wanted over that of the label is the share of the volume to take."),
            t(
                "{stock_volume} mL from the bottle, made up to the volume",
                stock_volume=number(label.stock_volume.value, 1),
            ),
            label.strength.value,
            t("the label counts grams in 100 g, and the bottle is heavier than water."),
        )
    if in_millilitres is not None:
        return (
            t("A gram is a millilitre: what should be weighed is measured."),
            t("{stock} mL from the bottle", stock=number(one.stock.value, 1)),
            in_millilitres.value,
            t("a millilitre of the bottle weighs more than a gram, by its density."),
        )
    if by_volume is not None:
        return (
            t("Per cent is grams in 100 mL."),
            t("{stock} g from the jar, made up to the volume", stock=number(by_volume.stock.value, 1)),
            by_volume.strength.value,
            t("100 mL of the solution weigh more than 100 g."),
        )
    return None
