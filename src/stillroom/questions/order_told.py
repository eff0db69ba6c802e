"""What is told and taught of an order worked back, and what it was worked back with because nobody said it.

Promises what to have, how long it takes, what it costs, and each assumption with its effect and the entry that replaces
it. Calculates nothing.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from unicodedata import combining, normalize

from stillroom.asking.entries import Assumption
from stillroom.asking.question import Told
from stillroom.asking.said import Said
from stillroom.documents.begin_by import days_facts
from stillroom.documents.blocks import Heading, Numbers, Points, Prose, Shown, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.how_it_runs import runs_blocks
from stillroom.documents.lessons import Lesson
from stillroom.documents.numbers_shown import number, show
from stillroom.documents.setting_words import setting_words
from stillroom.documents.stream_diagram import river
from stillroom.evidence.answer import Answer
from stillroom.planning.inputs import all_inputs
from stillroom.planning.outcome import Plan, PlanLine
from stillroom.planning.plan_inputs import Known
from stillroom.planning.working_days import WhenToBegin
from stillroom.quantities.money import amount_text
from stillroom.quantities.rounding import to_significant
from stillroom.records.formula_starters import base_that_takes
from stillroom.records.starters import starter
from stillroom.stream.kind import ALTITUDE_M
from stillroom.texts.catalogue import between, later, t

WORTH_SAYING, WORTH_PRICING = 0.01, 0.05
"""Part of the doubt, and of the cost, from which an assumption is told [1]."""
ROUND_ABOUT = {"market": "EU", "base": "water", "hours-a-day": "8 h", "how-sure": "95 %"}
"""What is usual, by entry."""
PRICED = {"bottles": "bottle", "caps": "cap", "labels": "label", "hours": "hour"}
FIRST = ("plant_g", "extract_g", "bulk_g", "all_stock_spirit_g", "bottles", "cost")
IN_ALL = {
    "plant_g": later("Plant to have"),
    "all_stock_spirit_g": later("Stock spirit to have"),
    "cost": later("What it costs"),
}
"""Lines that are called otherwise for a whole order."""


@dataclass(frozen=True, slots=True)
class WorkedBack:
    """An order worked back: its plan, and how many days it takes and when to begin."""

    plan: Plan
    when: WhenToBegin

    @property
    def figures(self) -> Mapping[str, Answer]:
        """Each line of the plan, by its key."""
        return {one.key: one.answer for one in self.plan.lines}


def slug(words: str) -> str:
    """Words as a code: small letters, digits and dashes."""
    plain = "".join(one for one in normalize("NFKD", words.casefold()) if not combining(one))
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "product"


def setting_field(step: str, setting: str) -> str:
    """What a setting is called where it may be said."""
    return f"set-{slug(step)}-{slug(setting)}"


def assume(it: WorkedBack, said: Said) -> tuple[Assumption, ...]:
    """What an order was worked back with because nobody said it."""
    inputs = {one.name: (role, one) for role, one in all_inputs(it.plan.request).items()}
    found: list[Assumption] = []
    for doubt in it.plan.doubts:
        role, one = inputs[doubt.name]
        if one.origin == "assumed" and doubt.share >= WORTH_SAYING:
            effect = t("{percent:.0f} % of the doubt about the plant", percent=100 * doubt.share)
            taken, field = _taken(one), _field(role)
            found.append(Assumption(_name_of(role), taken, one.because, effect, doubt.share, field=field))
    cost = next((line for line in it.plan.lines if line.key == "cost"), None)
    for item in it.plan.costs:
        share = item.amount / cost.median if cost and cost.median else 0.0
        role = f"price of {PRICED.get(item.item, item.item)}"
        if share >= WORTH_PRICING and slug(role) not in said.text:
            taken = f"{item.price:g} {item.price_unit}"
            effect = t("{percent:.0f} % of the cost", percent=100 * share)
            because = t("an invented round price")
            found.append(Assumption(role, taken, because, effect, 0.1 * share, field=slug(role)))
    base = base_that_takes(it.plan.request.extraction, ROUND_ABOUT["base"])
    usual = [
        ("base", t("formula"), t("a plain base of {base}", base=base),
         t("to begin from; alter it before anything is sold"), t("moves the spirit to buy, hardly the plant")),
        ("declared-at-least", t("declared at least"), it.plan.request.order.at_least.as_written,
         t("nine tenths of the aim"), t("decides how often the product is strong enough")),
        ("how-sure", t("how sure"), ROUND_ABOUT["how-sure"], t("usual"),
         t("half of such batches need {half} g, not {all} g",
           half=f"{to_significant(it.plan.supply.median_g, 3):g}",
           all=f"{to_significant(it.plan.supply.plant_g, 3):g}")),
        ("hours-a-day", t("working hours"), ROUND_ABOUT["hours-a-day"], t("Monday to Friday"), t("moves the days")),
        ("market", t("market"), ROUND_ABOUT["market"], t("its limits are held here"),
         t("decides which limits hold")),
    ]  # fmt: skip
    if any(role.endswith(f"/{ALTITUDE_M}") for role, _ in inputs.values()):
        height, effect = t("the height of the sea"), t("moves boiling points, 1 °C for each 300 m")
        usual.append(("altitude", t("altitude"), height, "", effect))
    found += [
        Assumption(what, taken, because, effect, 0.0, field=field)
        for field, what, taken, because, effect in usual
        if field not in said.text
    ]
    return tuple(found)


def _name_of(role: str) -> str:
    part, _, rest = role.partition("/")
    if part == "extraction":
        step, _, name = rest.partition("/")
        return f"{step}: {setting_words(name)}"
    return role.partition(", as ")[0]


def _field(role: str) -> str:
    part, _, rest = role.partition("/")
    if part == "extraction":
        step, _, name = rest.partition("/")
        return setting_field(step, name)
    return slug(role.partition(", as ")[0])


def _taken(one: Known) -> str:
    u = one.uncertainty_in_unit
    spread = f" ± {2 * u:.2g}" if u else ""
    return f"{one.value:.4g}{spread} {one.unit}".strip()


def tell(it: WorkedBack, said: Said) -> Told:
    """The answer to "what does this order take"."""
    plan, order = it.plan, it.plan.request.order
    lines = {line.key: line for line in plan.lines}
    return Told(
        t(
            "{units} × {each} of {product}",
            units=order.units,
            each=order.content.words,
            product=order.product,
        ),
        t(
            "{plan}, by {casefold}, due {due}. Nothing is written in a book.",
            plan=_aim(plan),
            casefold=starter(said.text["way"]).title.casefold(),
            due=order.due,
        ),
        (
            Numbers(tuple(_shown(lines[key]) for key in FIRST if key in lines)),
            days_facts(it.when, order.due),
            *([Points((narrowest(plan),))] if plan.doubts else []),
            Prose(plan.supply.sentence),
            Prose(plan.content.sentence),
            *runs_blocks(plan.steps, folded=True),
        ),
        (
            Prose(
                t("An assumed figure may serve a plan, never a release, a certificate or a label."),
                quiet=True,
            ),
            Heading(t("To buy"), folded=True),
            Table(
                (t("Item"), t("Needed")),
                tuple((one.label, _needed(one.needed, one.unit)) for one in plan.buying),
                (1,),
            ),
            Heading(t("What it costs"), folded=True),
            Table(
                (t("Item"), plan.request.currency, "5–95 %"),
                tuple(
                    (
                        one.item,
                        amount_text(one.amount, plan.request.currency),
                        between(*(amount_text(at, plan.request.currency) for at in (one.low, one.high)))
                        if one.low < one.high
                        else "",
                    )
                    for one in plan.costs
                    if one.amount >= 0.005
                ),
                (1,),
            ),
            Heading(t("The active, from plant to bottle")),
            river(plan.bends),
            *(caution_block(key) for key in _cautions(plan)),
        ),
    )


def narrowest(plan: Plan) -> str:
    """What would narrow the answer most, as a sentence."""
    first = plan.doubts[0]
    what = first.name.rpartition("/")[2]
    if "assay" in first.name:
        what = t("an assay of the plant")
    elif "loss on drying" in first.name:
        what = t("drying a sample of the plant")
    return t(
        "{first}{rest} would narrow it most: {share:.0f} % of the doubt comes from it.",
        first=what[:1].title(),
        rest=what[1:],
        share=100 * first.share,
    )


def _shown(line: PlanLine) -> Shown:
    decimals = 0 if line.key == "cost" or line.unit == "pieces" or line.value >= 100 else None
    span = between(_short(line.low), _short(line.high)) if line.low < line.high else ""
    return show(
        line.answer,
        label=t(IN_ALL[line.key]) if line.key in IN_ALL else line.label,
        decimals=decimals,
        span=span,
    )


def _aim(plan: Plan) -> str:
    aim = plan.request.order.aim
    return f"{aim.percent:g} % w/w {aim.counted}"


def _short(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


def _needed(value: float, unit: str) -> str:
    return f"{value:.0f}" if unit == "pieces" else f"{_short(value)} {unit}"


def _cautions(plan: Plan) -> tuple[str, ...]:
    named = [key for step in plan.request.extraction.steps for key in step.cautions]
    return tuple(dict.fromkeys(named))[:4]


def teach(it: WorkedBack, _: Said) -> Lesson:
    """The same answer as a lesson: dividing by the content of the plant is the tempting way."""
    plan = it.plan
    order = plan.request.order
    lines = {line.key: line for line in plan.lines}
    active, content, recovery = (
        lines[key] for key in ("active_g", "plant_content_percent", "recovery_percent")
    )
    naive_g = active.value / (content.median / 100.0)
    short = 100.0 * (1.0 - naive_g / plan.supply.plant_g)
    return Lesson(
        question=t(
            "How much plant is needed for {units} × {each} of {product} with {plan}, "
            "so that {how_sure_percent:g} of 100 such batches are enough?",
            units=order.units,
            each=order.content.words,
            product=order.product,
            plan=_aim(plan),
            how_sure_percent=order.how_sure_percent,
        ),
        given=(
            (t("Bulk to make"), f"{number(lines['bulk_g'].value)} g"),
            (t("Content of the plant, as is"), f"{number(content.median)} %"),
            (
                t("Recovery from plant to extract"),
                t("{median} %, give or take", median=number(recovery.median)),
            ),
        ),
        blanks=(
            t("Active in the bulk, g"),
            t("Plant if nothing were lost, g"),
            t("Plant with the losses, g"),
        ),
        tempting=t("Divide the active in the bulk by the content of the plant."),
        tempting_answer=f"{number(naive_g)} g",
        how_far_off=t(
            "{naive_g} g is {short:.0f} % short: it forgets what stays in the marc and on the way, "
            "and that half of all lots and batches are weaker than the median.",
            naive_g=number(naive_g),
            short=short,
        ),
        worked=(
            Numbers(tuple(_shown(lines[key]) for key in ("bulk_g", "active_g", "extract_g", "plant_g"))),
            Prose(plan.supply.sentence),
            river(plan.bends),
        ),
    )
