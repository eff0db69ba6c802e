"""Back from an order of bottles to the plant; two answers kept apart: enough, and strong enough.

``plan`` refuses an unlawful or impossible order before anything is bought. It promises figures that come with
their spread, their largest contribution and their reason; it says nothing about days and people (see the
schedule).
"""

import numpy as np

from stillroom.planning import picture
from stillroom.planning.figures import FIGURES
from stillroom.planning.inputs import all_inputs
from stillroom.planning.known import Known
from stillroom.planning.lawful import refuse_unlawful
from stillroom.planning.lines import asked_of, lines_of
from stillroom.planning.outcome import ContentAnswer, Cost, Doubt, Plan, PlanLine, Purchase, SupplyAnswer
from stillroom.planning.request import PlanRequest
from stillroom.planning.stages import Asked, content, supply
from stillroom.planning.totals import totals
from stillroom.quantities.contributions import contributions

TO_BUY = (
    "plant_g",
    "all_stock_spirit_g",
    "acid_g",
    "ammonia_g",
    "ethyl_acetate_g",
    "bottles",
    "caps",
    "labels",
    "process_water_g",
)
WORTH_TELLING = 0.002


def plan(request: PlanRequest) -> Plan:
    """Work an order back to the plant.

    Parameters
    ----------
    request : PlanRequest

    Returns
    -------
    Plan

    Raises
    ------
    NotAllowed
        The aim lies above the ceiling, or a plant or solvent is prohibited.
    BadEntry
        A figure is negative or does not fit the others.
    NotEnough, OutsideModel
        A step cannot work with what it gets.
    """
    refuse_unlawful(request)
    inputs = all_inputs(request)
    asked = asked_of(request, inputs)
    in_formula = (f"formula/{one.name}" for one in request.formula.lines if one.role != "dosed")
    lines = lines_of((*FIGURES, *in_formula), asked, inputs)
    return Plan(
        request=request,
        lines=lines,
        supply=_supply(request, asked),
        content=_content(asked, inputs),
        bends=picture.bends(asked.only("supply")),
        steps=picture.steps(asked.only("house")),
        buying=_buying(request, lines),
        costs=_costs(asked, inputs),
        doubts=_doubts(asked, inputs),
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


def _content(asked: Asked, inputs: dict[str, Known]) -> ContentAnswer:
    found = content(asked.only("content"))
    low, middle, high = (float(one) for one in np.percentile(found.percent, (5.0, 50.0, 95.0)))
    declared, ceiling = inputs["order/declared"].value, inputs["ceiling"].value
    inside, below, above = (float(100.0 * one.mean()) for one in (found.inside, found.below, found.above))
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
        f"Once dosed by the assay then taken, the strength lies from {declared:g} to {ceiling:g} % w/w as "
        f"quinine in {inside:.2f} of 100 batches: {below:.2f} of 100 below, {above:.2f} of 100 above.",
    )


def _buying(request: PlanRequest, lines: tuple[PlanLine, ...]) -> tuple[Purchase, ...]:
    by_key = {one.key: one for one in lines}
    held = {one.item: one.amount for one in request.stock}
    found = []
    own = {
        f"formula/{one.name}"
        for one in request.formula.lines
        if one.role != "dosed" and not one.substance.startswith(("spirit", "purified water", "water"))
    }
    for key in (*TO_BUY, *(one.key for one in lines if one.key in own)):
        line = by_key[key]
        needed = line.value if key == "plant_g" else line.high
        have = held.get(key, 0.0)
        because = (
            f"enough in {request.order.how_sure_percent:g} of 100 batches" if key == "plant_g" else line.says
        )
        found.append(Purchase(key, line.label, needed, line.unit, have, max(needed - have, 0.0), because))
    return tuple(found)


def _costs(asked: Asked, inputs: dict[str, Known]) -> tuple[Cost, ...]:
    named = {"bottles": "bottle", "caps": "cap", "labels": "label", "hours": "hour"}
    found = []
    for item, amount in totals(asked.only("money")).costs.items():
        price = inputs[f"price of {named.get(item, item)}"]
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
