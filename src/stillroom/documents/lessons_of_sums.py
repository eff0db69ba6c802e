"""The sums of the bench as lessons: an acid thinned, a buffer weighed, condensers on one water.

Promises a tempting way that people really take, with what it gives. Every figure comes with the answer.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.documents.blocks import Cell, Numbers, Points, Prose
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.cooling import CoolingFound, CoolingWords, condenser_table, verdict
from stillroom.documents.lessons import Lesson
from stillroom.documents.mixing_acid import AcidWords, Found
from stillroom.documents.mixing_buffer import BufferWords
from stillroom.documents.showing import number, show
from stillroom.evidence.answer import Answer
from stillroom.results.acid_meanings import Bottle, Mixed
from stillroom.results.buffer_weighed import Weighed
from stillroom.results.cooled import CooledSetUp
from stillroom.substances.acids import BufferPair


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
    vessel = "From the jar" if bottle.density is None else "From the bottle"
    given: list[tuple[str, Cell]] = [
        ("The bottle", f"{bottle.strength.value:.4g} % w/w {solute}"),
        ("Meant as", one.says),
        ("Molar mass", f"{bottle.of.molar_mass.value:.3f} g/mol"),
    ]
    if bottle.density is not None:
        given.append(("Density of the bottle at 20 °C", f"{bottle.density.value:.4g} g/mL"))
    if one.product is not None and one.product_volume.value > 0.0:
        density = one.product.value / one.product_volume.value
        given.append(("Density of the solution at 20 °C", f"{density:.4f} g/mL"))
    asked = f"{words.amount} of {words.bottle}" if words.at_hand else words.bottle
    wanted = words.want if words.at_hand else f"{words.amount} of {words.want} {solute}"
    return Lesson(
        question=f"At hand: {asked}. How much of it, and how much water, make {wanted}?"
        if not words.at_hand
        else f"At hand: {asked}. How much water brings it to {wanted}, and how strong is that in mol/L?",
        given=tuple(given),
        blanks=(
            f"{vessel}, g",
            *((f"{vessel}, mL",) if bottle.density is not None else ()),
            "Water, g",
            "Strength, mol/L",
        ),
        tempting=tempting,
        tempting_answer=tempting_answer,
        how_far_off=(
            f"It comes out at {number(strength, 3)} mol/L in place of {number(one.strength.value, 3)}, "
            f"{abs(100.0 * (strength / one.strength.value - 1.0)):.0f} % too "
            f"{'strong' if strength > one.strength.value else 'weak'}: {why}"
        ),
        worked=(
            Numbers(
                tuple(
                    show(answer, label=label, decimals=decimals)
                    for label, answer, decimals in (
                        (vessel, one.stock, 1),
                        ("By volume", one.stock_volume, 1),
                        ("Water", one.water, 1),
                        ("Strength", one.strength, 3),
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
            "The strength wanted over that of the label is the share of the volume to take.",
            f"{number(label.stock_volume.value, 1)} mL from the bottle, made up to the volume",
            label.strength.value,
            "the label counts grams in 100 g, and the bottle is heavier than water.",
        )
    if in_millilitres is not None:
        return (
            "A gram is a millilitre: what should be weighed is measured.",
            f"{number(one.stock.value, 1)} mL from the bottle",
            in_millilitres.value,
            "a millilitre of the bottle weighs more than a gram, by its density.",
        )
    if by_volume is not None:
        return (
            "Per cent is grams in 100 mL.",
            f"{number(by_volume.stock.value, 1)} g from the jar, made up to the volume",
            by_volume.strength.value,
            "100 mL of the solution weigh more than 100 g.",
        )
    return None


@dataclass(frozen=True, slots=True)
class ByConstantAlone:
    """A buffer weighed by pH = pKa + log(base / acid), and the pH it really has.

    Attributes
    ----------
    acid_form, base_form, really : Answer
        [g, g, 1]
    """

    acid_form: Answer
    base_form: Answer
    really: Answer


def buffer_lesson(pair: BufferPair, found: Weighed, words: BufferWords, naive: ByConstantAlone) -> Lesson:
    """The same buffer asked again on paper.

    Parameters
    ----------
    pair : BufferPair
    found : Weighed
    words : BufferWords
    naive : ByConstantAlone
    """
    constants = ", ".join(f"{one:.3f}" for one in pair.protolyte.pka)
    off = naive.really.value - found.expected.answer.value
    given: tuple[tuple[str, Cell], ...] = (
        ("Constants (pKa) at 25 °C, without salt", constants),
        (f"Molar mass of {pair.acid_form}", f"{pair.acid_mass.value:.3f} g/mol"),
        (f"Molar mass of {pair.base_form}", f"{pair.base_mass.value:.3f} g/mol"),
        ("Ionic strength of the buffer", f"{number(found.ionic_strength.value, 3)} mol/L"),
    )
    return Lesson(
        question=(
            f"How much {pair.acid_form} and how much {pair.base_form} make {words.amount} of a buffer of {words.total} "
            f"in all, pH {words.ph}?"
        ),
        given=given,
        blanks=(f"{pair.acid_form.capitalize()}, g", f"{pair.base_form.capitalize()}, g", "pH to expect"),
        tempting="pH is pKa plus the logarithm of base over acid, with the constant of the table.",
        tempting_answer=(
            f"{number(naive.acid_form.value, 2)} g of {pair.acid_form} and {number(naive.base_form.value, 2)} g of "
            f"{pair.base_form}"
        ),
        how_far_off=(
            f"It would be pH {number(naive.really.value, 2)}, {abs(off):.2f} too {'high' if off > 0 else 'low'}: ions "
            "in salt water shield one another, so the constant of the table does not hold at this strength. A strip "
            "would not show it."
        ),
        worked=(
            Numbers(
                (
                    show(found.acid_form, label=pair.acid_form.capitalize(), decimals=2),
                    show(found.base_form, label=pair.base_form.capitalize(), decimals=2),
                    show(found.expected.answer, label="pH to expect", decimals=2, k=found.expected.k),
                )
            ),
            Prose("Charge balance with activities by Davies, at 25 °C."),
        ),
    )


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
        ("Water coming in", words.inlet),
        ("Flow of a line", words.flow),
        ("Hoses", "one after the other" if words.in_series else "side by side"),
        ("Heat of water", "4.186 J for a gram and a degree"),
        *(
            (one.set_up.name, f"{one.set_up.load.value:.1f} W, boils at {one.boiling.value:.1f} °C")
            for one in found.set_ups
        ),
        ("Water may leave at most", f"{words.margin} K below the boiling point"),
    ]
    told, failed = verdict(found, words)
    if words.in_series and len(found.set_ups) > 1:
        tempting = "Each condenser warms the water that comes from the tap."
        answer = f"{own.outlet.value:.1f} °C at the last one"
        off = (
            f"The last one leaves at {last.outlet.value:.1f} °C, {last.outlet.value - own.outlet.value:.1f} °C warmer: "
            "in series the water carries the heat of all that stand before it."
        )
    else:
        tempting = "A condenser works while its water leaves colder than the boiling point."
        answer = f"{last.boiling.value:.1f} °C as the warmest outlet of {last.set_up.name}"
        off = (
            f"Vapour escapes before that: water may leave at {last.limit.value:.1f} °C at most, {words.margin} K below "
            "(common practice, no source)."
        )
    return Lesson(
        question="Where does the water leave each condenser, and may they all run?",
        given=tuple(given),
        blanks=(
            *(f"{one.set_up.name} leaves at, °C" for one in found.set_ups),
            "May they run",
            "The first to fail",
        ),
        tempting=tempting,
        tempting_answer=answer,
        how_far_off=off,
        worked=(
            Points((f"{'Not like this' if failed else 'Yes'}: {told}.",), "missing" if failed else "done"),
            condenser_table(found.set_ups),
            Numbers((show(found.total, label="Heat of all condensers", decimals=0),)),
            caution_block("heat-without-cooling"),
        ),
    )
