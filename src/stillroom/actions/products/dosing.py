"""How many grams of this extract go into this bulk: reckoned from its assay, on the scale actually used."""

from typing import Unpack

from stillroom.actions.book.ceilings import ceiling_for
from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.book.results_kept import DRYING, latest_result, strength_of
from stillroom.answers.budget import Stated
from stillroom.answers.reckon_again import readings_in
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import Answer, reading
from stillroom.evidence.trails import from_trail, trail
from stillroom.products.dose import Dose, dose
from stillroom.products.dose_otherwise import by_mass_rule
from stillroom.products.limits import Judged
from stillroom.quantities.fractions import mass_fraction
from stillroom.quantities.parse import parse
from stillroom.records.entries import DoseDecided
from stillroom.records.lots import batch_account, grams
from stillroom.records.orders import Order, StatedStrength
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

DECIDED_AGAIN = "decided again"


def work_out_dose(
    lab: Laboratory,
    batch: str,
    extract: str,
    *,
    scale: str,
    next_strength: str = "",
    next_loss_on_drying: str = "",
    at_bulk: str = "",
) -> Dose:
    """Work the dose of a batch out without writing anything.

    Parameters
    ----------
    batch : str
        Batch of the formula, made for an order.
    extract : str
        Lot of the extract.
    scale : str
        Scale it will be weighed on.
    next_strength : str
        Strength of another lot, to see what it would take: "29.7 %", or "38.4 % dried" of its dried extract.
    next_loss_on_drying : str
        Of that lot, when its strength is of the dried extract: "3.1 %".
    at_bulk : str
        Bulk if not the batch's own: "5.000 kg".
    """
    with lab.look() as look:
        return _worked_out(look, batch, extract, scale, next_strength, next_loss_on_drying, at_bulk)


def work_out_share(lab: Laboratory, batch: str, extract: str, share: str) -> tuple[Stated, Judged]:
    """What a fixed share of this extract would make of the product, whatever its assay.

    Parameters
    ----------
    batch : str
        Batch of the formula, made for an order.
    extract : str
        Lot of the extract.
    share : str
        Extract in the product: "0.6 %".

    Raises
    ------
    NotAllowed
        The upper bound of the content passes the legal ceiling.
    """
    with lab.look() as look:
        order = order_of(look, batch)
        ordered = look.entries(kind="order taken", subject=order.code)[-1].entry_no
        return by_mass_rule(
            reading("extract in the product", _percent(share, "share"), "%", "asked"),
            strength_of(look, extract, order.aim),
            _of_order("aim", order.aim, ordered),
            product_type=order.product_type,
            substance=order.aim.reckoned_as,
            market=order.market,
            limit=ceiling_for(look, order),
        )


def decide_dose(
    lab: Laboratory, batch: str, extract: str, *, scale: str, why: str = "", **sign: Unpack[Signed]
) -> Done:
    """Decide the dose of a batch and keep it with its trail; one decided before is replaced, and both stay.

    Raises
    ------
    NotAllowed
        The upper bound of the content passes the legal ceiling.
    NotEnough
        The extract lot does not hold that much.
    BadEntry
        The extract has no assay that counts, or the batch is of no order.
    """
    asked = {"batch": batch, "extract": extract, "scale": scale}
    with lab.act("decide dose", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        body, notes = dose_body(pen.look, batch, extract, scale)
        decided = pen.look.doses(batch)
        number = pen.enter(
            body,
            corrects=decided[-1].entry_no if decided else None,
            why=(why.strip() or DECIDED_AGAIN) if decided else "",
        )
        return Done(
            (number,),
            t(
                "{mass:g} g of {extract} for {bulk_g:g} g. {notes}",
                mass=body.mass_g,
                extract=extract,
                bulk_g=body.bulk_g,
                notes=notes,
            ),
        )


def dose_body(look: Reader, batch: str, extract: str, scale: str) -> tuple[DoseDecided, str]:
    """The entry of a dose, and what is said beside it."""
    found = _worked_out(look, batch, extract, scale, "", "", "")
    bulk_g = look.batch(batch).scale_g
    body = DoseDecided(
        batch, extract, bulk_g, found.mass.value, trail(found.content.answer), readings_in(found.mass)
    )
    return body, " ".join(found.notes)


def order_of(look: Reader, batch: str) -> Order:
    """The customer's order a batch is made for.

    Raises
    ------
    BadEntry
        The batch is of no order.
    """
    code = look.batch(batch).order
    if not code:
        raise BadEntry(
            "A dose needs an order with its aim",
            worded("{batch}, which is of none", batch=batch),
            "Begin the batch for an order",
        )
    order = look.order(code)
    if order.is_plain:
        raise BadEntry(
            "A dose needs an order with its aim",
            worded("{order}, which doses no active", order=code),
            "Weigh the lines of the formula",
        )
    return order


def _worked_out(
    look: Reader,
    batch: str,
    extract: str,
    scale: str,
    next_strength: str,
    next_loss_on_drying: str,
    at_bulk: str,
) -> Dose:
    order = order_of(look, batch)
    begun = look.entries(kind="batch begun", subject=batch)[-1]
    ordered = look.entries(kind="order taken", subject=order.code)[-1].entry_no
    weigher = look.latest("apparatus added", scale)
    bulk_g = parse(at_bulk, want="mass").in_unit("g") if at_bulk else look.batch(batch).scale_g
    strength = strength_of(look, extract, order.aim)
    drying = latest_result(look, extract, DRYING)
    return dose(
        strength,
        reading("bulk", bulk_g, "g", f"entry {begun.entry_no}", entry_no=begun.entry_no),
        _of_order("aim", order.aim, ordered),
        scale_step=reading(
            f"readability of {scale}",
            look.apparatus(scale).smallest_step,
            "g",
            f"entry {weigher.entry_no}" if weigher else scale,
            entry_no=weigher.entry_no if weigher else None,
        ),
        declared=_of_order("declared at least", order.at_least, ordered),
        product_type=order.product_type,
        substance=order.aim.reckoned_as,
        market=order.market,
        limit=ceiling_for(look, order),
        loss_on_drying=from_trail(drying.body.trail) if drying else None,
        next_strength=_next_lot(next_strength, strength.basis) if next_strength else None,
        next_loss_on_drying=reading(
            "loss on drying of the next lot",
            _percent(next_loss_on_drying, "next loss on drying"),
            "%",
            "asked",
        )
        if next_loss_on_drying
        else None,
        available=reading(
            f"{extract} on the shelf",
            grams(look.balance_ug(extract) + look.balance_ug(extract, batch_account(batch))),
            "g",
            "sum of its movements",
        ),
        units=order.units,
    )


def _of_order(name: str, strength: StatedStrength, entry_no: int) -> Answer:
    return reading(
        name,
        strength.percent,
        "%",
        f"customer's order, entry {entry_no}",
        entry_no=entry_no,
        basis=strength.basis("product"),
    )


def _next_lot(text: str, basis: str) -> Answer:
    """A strength on the basis of the extract at hand, of its dried extract when the text says so."""
    asked = parse(text, want="ratio", basis_required=False, where="next strength").basis
    dried = asked is not None and asked.matter == "dried"
    on = basis.replace("as is", "dried") if dried else basis
    return reading("strength of the next lot", _percent(text, "next strength"), "%", "asked", basis=on)


def _percent(text: str, where: str) -> float:
    found = parse(text, want="ratio", basis_required=False, where=where)
    return 100 * mass_fraction(found, silent=True, where=where)
