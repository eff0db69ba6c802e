"""From draws to a promise: dates, chances, cost and price, whatever is offered."""

from datetime import date
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from stillroom.errors import BadEntry, worded
from stillroom.planning.offering.draws import Drawn
from stillroom.planning.offering.offer import (
    FLOOR_PERCENT,
    CostLine,
    Offer,
    Spread,
    price_at,
    promised_days,
)
from stillroom.planning.offering.terms import OfferTerms
from stillroom.texts.catalogue import t


def promise(drawn: Drawn, terms: OfferTerms, *, what: str, title: str, currency: str, **told: Any) -> Offer:
    """The offer of something drawn, under some terms.

    Parameters
    ----------
    what, title : str
        As of ``Offer``.
    **told
        Further fields of the offer.

    Raises
    ------
    BadEntry
        A price was stated in another currency.
    """
    if terms.stated_price is not None and terms.stated_currency != currency:
        raise BadEntry(
            worded("A price is stated in {currency} here", currency=currency),
            f"{terms.stated_price:g} {terms.stated_currency}",
            "Write it in the currency of the laboratory",
            where="price",
        )
    days, cost = promised_days(drawn.days, terms.kept_percent), Spread.of(drawn.cost)
    price, margin = price_of(cost, drawn.unpriced, terms), terms.margin_percent
    if terms.stated_price is not None:
        margin = 100.0 * (1.0 - cost.middle / terms.stated_price)
    wanted = None
    if terms.wanted_by:
        wanted = (date.fromisoformat(terms.wanted_by) - date.fromisoformat(terms.today)).days
    nothing = {"units": 1, "enough": None, "strong": None, "amount_says": "", "strength_says": ""}
    return Offer(
        what=what,
        title=title,
        currency=currency,
        today=terms.today,
        valid_until=terms.day(terms.valid_days),
        wanted_by=terms.wanted_by,
        kept_percent=terms.kept_percent,
        days=Spread.of(drawn.days),
        days_promised=days,
        ready_on=terms.day(days),
        chance_wanted=None if wanted is None else percent(drawn.days <= wanted),
        hours=Spread.of(drawn.hours),
        cost=cost,
        lines=tuple(CostLine(item, Spread.of(one)) for item, one in drawn.costs.items() if np.any(one > 0)),
        floor=None if drawn.unpriced else float(np.percentile(drawn.cost, FLOOR_PERCENT)),
        price=price,
        margin_percent=margin,
        unpriced=drawn.unpriced,
        stated_by=t("you") if terms.stated_price is not None else "",
        tax=terms.tax,
        tax_percent=terms.tax_percent,
        **{**nothing, **told},
    )


def price_of(cost: Spread, unpriced: tuple[str, ...], terms: OfferTerms) -> float | None:
    """The price that a person stated, else by the margin; none where something has no price [currency].

    Parameters
    ----------
    cost : Spread
        [currency]
    unpriced : tuple of str
        What is not in the cost.
    """
    if terms.stated_price is not None:
        return terms.stated_price
    return None if unpriced else price_at(cost.middle, terms.margin_percent)


def percent(so: ArrayLike) -> float:
    """In how many of 100 draws it is so [%]."""
    return 100.0 * float(np.mean(np.asarray(so)))
