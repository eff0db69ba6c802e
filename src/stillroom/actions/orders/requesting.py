"""What an order is worked out from: its procedures, and everything the book knows."""

from collections.abc import Mapping
from dataclasses import replace

from stillroom.actions.book.results_kept import assay_for
from stillroom.actions.house.glass_at_hand import known_of_glass
from stillroom.actions.house.house_facts import known_of_house
from stillroom.actions.house.pricing import (
    KEYS_OF_PRICES,
    currency_of,
    ingredients_unpriced,
    known_prices,
    prices_left_out,
    role_of,
)
from stillroom.actions.orders.remembering import own_runs
from stillroom.actions.shelf.goods_under_way import to_come
from stillroom.actions.shelf.known_in_book import (
    known_of_acids,
    known_of_ceiling,
    known_of_other_spirits,
    known_of_plant,
    known_of_result,
    known_of_scale,
    known_of_spirit,
)
from stillroom.actions.shelf.lot_strength import weighed_in
from stillroom.actions.shelf.plant_at_hand import plant_at_hand, refuse_anothers
from stillroom.answers.restating import basis_of
from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.planning.memory import NOTHING, with_memory
from stillroom.planning.offering.own_plant import PLANT_ROLES, request_of_charge
from stillroom.planning.request import Held, PlanRequest
from stillroom.planning.route import compounds_of, is_spirit, lines_to_buy
from stillroom.quantities.basis import Basis
from stillroom.records.entries import GoodsOrdered
from stillroom.records.lots import OURS, Status, grams
from stillroom.records.orders import Order, StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.substances.markers import molar_mass
from stillroom.texts.catalogue import t


@once
def request_for(
    look: Reader,
    order: str,
    plant_lot: str = "",
    seed: int = 7,
    draws: int = 4096,
    *,
    before: str = "",
    own: bool = True,
    batch: str = "",
) -> PlanRequest:
    """The plan's request, with everything the book knows in place of assumptions.

    Parameters
    ----------
    before : str
        When the run that is planned was begun, where it was: what ended later tells it nothing.
    own : bool
        Whether runs of one's own take the place of assumptions.
    batch : str
        A batch whose stream is asked for: it goes by what was weighed into that batch, whatever came later, and is
        told no stock, price or ceiling.
    """
    found = look.order(order)
    if found.what == "own plant":
        theirs = look.procedure(found.extraction)
        marker = next(iter(theirs.markers), "marker")
        counted = StatedStrength(0.0, marker, marker, "")
        asked = request_of_charge(theirs, counted, found.customer, found.code)
        request = request_of_theirs(look, asked, plant_lot, before=before, own=own, batch=batch)
    else:
        formula = look.procedure(found.formula)
        extraction = look.procedure(found.extraction) if found.is_worked_back else formula
        request = request_of(look, found, extraction, formula, plant_lot, before=before, own=own, batch=batch)
    return replace(request, seed=seed, draws=draws)


def request_of_batch(look: Reader, batch: str, *, before: str) -> PlanRequest:
    """The request of a charge that nobody ordered, with what the book knows: it is told no stock, price or ceiling.

    Parameters
    ----------
    before : str
        When the batch was begun. [ISO time]
    """
    procedure = look.procedure_of(batch)
    marker = next(iter(procedure.markers), "marker")
    asked = request_of_charge(procedure, StatedStrength(0.0, marker, marker, ""), "")
    return request_of(look, asked.order, asked.extraction, asked.formula, "", before=before, batch=batch)


def request_of_theirs(
    look: Reader,
    asked: PlanRequest,
    plant_lot: str = "",
    *,
    before: str = "",
    own: bool = True,
    batch: str = "",
) -> PlanRequest:
    """The request of a charge of a customer's plant: what is known of ours is not known of theirs.

    Parameters
    ----------
    asked : PlanRequest
        With nothing known.
    batch : str
        As for ``request_for``.
    """
    found = request_of(
        look, asked.order, asked.extraction, asked.formula, plant_lot, before=before, own=own, batch=batch
    )
    if found.plant_lot and look.lot(found.plant_lot).owner != OURS:
        return found
    known = tuple(one for one in found.known if one.role not in PLANT_ROLES)
    return replace(
        found,
        known=known,
        assay_reckoned_as="",
        assay_matter="as is",
        plant_lot="",
        stock=tuple(one for one in found.stock if one.item != "plant_g"),
    )


