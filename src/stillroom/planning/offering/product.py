"""The offer of a product: the plan of its order, bought in packs, priced at one, two and five times the amount."""

from dataclasses import replace
from math import ceil

import numpy as np

from stillroom.planning.figures import keys_of
from stillroom.planning.inputs import all_inputs
from stillroom.planning.lawful import refuse_unlawful
from stillroom.planning.lines import asked_of, chain_of, lines_of
from stillroom.planning.offering.draws import AS_PLANNED, PLANT, Drawn, Otherwise, draw
from stillroom.planning.offering.offer import (
    FLOOR_PERCENT,
    MANY,
    Bought,
    Offer,
    Rung,
    Spread,
    Taken,
    promised_days,
)
from stillroom.planning.offering.promised import percent, price_of, promise
from stillroom.planning.offering.terms import USUAL, OfferTerms
from stillroom.planning.offering.what_if import changes_of
from stillroom.planning.outcome import Plan, Purchase
from stillroom.planning.plan import buying, left_out_of_the_cost, plan, to_buy
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import ACTIVE_AT_HAND, PRICE_OF, PlanRequest
from stillroom.planning.shelf_inputs import feeds_of
from stillroom.planning.totals import PRICE_OF as OF_ITEM
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import t

PRICED = {
    PLANT: "plant",
    "all_stock_spirit_g": "stock spirit",
    "acid_g": "acid",
    "ammonia_g": "ammonia",
    "ethyl_acetate_g": "ethyl acetate",
    "bottles": "bottle",
    "caps": "cap",
    "labels": "label",
}
"""What a plan calls the price of a line of the buying list."""
GRAMS_PER_KG = ML_PER_L = 1000.0
WORTH_TELLING = 0.01
"""Share of the doubt from which an assumed figure is told. [1]"""


@remember(8)
def product_offer(request: PlanRequest, terms: OfferTerms, served: tuple[tuple[str, str], ...] = ()) -> Offer:
    """The offer of an order of bottles.

    Parameters
    ----------
    request : PlanRequest
        Of the order, with what the shelf holds.
    served : tuple of (str, str)
        Lots that serve, as key of their line and words.

    Raises
    ------
    StillroomError
        As of ``plan``.
    """
    held = next((one for one in request.known if one.role == ACTIVE_AT_HAND), None)
    request, otherwise = begun(request)
    made = plan(request)
    listed = tuple(one for one in made.buying if otherwise.charges or _for_formula(one.item, request))
    terms = terms.awaiting(listed)
    drawn = draw(request, terms, missing(listed), otherwise)
    return promise(
        drawn,
        terms,
        what="product",
        title=t(
            "{units} × {each} of {product}",
            units=request.order.units, each=request.order.content.words, product=request.order.product,
        ),
        units=request.order.units,
        currency=request.currency,
        enough=percent(drawn.enough) if otherwise.charges else None,
        strong=percent(drawn.strong),
        amount_says=made.supply.sentence if otherwise.charges else t("The extract for it stands on the shelf."),
        strength_says=made.content.sentence,
        ladder=tuple(_rung(request, terms, times, made) for times in MANY),
        buying=(
            *_from_shelf(held, made, served),
            *(bought(one, request, terms, served) for one in listed),
        ),
        changes=changes_of(request, terms, missing(listed), drawn, promised_days(drawn.days, terms.kept_percent))
        if otherwise.charges
        else (),
        assumed=_assumed(made, terms, listed, tuple(drawn.costs)),
        not_known=tuple(
            one for one in made.not_known if one != left_out_of_the_cost(drawn.unpriced, request.currency)
        ),
    )  # fmt: skip


def begun(request: PlanRequest) -> tuple[PlanRequest, Otherwise]:
    """How many charges an order begins with: none where the extract for it stands on the shelf.

    Returns
    -------
    tuple of PlanRequest and Otherwise
        Without a charge the request says nothing of the shelf: the whole dose is taken to be like that of a charge.
    """
    held = next((one for one in request.known if one.role == ACTIVE_AT_HAND), None)
    if held is None:
        return request, AS_PLANNED
    asked = asked_of(request, all_inputs(request))
    only = lines_of(["active_g"], asked, all_inputs(request), chain_of(request, all_inputs(request)))
    surely_g = held.value - 2.0 * held.uncertainty_in_unit
    if surely_g < only[0].value:
        return request, AS_PLANNED
    return replace(request, known=tuple(one for one in request.known if one != held)), Otherwise(charges=0)


def missing(listed: tuple[Purchase, ...]) -> tuple[str, ...]:
    """Keys of the lines of which something is not here yet; water comes from the tap."""
    return tuple(
        one.item for one in listed if (one.to_buy > 0 and one.item != "process_water_g") or one.comes
    )


def times_the_amount(request: PlanRequest, times: int) -> PlanRequest:
    """The request of so many times the bottles."""
    return replace(request, order=replace(request.order, units=request.order.units * times))


def listed_for(request: PlanRequest) -> tuple[Purchase, ...]:
    """The buying list of a request, without the rest of its plan."""
    refuse_unlawful(request)
    inputs = all_inputs(request)
    chain = chain_of(request, inputs)
    keys = [one for one in keys_of(chain) if one in to_buy(request)]
    return buying(request, lines_of(keys, asked_of(request, inputs), inputs, chain))


