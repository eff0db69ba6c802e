"""How long the steps of an order take at the size it asks for, before a batch is begun."""

from stillroom.actions.orders.requesting import request_for
from stillroom.actions.orders.size_planned import size_planned
from stillroom.errors import StillroomError
from stillroom.planning.forecast import Charge
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.stream.account import Account

DRAWS = 512


@once
def charge_planned(look: Reader, order: str) -> Account | None:
    """The stream of an order's extraction, with its minutes, at the size its plan gives or its customer sends.

    None where none can be told.
    """
    found = look.order(order)
    planned = size_planned(look, order, found.extraction)
    if planned is None or not (found.is_worked_back or found.what == "own plant"):
        return None
    try:
        charge = Charge.of(request_for(look, order, draws=DRAWS), planned.scale_g)
        return charge.account(charge.draws(), with_work=True)
    except StillroomError:
        return None