def request_of(
    look: Reader,
    found: Order,
    extraction: Procedure,
    formula: Procedure,
    plant_lot: str = "",
    *,
    before: str = "",
    own: bool = True,
    batch: str = "",
) -> PlanRequest:
    """The request of an order and its procedures, in the book or not yet, with everything the book knows.

    Parameters
    ----------
    batch : str
        As for ``request_for``.
    """
    if not found.is_worked_back:
        raise BadEntry(
            "An order that doses no active, or one that is bought, is not worked back to a plant",
            found.code,
            "Begin a batch of its formula",
        )
    plant_line = next(line for line in extraction.lines if line.name == extraction.scaled_by)
    if plant_lot and look.lot(plant_lot).substance != plant_line.substance:
        raise BadEntry(
            worded("The plant of this plan is {substance}", substance=plant_line.substance),
            worded(
                "{plant_lot}, which is {substance}",
                plant_lot=plant_lot,
                substance=look.lot(plant_lot).substance,
            ),
            "Name a lot of it, or none",
        )
    if plant_lot:
        refuse_anothers(look, plant_lot, found.customer)
    weighed = weighed_in(look, batch, frozenset({plant_line.substance})) if batch else None
    if weighed is not None and weighed.substance == plant_line.substance:
        plant_lot = weighed.code
    lot = plant_lot or plant_at_hand(look, plant_line.substance, found.aim, found.customer)
    known = known_of_plant(look, lot) if lot else []
    assay = assay_for(look, lot, found.aim) if lot else None
    basis = basis_of(assay.body.basis) if assay else None
    left_out: tuple[str, ...] = ()
    unknown = _without_mass(_compound(basis), found.aim.reckoned_as)
    if assay is not None and unknown:
        left_out = (
            t(
                "The assay of {lot} (entry {entry_no}) is not used: the molar mass of {marker} is "
                "not known here. Enter it under Laboratory, Markers, plants and ingredients of your "
                "own, and plan again.",
                lot=lot,
                entry_no=assay.entry_no,
                marker=unknown,
            ),
        )
        assay = basis = None
    if assay is not None:
        known.append(known_of_result("assay of the plant", f"lot {lot}/assay", assay))
    known += [*known_of_scale(look), *known_of_house(look)]
    if not batch:
        known += [*known_prices(look, extraction, formula), *known_of_ceiling(look, found)]
        left_out = (*left_out, *prices_left_out(look), *ingredients_unpriced(look, formula))
    stock = (
        () if batch else _held(look, extraction, formula)
    )  # first: it finds every lot on the shelf at once
    known += [
        *known_of_spirit(look, extraction, batch),
        *known_of_other_spirits(look, (extraction, formula), batch),
        *known_of_acids(look, extraction, batch),
        *known_of_glass(look, extraction),
    ]
    request = PlanRequest(
        order=found,
        extraction=extraction,
        formula=formula,
        known=tuple(known),
        assay_reckoned_as=_compound(basis),
        assay_matter="dried" if basis and basis.matter == "dried" else "as is",
        left_out=left_out,
        plant_lot=lot,
        currency=currency_of(look),
    )
    if not batch:
        request = replace(
            request,
            stock=stock,
            order_entry_no=_written(look, "order taken", found.code),
            extraction_entry_no=_written(look, "procedure written", extraction.code),
            formula_entry_no=_written(look, "procedure written", formula.code),
        )
    told = own_runs(look, request, before) if own else NOTHING
    if told.set_aside:
        aside = t(
            "By what {runs} gave, this extraction would not run to its end: it is planned as if they had not been. "
            "Look whether something in them was weighed or written wrongly.",
            runs=", ".join(told.set_aside),
        )
        request = replace(request, left_out=(*request.left_out, aside))
    return with_memory(request, told)


def _written(look: Reader, kind: str, code: str) -> int | None:
    entry = look.latest(kind, code)
    return entry.entry_no if entry else None


def _compound(basis: Basis | None) -> str:
    """What an assay counts, as a plan takes it."""
    if basis is None or basis.reckoned_as is None:
        return ""
    compounds = compounds_of(basis.reckoned_as)
    return compounds[0] if len(compounds) == 1 else f"mean of {' and '.join(compounds)}"


def _without_mass(reported: str, counted: str) -> str:
    """The compound whose molar mass would be needed to restate an assay, and is not known; "" where none is missing."""
    if not reported or reported == counted:
        return ""
    for name in (counted, *compounds_of(reported)):
        try:
            molar_mass(name)
        except (UnknownName, BadEntry):
            return name
    return ""


def items_of(extraction: Procedure, formula: Procedure) -> dict[str, str]:
    """Key of the line of the buying list for each substance that two procedures take."""
    items = _items(extraction)
    for line in formula.lines:
        if line.role != "dosed":
            items.setdefault(line.substance, f"formula/{line.name}")
    return items


def _held(look: Reader, extraction: Procedure, formula: Procedure) -> tuple[Held, ...]:
    """What stands released on the shelf, by line of the buying list."""
    items = items_of(extraction, formula)
    held: dict[str, float] = {}
    for lot in look.lots(status=Status.RELEASED, on_shelf=True):
        if lot.owner != OURS or lot.denaturant_is_unknown:
            continue
        if lot.kind.traits.used_to == "pack":
            first = lot.substance.split()[0]
            held[f"{first}s"] = held.get(f"{first}s", 0.0) + look.balance_pieces(lot.code)
        elif lot.substance in items:
            item = items[lot.substance]
            held[item] = held.get(item, 0.0) + grams(look.balance_ug(lot.code))
    here = (Held(item, amount) for item, amount in held.items() if amount > 0)
    return (*here, *(one for one, _ in goods_coming(look, items)))


def goods_coming(look: Reader, items: Mapping[str, str]) -> tuple[tuple[Held, GoodsOrdered], ...]:
    """What was ordered from suppliers and is not here yet, by line of the buying list.

    Parameters
    ----------
    items : mapping of str to str
        Key of the line for each substance.
    """
    found: list[tuple[Held, GoodsOrdered]] = []
    for one in look.goods_under_way():
        goods, amount = one.body, to_come(one.body)
        item = items.get(goods.substance) or KEYS_OF_PRICES.get(role_of(goods.substance), "")
        if item and amount is not None:
            found.append((Held(item, amount, goods.comes), goods))
    return tuple(found)


def _items(extraction: Procedure) -> dict[str, str]:
    """Line of the buying list for each substance of an extraction."""
    bought = {line: key for key, line in lines_to_buy(extraction).items()}
    items = {}
    for line in extraction.lines:
        if line.name == extraction.scaled_by:
            items[line.substance] = "plant_g"
        elif line.name in bought:
            items[line.substance] = bought[line.name]
        else:
            items[line.substance] = "all_stock_spirit_g" if is_spirit(line) else "process_water_g"
    return items
