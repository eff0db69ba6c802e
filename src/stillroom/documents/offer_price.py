"""The price of an offer in words: what it is, that a person stated it, or that none can be made and what to note."""

from stillroom.planning.offering.offer import Offer
from stillroom.texts.catalogue import t


def money(amount: float, currency: str) -> str:
    """An amount as it is printed: "310.00 EUR"."""
    return f"{amount:.2f} {currency}"


def price_told(offer: Offer) -> str:
    """The price without tax as it is printed, and that none can be made."""
    return t("no price yet") if offer.price is None else money(offer.price, offer.currency)


def ready_and_price(offer: Offer) -> str:
    """The answer in one sentence: when, and for how much.

    Parameters
    ----------
    offer : Offer
    """
    if offer.price is None:
        return t(
            "Ready on {ready} if it is ordered today. No price can be made yet: it is said below what has none.",
            ready=offer.ready_on,
        )
    return t(
        "Ready on {ready} if it is ordered today, for {price:.2f} {currency} without tax.",
        ready=offer.ready_on, price=offer.price, currency=offer.currency,
    )  # fmt: skip


def without_a_price(offer: Offer) -> str:
    """What is taken and has no price, and what to do about it; "" where everything has one.

    Parameters
    ----------
    offer : Offer
    """
    if not offer.unpriced:
        return ""
    what, example = ", ".join(offer.unpriced), f"60 {offer.currency}/h"
    if offer.price is not None:
        return t(
            "The price is stated, not worked out: nothing tells what these cost in {currency}: {what}.",
            currency=offer.currency, what=what,
        )  # fmt: skip
    return t(
        "No price can be made: nothing tells what these cost in {currency}: {what}. Note each under Laboratory, "
        "Prices, such as hour: {example}; or state a price of your own, and ask again.",
        currency=offer.currency, what=what, example=example,
    )  # fmt: skip