def _rung(request: PlanRequest, terms: OfferTerms, times: int, made: Plan) -> Rung:
    """The price at so many times the amount; what is missing then is told by the list of the plan, so many times."""
    larger, otherwise = begun(times_the_amount(request, times))
    short = tuple(
        one.item
        for one in made.buying
        if (one.comes or one.needed * times > one.have)
        and one.item != "process_water_g"
        and (otherwise.charges or _for_formula(one.item, request))
    )
    drawn: Drawn = draw(larger, terms, short, otherwise)
    cost = Spread.of(drawn.cost)
    return Rung(
        times,
        larger.order.units,
        cost,
        None if drawn.unpriced else float(np.percentile(drawn.cost, FLOOR_PERCENT)),
        price_of(cost, drawn.unpriced, terms) if terms.stated_price is None or times == 1 else None,
    )


def _from_shelf(held: Known | None, made: Plan, served: tuple[tuple[str, str], ...]) -> list[Bought]:
    """The active that extract on the shelf gives."""
    if held is None:
        return []
    lots = tuple(words for item, words in served if item == ACTIVE_AT_HAND)
    needed_g = made.line("active_g").value
    label = t("Active, from extract on the shelf")
    return [Bought(ACTIVE_AT_HAND, label, needed_g, "g", min(held.value, needed_g), 0.0, lots=lots)]


def _for_formula(item: str, request: PlanRequest) -> bool:
    lines = {one.substance for one in request.formula.lines}
    spirit = item == "all_stock_spirit_g" and any(one.startswith("spirit") for one in lines)
    return spirit or item in ("bottles", "caps", "labels", "process_water_g") or item.startswith("formula/")


def bought(
    one: Purchase, request: PlanRequest, terms: OfferTerms, served: tuple[tuple[str, str], ...]
) -> Bought:
    """A line of a buying list as an offer shows it: packs, price, the supplier's days, what of the shelf serves.

    Parameters
    ----------
    request : PlanRequest
        With its prices.
    served : tuple of (str, str)
        Lots that serve, as key of their line and words.
    """
    supplier = terms.supplier_of(one.item)
    price = _price(one.item, request)
    amount = one.to_buy / _per_priced(one, request)
    packs = ceil(amount / supplier.pack - 1e-9) if supplier.pack and amount > 0 else 0
    paid = packs * supplier.pack if packs else amount
    unit = price.unit.partition("/")[2] if price else ""
    is_bought = one.to_buy > 0 and one.item != "process_water_g"
    is_awaited = is_bought or bool(one.comes)
    return Bought(
        one.item,
        one.label,
        one.needed,
        one.unit,
        one.have,
        one.to_buy,
        packs,
        f"{supplier.pack:g} {unit}".strip() if packs else "",
        paid * price.value if price and is_bought else None,
        supplier.low_days if is_awaited else 0.0,
        supplier.high_days if is_awaited else 0.0,
        tuple(words for item, words in served if item == one.item),
    )


def _price(item: str, request: PlanRequest) -> Known | None:
    role = PRICED.get(item, "formula ingredients" if item.startswith("formula/") else "other reagents")
    return next((one for one in request.used if one.role == PRICE_OF + role), None)


def _per_priced(one: Purchase, request: PlanRequest) -> float:
    """How much of a line, in its unit, is one of what its price is for."""
    if one.unit == "pieces":
        return 1.0
    if one.item not in ("all_stock_spirit_g", "ethyl_acetate_g"):
        return GRAMS_PER_KG
    values = {each.role: each.value for each in request.used}
    substance = "spirit" if one.item == "all_stock_spirit_g" else "ethyl acetate"
    for procedure in (request.extraction, request.formula):
        feeds = feeds_of(procedure, values, {})
        for line in procedure.lines:
            if line.substance.startswith(substance):
                return float(np.median(np.asarray(feeds[line.name].density_g_ml))) * ML_PER_L
    return GRAMS_PER_KG


def _assumed(
    made: Plan, terms: OfferTerms, listed: tuple[Purchase, ...], costs: tuple[str, ...]
) -> tuple[Taken, ...]:
    """What was taken because nobody said it: of the plan by its effect, then what offers take, then prices."""
    by_name = {one.name: one for one in all_inputs(made.request).values()}
    found = [
        _taken(by_name[one.name])
        for one in made.doubts
        if one.origin == "assumed" and one.share >= WORTH_TELLING
    ]
    found += [
        Taken(
            one.called,
            one.taken,
            one.because,
        )
        for one in USUAL
    ]
    unsaid = [
        one.label for one in listed if one.item in missing(listed) and not terms.supplier_of(one.item).because
    ]
    if unsaid:
        usual = terms.supplier_of("")
        found.append(
            Taken(
                t("suppliers' days of {what}", what=", ".join(unsaid)),
                t("{low:g} to {high:g} days, any amount", low=usual.low_days, high=usual.high_days),
                t("usual, no source: note packs and days with the price"),
            )
        )
    priced = {f"{PRICE_OF}{OF_ITEM.get(one.item, one.item)}" for one in made.costs if one.item in costs}
    invented = [one for one in made.request.used if one.role in priced and one.origin == "assumed"]
    found += [Taken(one.role, f"{one.value:g} {one.unit}", one.because) for one in invented]
    return tuple(found)


def _taken(one: Known) -> Taken:
    u = one.uncertainty_in_unit
    return Taken(
        one.role or one.name,
        f"{one.value:.4g}{f' ± {2 * u:.2g}' if u else ''} {one.unit}".strip(),
        one.because,
    )
