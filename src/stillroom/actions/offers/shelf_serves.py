"""What of the shelf serves an enquiry: left-over extract, recovered spirit, lots; and how much work is in hand."""

import math
from dataclasses import dataclass

from stillroom.actions.bench.next_of_order import open_orders
from stillroom.actions.book.results_kept import strength_of
from stillroom.actions.orders.requesting import goods_coming, items_of
from stillroom.actions.shelf.goods_under_way import in_words
from stillroom.actions.shelf.lot_strength import strength_of_spirit
from stillroom.actions.shelf.plant_at_hand import may_serve, plants_of
from stillroom.errors import StillroomError
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import ACTIVE_AT_HAND, Held, PlanRequest
from stillroom.planning.route import is_spirit
from stillroom.records.lots import OURS, Lot, Status, grams
from stillroom.store.reader import Reader
from stillroom.stream.kinds import kind_does
from stillroom.substances.spirits import spirit_mass_fraction
from stillroom.texts.catalogue import t

SPIRIT = "all_stock_spirit_g"


@dataclass(frozen=True, slots=True)
class Serving:
    """What the shelf gives an enquiry."""

    known: tuple[Known, ...]
    """The active in left-over extract; empty where there is none."""
    stock: tuple[Held, ...]
    """Amounts by line of the buying list, recovered spirit as stock spirit of the same ethanol."""
    served: tuple[tuple[str, str], ...]
    """Key of a line, and the lot in words."""


def serving(look: Reader, request: PlanRequest) -> Serving:
    """What of the shelf serves the order of a request.

    Parameters
    ----------
    request : PlanRequest
        With what its lines hold already.
    """
    held = {one.item: one.amount for one in request.stock if not one.comes}
    coming = tuple(one for one in request.stock if one.comes)
    served = [*_lots(look, request)]
    known, extracts = _extract(look, request)
    back_g, lots = _recovered(look, request)
    if back_g:
        held[SPIRIT] = held.get(SPIRIT, 0.0) + back_g
    served += [*extracts, *lots]
    return Serving(known, (*(Held(item, amount) for item, amount in held.items()), *coming), tuple(served))


def work_in_hand_h(look: Reader) -> float:
    """Hours of hands and eyes that orders not yet delivered still ask for, by their kept plans [h]."""
    hours = 0.0
    for order in open_orders(look):
        plans = look.plans(order.code)
        if not plans or sum(units for _, units in look.bottles_in(f"customer/{order.code}")) >= order.units:
            continue
        answers = plans[-1].body.answers
        whole = answers.get("hours_hands", 0.0) + answers.get("hours_watch", 0.0)
        steps = [len(look.procedure(code).steps) for code in (order.extraction, order.formula) if code]
        batches = [one.code for one in look.batches(order=order.code) if look.given_up(one.code) is None]
        done = sum(len({entry.body.step for entry in look.steps(one)}) for one in batches)
        hours += whole * max(1.0 - done / max(sum(steps), 1), 0.0)
    return hours


def _lots(look: Reader, request: PlanRequest) -> list[tuple[str, str]]:
    """The lots behind what the lines hold."""
    items = items_of(request.extraction, request.formula)
    found = []
    for lot in look.lots(status=Status.RELEASED):
        if lot.owner != OURS or lot.denaturant_is_unknown:
            continue
        if lot.kind.traits.used_to == "pack":
            pieces = look.balance_pieces(lot.code)
            item = f"{lot.substance.split()[0]}s"
            if pieces:
                found.append((item, t("{lot}, {pieces} pieces", lot=lot.code, pieces=pieces)))
        elif lot.substance in items and look.balance_ug(lot.code) > 0:
            found.append((items[lot.substance], _in_words(lot, grams(look.balance_ug(lot.code)))))
    return [*found, *((one.item, in_words(goods)) for one, goods in goods_coming(look, items))]


def _extract(look: Reader, request: PlanRequest) -> tuple[tuple[Known, ...], list[tuple[str, str]]]:
    """The active in released extract of the same plant, with the doubt of its assays."""
    plant, aim = request.plant, request.order.aim
    active_g, variance, lots, entry_no = 0.0, 0.0, [], None
    for lot in look.lots(status=Status.RELEASED):
        if lot.kind.traits.carrier != "extract" or not may_serve(lot.owner, request.order.customer):
            continue
        mass_g = grams(look.balance_ug(lot.code))
        if mass_g <= 0 or plants_of(look, lot.code) != (plant,):
            continue
        try:
            strength = strength_of(look, lot.code, aim)
        except StillroomError:
            continue
        active_g += mass_g * strength.value / 100.0
        variance += (mass_g * (strength.standard_uncertainty or 0.0) / 100.0) ** 2
        lots.append((lot, mass_g))
        latest = look.results(lot.code)
        entry_no = latest[-1].entry_no if latest else entry_no
    if not lots:
        return (), []
    named = ", ".join(lot.code for lot, _ in lots)
    known = Known(
        ACTIVE_AT_HAND,
        f"lots {named}/active",
        active_g,
        "g",
        math.sqrt(variance),
        "normal" if variance else "fixed",
        "reading",
        t("extract on the shelf: {lots}, by its assay", lots=named),
        entry_no,
    )
    return (known,), [(ACTIVE_AT_HAND, _in_words(lot, mass_g)) for lot, mass_g in lots]


def _recovered(look: Reader, request: PlanRequest) -> tuple[float, list[tuple[str, str]]]:
    """Stock spirit that recovered spirit of the same plant saves [g], and the lots.

    Notes
    -----
    Its ethanol counts, where it is no weaker than the spirit wanted: a recovered spirit of e by mass saves e / s of its
    mass in stock of s.
    """
    lines = [one for one in request.extraction.lines if is_spirit(one)]
    stock = next((one.value for one in request.used if one.role == "strength of the stock spirit"), 96.0)
    stock_fraction = float(spirit_mass_fraction(stock / 100.0))
    if not lines:
        return 0.0, []
    wanted = _wanted_fraction(request)
    saved_g, found = 0.0, []
    for lot in look.lots(status=Status.RELEASED):
        if (
            lot.kind.traits.spirit != "recovered"
            or lot.owner != OURS
            or plants_of(look, lot.code) != (request.plant,)
        ):
            continue
        mass_g = grams(look.balance_ug(lot.code))
        strength = strength_of_spirit(look, lot).ethanol_mass_fraction
        if mass_g <= 0 or strength is None or (wanted is not None and strength < wanted):
            continue
        saved_g += mass_g * strength / stock_fraction
        found.append((SPIRIT, _in_words(lot, mass_g)))
    return saved_g, found


def _wanted_fraction(request: PlanRequest) -> float | None:
    """Ethanol by mass of the spirit that is mixed for the extraction; None where the stock is used as it is."""
    for step in request.extraction.steps:
        if kind_does(step.kind, "brings to strength"):
            for one in step.settings:
                if one.name.endswith("volume_fraction_20c"):
                    return float(spirit_mass_fraction(one.value))
    return None


def _in_words(lot: Lot, mass_g: float) -> str:
    return t("{lot}, {mass:.4g} g", lot=lot.code, mass=mass_g)
