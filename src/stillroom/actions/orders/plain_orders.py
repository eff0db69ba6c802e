"""An order with nothing to work back: of a product without a dosed active, or dosed with an extract that is bought."""

from dataclasses import replace

from stillroom.actions.book.product_made import HOME_MARKET
from stillroom.errors import BadEntry, worded
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure


def plain_order(order: Order, formula: Procedure) -> Order:
    """An order of a product without a dosed active: kind by its formula, sold at home, where it says neither.

    Raises
    ------
    BadEntry
        The formula doses an active, or is none; or nobody says the kind of product.
    """
    if formula.purpose != "formula":
        raise BadEntry("An order names a formula", order.formula, where="formula")
    dosed = [one.name for one in formula.lines if one.role == "dosed"]
    if dosed:
        raise BadEntry(
            "An order by a formula with a dosed line states its aim and what is declared at least",
            worded(
                "{formula} with the dosed line {line}, and neither",
                formula=formula.code,
                line=dosed[0],
            ),
            "Say both, and the extraction where the extract is made here; or name a formula that doses nothing",
            where="aim",
        )
    kind = order.product_type or formula.product_type
    if not kind:
        raise BadEntry("An order says its kind of product", "none, nor its formula", where="kind")
    return replace(order, product_type=kind, market=order.market or HOME_MARKET)


def refuse_nothing_dosed(formula: Procedure) -> None:
    """Refuse an order with an aim whose formula has nothing to dose.

    Raises
    ------
    BadEntry
        It has no dosed line, or is no formula.
    """
    if formula.purpose != "formula" or not any(one.role == "dosed" for one in formula.lines):
        raise BadEntry(
            "An order with an aim names a formula with a dosed line",
            formula.code,
            "Give the line of the extract the role dosed, or leave aim and declared strength out",
            where="formula",
        )
