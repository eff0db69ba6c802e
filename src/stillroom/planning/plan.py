"""Back from an order of bottles to the plant; two answers kept apart: enough, and strong enough.

``plan`` refuses an unlawful or impossible order before anything is bought. It promises figures that come with
their spread, their largest contribution and their reason; it says nothing about days and people (see the
schedule).
"""

import numpy as np

from stillroom.planning import picture
from stillroom.planning.figures import keys_of
from stillroom.planning.inputs import all_inputs
from stillroom.planning.lawful import formula_said, no_rule, refuse_unlawful
from stillroom.planning.lines import asked_of, chain_of, lines_of
from stillroom.planning.outcome import ContentAnswer, Cost, Doubt, Plan, PlanLine, Purchase, SupplyAnswer
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.planning.route import lines_to_buy, other_lines
from stillroom.planning.stages import Asked, content, supply
from stillroom.planning.totals import PRICE_OF, totals, unpriced
from stillroom.products.formula_check import spoken
from stillroom.products.formula_lines import MARKET_LINE
from stillroom.quantities.contributions import contributions
from stillroom.substances.plants import plant_rule
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import capital, t

WORTH_TELLING = 0.002


@remember(8)
def plan(request: PlanRequest) -> Plan:
    """Work an order back to the plant.

    Raises
    ------
    NotAllowed
        The aim lies above the ceiling, or the marker, a plant or a solvent is prohibited.
    BadEntry
        A figure is negative or does not fit the others.
    NotEnough, OutsideModel
        A step cannot work with what it gets.
    """
    refuse_unlawful(request)
    inputs = all_inputs(request)
    asked = asked_of(request, inputs)
    chain = chain_of(request, inputs)
    picture.refuse_what_cannot_run(asked.only("supply"))
    bends, steps = (
        picture.bends(asked.only("supply")),
        picture.steps(asked.only("house")),
    )  # while the least is held
    lines = lines_of(keys_of(chain), asked, inputs, chain)
    return Plan(
        request=request,
        lines=lines,
        supply=_supply(request, asked),
        content=_content(request, asked, inputs),
        bends=bends,
        steps=steps,
        buying=buying(request, lines),
        costs=_costs(asked, inputs),
        doubts=_doubts(asked, inputs),
        not_known=_not_known(request, unpriced(asked.only("money"))),
    )


def to_buy(request: PlanRequest) -> tuple[str, ...]:
    """Keys of the buying list: what the lines of both procedures take, and the packaging."""
    return (
        "plant_g",
        "all_stock_spirit_g",
        *lines_to_buy(request.extraction),
        "bottles",
        "caps",
        "labels",
        "process_water_g",
        *(f"formula/{one.name}" for one in other_lines(request.formula)),
    )


def _supply(request: PlanRequest, asked: Asked) -> SupplyAnswer:
    found = supply(asked.only("supply"))
    low, middle, high = (float(one) for one in np.percentile(found.plant_each_g, (5.0, 50.0, 95.0)))
    limit = found.plant_limit
    sure = request.order.how_sure_percent
    return SupplyAnswer(
        limit.value,
        limit.rank,
        limit.draws,
        request.seed,
        sure,
        middle,
        low,
        high,
        f"With {limit.value:.1f} g of plant the extract is enough for the whole bulk in {sure:g} of 100 such "
        f"batches (rank {limit.rank:,} of {limit.draws:,} draws, seed {request.seed}); "
        f"half of them would need no more than {middle:.1f} g.",
    )


