"""The sums of the bench as lessons: an acid thinned, condensers on one water.

Promises a tempting way that people really take, with what it gives. Every figure comes with the answer.
"""

from collections.abc import Sequence

from stillroom.documents.blocks import Cell, Numbers, Points
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.cooling import CoolingFound, CoolingWords, condenser_table, verdict
from stillroom.documents.lessons import Lesson
from stillroom.documents.mixing_acid import AcidWords, Found
from stillroom.documents.showing import number, show
from stillroom.evidence.answer import Answer
from stillroom.results.acid_meanings import Bottle, Mixed
from stillroom.results.cooled import CooledSetUp
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


def cooling_lesson(found: CoolingFound, words: CoolingWords, alone: Sequence[CooledSetUp]) -> Lesson:
    """The same condensers asked again on paper.

    Parameters
    ----------
    found : CoolingFound
    words : CoolingWords
    alone : sequence of CooledSetUp
        Each as if the water were fresh.
    """
    last, own = found.set_ups[-1], alone[-1]
    given: list[tuple[str, Cell]] = [
        (t("Water coming in"), words.inlet),
        (t("Flow of a line"), words.flow),
        (
            t("Hoses"),
            t("one after the other") if words.in_series else t("side by side"),
        ),
        (t("Heat of water"), t("4.186 J for a gram and a degree")),
        *(
            (
                one.set_up.name,
                t(
                    "{load:.1f} W, boils at {boiling:.1f} °C",
                    load=one.set_up.load.value,
                    boiling=one.boiling.value,
                ),
            )
            for one in found.set_ups
        ),
        (
            t("Water may leave at most"),
            t("{margin} K below the boiling point", margin=words.margin),
        ),
    ]
    told, failed = verdict(found, words)
    if words.in_series and len(found.set_ups) > 1:
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
            margin=words.margin,
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
            Points(
                (f"{t('Not like this') if failed else t('Yes')}: {told}.",),
                "missing" if failed else "done",
            ),
            condenser_table(found.set_ups),
            Numbers((show(found.total, label=t("Heat of all condensers"), decimals=0),)),
            caution_block("heat-without-cooling"),
        ),
    )
