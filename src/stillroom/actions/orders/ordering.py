"""An order is taken, and worked back to the plant with what the book already knows."""

from collections.abc import Sequence
from typing import Unpack

from stillroom.actions.book.ceilings import aim_must_be_lawful
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.book.own_held import own_stated_after
from stillroom.actions.orders.plain_orders import plain_order, refuse_nothing_dosed
from stillroom.actions.orders.requesting import request_for
from stillroom.documents.plan_changes import changed_words
from stillroom.errors import BadEntry, worded
from stillroom.planning.changes import Changed, changes
from stillroom.planning.forecast import forecast
from stillroom.planning.lawful import refuse_plants_and_solvents
from stillroom.planning.outcome import Forecast, Plan
from stillroom.planning.plan import plan
from stillroom.planning.request import PlanRequest
from stillroom.quantities.parse import parse
from stillroom.records.entries import Entry, OrderTaken, PlanMade
from stillroom.records.entry_json import body_to_json
from stillroom.records.orders import Order
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

MOST_CHANGES_SAID = 3


def take_order(lab: Laboratory, order: Order, **sign: Unpack[Signed]) -> Done:
    """Take a customer's order, refusing what the law refuses before anything is bought.

    Raises
    ------
    NotAllowed
        The aim passes the ceiling of its kind of product, or the plant or a solvent may not be used.
    BadEntry
        The code was used before.
    UnknownName
        A procedure is not in the book.
    """
    body = OrderTaken(order)
    with lab.act("take order", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        if pen.look.orders_of((order.code,)):
            raise BadEntry(
                "Every order has a code of its own",
                worded("{order_code}, which is taken", order_code=order.code),
                "Choose the next free code",
            )
        formula = pen.look.procedure(order.formula)
        if order.is_plain:
            order = plain_order(order, formula)
            body = OrderTaken(order)
        elif not order.extraction:
            refuse_nothing_dosed(formula)
        else:
            extraction = pen.look.procedure(order.extraction)
            if extraction.purpose != "extraction" or formula.purpose != "formula":
                raise BadEntry(
                    "An order names an extraction and a formula", f"{order.extraction}, {order.formula}"
                )
            refuse_plants_and_solvents(extraction)
        aim_must_be_lawful(pen.look, order)
        return Done(
            (pen.enter(body),),
            t(
                "Order {order_code}: {units} × {each}, due {due}.",
                order_code=order.code,
                units=order.units,
                each=order.content.words,
                due=order.due,
            ),
        )


def work_back(lab: Laboratory, order: str, *, plant_lot: str = "", seed: int = 7, draws: int = 4096) -> Plan:
    """Work an order back to the plant without writing anything.

    Parameters
    ----------
    plant_lot : str
        Lot whose assay and loss on drying are used; when empty the one of ``plant_at_hand``.
    seed, draws : int
        Of the Monte Carlo.
    """
    with lab.look() as look:
        return plan(request_for(look, order, plant_lot, seed, draws))


def keep_plan(
    lab: Laboratory,
    order: str,
    *,
    plant_lot: str = "",
    seed: int = 7,
    draws: int = 4096,
    **sign: Unpack[Signed],
) -> Done:
    """Work an order back and keep the plan: its inputs and seed, from which it can be run again."""
    asked = {"order": order, "plant_lot": plant_lot, "seed": seed, "draws": draws}
    with lab.act("keep plan", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        before = kept_request(pen.look, order)
        made = plan(request_for(pen.look, order, plant_lot, seed, draws))
        body = PlanMade(order, made.request.to_json(), {line.key: line.value for line in made.lines})
        says = [made.supply.sentence]
        if before is not None:
            found = changes(before[0], made.request)
            own = own_stated_after(pen.look, before[1].entry_no)
            says.append(against(before[1], made.supply.plant_g, found, own=own))
        return Done((pen.enter(body),), " ".join(says))


def kept_request(look: Reader, order: str, back: int = 1) -> tuple[PlanRequest, Entry[PlanMade]] | None:
    """The request of the last plan kept for an order, or of one before; None where there are not so many.

    Parameters
    ----------
    back : int
        1 for the last.
    """
    kept = look.plans(order)
    return (PlanRequest.from_json(kept[-back].body.request), kept[-back]) if len(kept) >= back else None


def against(before: Entry[PlanMade], plant_g: float, found: Sequence[Changed], *, own: bool = False) -> str:
    """What a plan says beside the one kept before, in a sentence; ``own`` where something was stated since."""
    old_g = before.body.answers.get("plant_g", plant_g)
    if not (found or own):
        return t("The plan of entry {entry_no} says the same.", entry_no=before.entry_no)
    changed = [changed_words(one) for one in found[:MOST_CHANGES_SAID]]
    why = "; ".join([t("markers and plants of your own stated since"), *changed] if own else changed)
    return t(
        "The plan of entry {entry_no} had {old_g:.1f} g of plant, now it is {plant_g:.1f} g: {why}.",
        entry_no=before.entry_no,
        old_g=old_g,
        plant_g=plant_g,
        why=why,
    )


def forecast_charge(lab: Laboratory, order: str, charge: str, *, plant_lot: str = "") -> Forecast:
    """What a charge of a given mass of plant would give.

    Parameters
    ----------
    charge : str
        "250 g".
    """
    charge_g = parse(charge, want="mass", zero_allowed=False, where="charge").in_unit("g")
    with lab.look() as look:
        return forecast(request_for(look, order, plant_lot, 7, 4096), charge_g)
