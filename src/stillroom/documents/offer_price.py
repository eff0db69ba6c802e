"""The price of an offer in words: what it is, that a person stated it, or that none can be made and what to note."""

from stillroom.planning.offering.offer import Offer
from stillroom.quantities.money import money_text
from stillroom.texts.catalogue import t, word


def price_told(offer: Offer) -> str:
    """The price without tax as it is printed, and that none can be made."""
    return t("no price yet") if offer.price is None else money_text(offer.price, offer.currency)


def ready_and_price(offer: Offer) -> str:
    """The answer in one sentence: when, and for how much."""
    if offer.lacks:
        return without_a_date(offer)
    if offer.price is None:
        return t(
            "Ready on {ready} if it is ordered today. No price can be made yet: it is said below what has none.",
            ready=offer.ready_on,
        )
    return t(
        "Ready on {ready} if it is ordered today, for {price} without tax.",
        ready=offer.ready_on, price=money_text(offer.price, offer.currency),
    )  # fmt: skip


def ready_told(offer: Offer) -> str:
    """In how many days it is ready, and that none can be promised."""
    return t("no date") if offer.lacks else t("{days} days", days=offer.days_promised)


def without_a_date(offer: Offer) -> str:
    """What the bench does not have, and what having it would buy; "" where a date is promised."""
    if not offer.lacks:
        return ""
    why = " ".join(
        t(
            "{step} takes {needs} of {what}, and here there is {most}.",
            step=word(one.step), what=word(one.what),
            needs=f"{one.needs} {one.unit}".strip(), most=f"{one.most} {one.unit}".strip(),
        )
        for one in offer.lacks
    )  # fmt: skip
    gives = t(" and ").join(
        t("{amount} more of {what}", amount=f"{one.needs - one.most} {one.unit}".strip(), what=word(one.what))
        for one in offer.lacks
    )
    return t(
        "No date can be promised on this bench: {why} With {gives} it would be ready on {ready}, kept in {kept:.0f} of "
        "100 such orders; or choose another way of making it.",
        why=why, gives=gives, ready=offer.ready_on, kept=offer.kept_percent,
    )  # fmt: skip


def without_a_price(offer: Offer) -> str:
    """What is taken and has no price, and what to do about it; "" where everything has one."""
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
