"""How long the steps of an order take at the size it asks for, before a batch is begun."""

import re

from stillroom.actions.orders.requesting import request_for
from stillroom.actions.orders.size_planned import size_planned
from stillroom.errors import StillroomError
from stillroom.planning.forecast import Charge
from stillroom.quantities.parse import parse
from stillroom.records.orders import Order
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.stream.account import Account

DRAWS = 512
_LEADING_AMOUNT = re.compile(r"[\d.,]+\s*k?g")


@once
def charge_planned(look: Reader, order: str) -> Account | None:
    """The stream of an order's extraction, with its minutes, at the size its plan gives or its customer sends.

    None where none can be told.

    Parameters
    ----------
    look : Reader
    order : str
    """
    found = look.order(order)
    plant_g = _plant_g(look, found)
    if plant_g is None:
        return None
    try:
        charge = Charge.of(request_for(look, order, draws=DRAWS), plant_g)
        return charge.account(charge.draws(), with_work=True)
    except StillroomError:
        return None


def _plant_g(look: Reader, order: Order) -> float | None:
    if order.what == "own plant":
        said = _LEADING_AMOUNT.match(order.asks)
        return parse(said[0], want="mass").in_unit("g") if said else None
    planned = size_planned(look, order.code, order.extraction) if order.is_worked_back else None
    return planned.scale_g if planned else None