def _content(request: PlanRequest, asked: Asked, inputs: dict[str, Known]) -> ContentAnswer:
    found = content(asked.only("content"))
    low, middle, high = (float(one) for one in np.percentile(found.percent, (5.0, 50.0, 95.0)))
    declared = inputs["order/declared"].value
    ceiling = inputs["ceiling"].value if "ceiling" in inputs else None
    inside, below, above = (float(100.0 * one.mean()) for one in (found.inside, found.below, found.above))
    compound, missing = request.order.aim.reckoned_as, no_rule(request)
    if ceiling is None:
        sentence = (
            f"Once dosed by the assay then taken, the strength is at least {declared:g} % w/w as {compound} "
            f"in {inside:.2f} of 100 batches. {missing}"
        )
    else:
        sentence = (
            f"Once dosed by the assay then taken, the strength lies from {declared:g} to {ceiling:g} % w/w "
            f"as {compound} in {inside:.2f} of 100 batches: {below:.2f} of 100 below, {above:.2f} of 100 above."
        )
    return ContentAnswer(
        inside,
        below,
        above,
        middle,
        low,
        high,
        declared,
        inputs["order/aim"].value,
        ceiling,
        sentence,
        missing,
    )


def left_out_of_the_cost(items: tuple[str, ...], currency: str) -> str:
    """What is taken and has no price, in a sentence; "" where everything has one."""
    if not items:
        return ""
    return t(
        "The cost leaves out what has no price in {currency}: {what}. Note it under Laboratory.",
        currency=currency,
        what=", ".join(items),
    )


def _not_known(request: PlanRequest, without_price: tuple[str, ...]) -> tuple[str, ...]:
    """What nobody knows here, in sentences: the plant's rule and content, the marker's ceiling."""
    plant = plant_rule(request.plant)
    content = next(one for one in request.used if one.role == "assay of the plant")
    found = (
        plant.why if plant.status == "no rule found" else "",
        f"{capital(content.because)}." if content.because.startswith("nothing is known") else "",
        no_rule(request),
        *(
            spoken(one)
            for one in formula_said(request)
            if one.key != MARKET_LINE and (one.stops or one.needs_a_name)
        ),
        *request.left_out,
        left_out_of_the_cost(without_price, request.currency),
    )
    return tuple(one for one in found if one)


def buying(request: PlanRequest, lines: tuple[PlanLine, ...]) -> tuple[Purchase, ...]:
    """What to have, what is there and what to buy, line by line.

    Parameters
    ----------
    lines : tuple of PlanLine
        Of the plan; a key that is not among them is not asked for.
    """
    by_key = {one.key: one for one in lines}
    found = []
    for key in to_buy(request):
        if key not in by_key:
            continue
        line = by_key[key]
        needed = line.value if key == "plant_g" else line.high
        have, comes = _had(request, key, needed)
        because = (
            f"enough in {request.order.how_sure_percent:g} of 100 batches" if key == "plant_g" else line.says
        )
        found.append(
            Purchase(key, line.label, needed, line.unit, have, max(needed - have, 0.0), because, comes)
        )
    return tuple(found)


def _had(request: PlanRequest, item: str, needed: float) -> tuple[float, str]:
    """What of a line is there or under way, and the last day that is waited for; "" where the shelf is enough."""
    have, comes = 0.0, ""
    for one in sorted((one for one in request.stock if one.item == item), key=lambda each: each.comes):
        if one.comes and have < needed:
            comes = one.comes
        have += one.amount
    return have, comes


def _costs(asked: Asked, inputs: dict[str, Known]) -> tuple[Cost, ...]:
    found = []
    for item, amount in totals(asked.only("money")).costs.items():
        price = inputs[f"price of {PRICE_OF.get(item, item)}"]
        low, middle, high = (float(one) for one in np.percentile(amount, (5.0, 50.0, 95.0)))
        found.append(Cost(item, middle, low, high, price.value, price.unit))
    return tuple(found)


def _doubts(asked: Asked, inputs: dict[str, Known]) -> tuple[Doubt, ...]:
    found = supply(asked.only("supply"))
    known = {one.name: one for one in inputs.values()}
    shares = contributions(found.plant_each_g, found.drawn.draws).shares
    return tuple(
        Doubt(name, known[name].origin, share, known[name].because)
        for name, share in shares.items()
        if share >= WORTH_TELLING
    )
