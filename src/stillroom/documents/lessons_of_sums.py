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
    vessel = (
        t("lessons_of_sums.from_the_jar") if bottle.density is None else t("lessons_of_sums.from_the_bottle")
    )
    given: list[tuple[str, Cell]] = [
        (t("lessons_of_sums.the_bottle"), f"{bottle.strength.value:.4g} % w/w {solute}"),
        (t("lessons_of_sums.meant_as"), one.says),
        (t("lessons_of_sums.molar_mass"), f"{bottle.of.molar_mass.value:.3f} g/mol"),
    ]
    if bottle.density is not None:
        given.append((t("lessons_of_sums.density_bottle"), f"{bottle.density.value:.4g} g/mL"))
    if one.product is not None and one.product_volume.value > 0.0:
        density = one.product.value / one.product_volume.value
        given.append((t("lessons_of_sums.density_solution"), f"{density:.4f} g/mL"))
    asked = (
        t("lessons_of_sums.amount_bottle", amount=words.amount, bottle=words.bottle)
        if words.at_hand
        else words.bottle
    )
    wanted = (
        words.want
        if words.at_hand
        else t("lessons_of_sums.amount_want_solute", amount=words.amount, want=words.want, solute=solute)
    )
    return Lesson(
        question=t("lessons_of_sums.hand_how_much_how", asked=asked, wanted=wanted)
        if not words.at_hand
        else t("lessons_of_sums.hand_how_much_water", asked=asked, wanted=wanted),
        given=tuple(given),
        blanks=(
            f"{vessel}, g",
            *((f"{vessel}, mL",) if bottle.density is not None else ()),
            t("lessons_of_sums.water_g"),
            t("lessons_of_sums.strength_mol_l"),
        ),
        tempting=tempting,
        tempting_answer=tempting_answer,
        how_far_off=(
            t(
                "lessons_of_sums.comes_out_too_weak_or_strong",
                strength=number(strength, 3),
                wanted=number(one.strength.value, 3),
                percent=abs(100.0 * (strength / one.strength.value - 1.0)),
                which=t("lessons_of_sums.strong")
                if strength > one.strength.value
                else t("lessons_of_sums.weak"),
                why=why,
            )
        ),
        worked=(
            Numbers(
                tuple(
                    show(answer, label=label, decimals=decimals)
                    for label, answer, decimals in (
                        (vessel, one.stock, 1),
                        (t("lessons_of_sums.by_volume"), one.stock_volume, 1),
                        (t("lessons_of_sums.water"), one.water, 1),
                        (t("lessons_of_sums.strength"), one.strength, 3),
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
            t("lessons_of_sums.strength_wanted_over_label"),
            t("lessons_of_sums.bottle_made_up_volume", stock_volume=number(label.stock_volume.value, 1)),
            label.strength.value,
            t("lessons_of_sums.label_counts_grams_bottle"),
        )
    if in_millilitres is not None:
        return (
            t("lessons_of_sums.gram_millilitre_should_weighed"),
            t("lessons_of_sums.from_the_bottle_with_stock", stock=number(one.stock.value, 1)),
            in_millilitres.value,
            t("lessons_of_sums.millilitre_bottle_weighs_more"),
        )
    if by_volume is not None:
        return (
            t("lessons_of_sums.per_cent_grams"),
            t("lessons_of_sums.jar_made_up_volume", stock=number(by_volume.stock.value, 1)),
            by_volume.strength.value,
            t("lessons_of_sums.solution_weigh_more"),
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
        (t("lessons_of_sums.constants_pka_without_salt"), constants),
        (t("lessons_of_sums.molar_mass_of", acid_form=pair.acid_form), f"{pair.acid_mass.value:.3f} g/mol"),
        (
            t("lessons_of_sums.molar_mass_of_with_base_form", base_form=pair.base_form),
            f"{pair.base_mass.value:.3f} g/mol",
        ),
        (t("lessons_of_sums.ionic_strength_buffer"), f"{number(found.ionic_strength.value, 3)} mol/L"),
    )
    return Lesson(
        question=(
            t(
                "lessons_of_sums.how_much_how_much",
                acid_form=pair.acid_form,
                base_form=pair.base_form,
                amount=words.amount,
                total=words.total,
                ph=words.ph,
            )
        ),
        given=given,
        blanks=(
            f"{pair.acid_form.capitalize()}, g",
            f"{pair.base_form.capitalize()}, g",
            t("lessons_of_sums.ph_to_expect"),
        ),
        tempting=t("lessons_of_sums.ph_pka_plus_logarithm"),
        tempting_answer=(
            t(
                "lessons_of_sums.of_and_of",
                acid_form=number(naive.acid_form.value, 2),
                acid_form_two=pair.acid_form,
                base_form=number(naive.base_form.value, 2),
                base_form_two=pair.base_form,
            )
        ),
        how_far_off=(
            t(
                "lessons_of_sums.would_ph_too_ions",
                really=number(naive.really.value, 2),
                off=abs(off),
                which=t("lessons_of_sums.high") if off > 0 else t("lessons_of_sums.low"),
            )
        ),
        worked=(
            Numbers(
                (
                    show(found.acid_form, label=pair.acid_form.capitalize(), decimals=2),
                    show(found.base_form, label=pair.base_form.capitalize(), decimals=2),
                    show(found.expected, label=t("lessons_of_sums.ph_to_expect"), decimals=2),
                )
            ),
            Prose(t("lessons_of_sums.charge_balance_activities_davies")),
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
        (t("lessons_of_sums.water_coming_in"), words.inlet),
        (t("lessons_of_sums.flow_of_a_line"), words.flow),
        (
            t("lessons_of_sums.hoses"),
            t("lessons_of_sums.one_after_the_other")
            if words.in_series
            else t("lessons_of_sums.side_by_side"),
        ),
        (t("lessons_of_sums.heat_of_water"), t("lessons_of_sums.gram_degree")),
        *(
            (
                one.set_up.name,
                t("lessons_of_sums.boils_at", load=one.set_up.load.value, boiling=one.boiling.value),
            )
            for one in found.set_ups
        ),
        (
            t("lessons_of_sums.water_may_leave_most"),
            t("lessons_of_sums.below_the_boiling_point", margin=words.margin),
        ),
    ]
    told, failed = verdict(found, words)
    if words.in_series and len(found.set_ups) > 1:
        tempting = t("lessons_of_sums.each_condenser_warms_water")
        answer = t("lessons_of_sums.at_the_last_one", outlet=own.outlet.value)
        off = t(
            "lessons_of_sums.last_leaves_warmer_series",
            outlet=last.outlet.value,
            warmer=last.outlet.value - own.outlet.value,
        )
    else:
        tempting = t("lessons_of_sums.condenser_works_while_water")
        answer = t("lessons_of_sums.warmest_outlet", boiling=last.boiling.value, set_up_name=last.set_up.name)
        off = t("lessons_of_sums.vapour_escapes_before_water", limit=last.limit.value, margin=words.margin)
    return Lesson(
        question=t("lessons_of_sums.does_water_leave_each"),
        given=tuple(given),
        blanks=(
            *(t("lessons_of_sums.leaves_at", set_up_name=one.set_up.name) for one in found.set_ups),
            t("lessons_of_sums.may_they_run"),
            t("lessons_of_sums.the_first_to_fail"),
        ),
        tempting=tempting,
        tempting_answer=answer,
        how_far_off=off,
        worked=(
            Points(
                (f"{t('cooling.not_like_this') if failed else t('cooling.yes')}: {told}.",),
                "missing" if failed else "done",
            ),
            condenser_table(found.set_ups),
            Numbers((show(found.total, label=t("lessons_of_sums.heat_of_all_condensers"), decimals=0),)),
            caution_block("heat-without-cooling"),
        ),
    )
