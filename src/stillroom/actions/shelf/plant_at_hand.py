"""Which lot an order is planned, made and delivered from: ours, or its own customer's, and never another's."""

from stillroom.actions.book.results_kept import assay_for
from stillroom.errors import NotAllowed, worded
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import OURS, Lot, Status
from stillroom.records.orders import Order, StatedStrength
from stillroom.store.looking import once
from stillroom.store.reader import Reader

MOST_LOOKED_AT = 50
"""Lots of a plant that are looked at, the newest. [1]"""


@once
def plant_at_hand(look: Reader, substance: str, aim: StatedStrength, customer: str = "") -> str:
    """The lot to plan with: released before any other, then assayed, then the customer's own, then the newest.

    Parameters
    ----------
    aim : StatedStrength
        What an assay has to count.
    customer : str
        Of the order; "" where it is made for none.

    Returns
    -------
    str
        Its code; "" where there is none.
    """
    plants, of_it = kinds_that(lambda one: one.carrier == "plant"), frozenset({substance})
    released = [
        one for one in look.lots(plants, Status.RELEASED, substances=of_it) if may_serve(one.owner, customer)
    ]
    lots = released or [one for one in look.lots(plants, substances=of_it) if may_serve(one.owner, customer)]
    newest = lots[-MOST_LOOKED_AT:]
    look.results_ahead([one.code for one in newest])
    ranked = sorted(
        enumerate(newest),
        key=lambda pair: (
            assay_for(look, pair[1].code, aim) is not None,
            pair[1].owner != OURS,
            pair[0],
        ),
    )
    return ranked[-1][1].code if ranked else ""


def may_serve(owner: str, customer: str) -> bool:
    """Whether a lot of an owner may serve an order of a customer."""
    return owner == OURS or (bool(customer) and owner.casefold() == customer.casefold())


def refuse_anothers(look: Reader, lot: str, customer: str) -> None:
    """Refuse a lot that belongs to another customer than the order's.

    Raises
    ------
    NotAllowed
        It is neither ours nor this customer's.
    """
    owner = look.lot(lot).owner
    if not may_serve(owner, customer):
        raise NotAllowed(
            worded("An order is planned with our own lots, or with those of {customer}", customer=customer),
            worded("{lot}, which belongs to {owner}", lot=lot, owner=owner),
            "Name another lot, or none",
        )


def plants_of(look: Reader, lot: str) -> tuple[str, ...]:
    """The plants a lot came from, by the movements behind it."""
    above = (look.lot(code) for code in look.made_from(lot).lots)
    return tuple(dict.fromkeys(one.substance for one in above if one.kind.traits.carrier == "plant"))


def may_be_weighed(lot: Lot, order: Order | None) -> bool:
    """Whether a lot may be weighed into a batch of an order: ours or its customer's; their own plant is theirs alone.

    Parameters
    ----------
    order : Order or None
        None for a batch that no order asked for.
    """
    theirs_alone = order is not None and order.what == "own plant" and lot.kind.traits.carrier == "plant"
    return may_serve(lot.owner, order.customer if order else "") and not (theirs_alone and lot.owner == OURS)


def may_go_on(look: Reader, lot: Lot, order: Order) -> bool:
    """Whether a lot may go to the customer on an order: never another's; of their own plant only what came of it."""
    if order.what != "own plant" or lot.owner != OURS:
        return may_serve(lot.owner, order.customer)
    above = [look.lot(code) for code in look.made_from(lot.code).lots]
    plants = [one for one in above if one.kind.traits.carrier == "plant"]
    return bool(plants) and all(one.owner.casefold() == order.customer.casefold() for one in plants)


def refuse_not_theirs(look: Reader, lot: Lot, order: Order) -> None:
    """Refuse what may not go to the customer on an order.

    Raises
    ------
    NotAllowed
        It belongs to another, or their own plant is wanted and it came of other plant.
    """
    if not may_serve(lot.owner, order.customer):
        raise NotAllowed(
            "What belongs to a customer goes to that customer",
            worded(
                "{lot} of {owner} on an order of {customer}",
                lot=lot.code, owner=lot.owner, customer=order.customer,
            ),
            "Deliver another lot",
        )  # fmt: skip
    if not may_go_on(look, lot, order):
        raise NotAllowed(
            worded(
                "{order} gives {customer} their own plant back", order=order.code, customer=order.customer
            ),
            worded("{lot}, which did not come of it alone", lot=lot.code),
            "Extract what they sent, and deliver that; or take another order of bottles or extract",
        )
