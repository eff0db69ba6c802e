"""Work of hours that is no extraction: tests of somebody's sample, a reagent; its days, hours and cost in every draw.

Stretches of hands and of waiting, one after the other, and what is taken for them at its price. Now and then a set of
tests is done again, because its controls failed.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from functools import lru_cache

import numpy as np

from stillroom.evidence.answer import Answer, assumed, reckoned
from stillroom.evidence.formulas import formula
from stillroom.planning.offering.calendar import days_of
from stillroom.planning.offering.draws import SUPPLIER_DAYS, Drawn, arrived, decided, hours_of
from stillroom.planning.offering.figures import FIGURES, MONEY, not_priced, stated_price, taken_from
from stillroom.planning.offering.offer import Bought, Offer, Taken
from stillroom.planning.offering.promised import promise
from stillroom.planning.offering.terms import DECISIONS, THEIRS, WORK, OfferTerms, Usual, days_spread
from stillroom.planning.outcome import StepForecast
from stillroom.planning.totals import MINUTES_PER_HOUR
from stillroom.quantities.draws import Draws
from stillroom.quantities.money import EURO
from stillroom.quantities.spread import Spread
from stillroom.stream.components import Array
from stillroom.texts.catalogue import t

DRAWS, SEED = 4096, 7
AGAIN = "offer/controls of a set"
AGAIN_ABOVE = 1.6449
"""A standard normal lies above this in 5 of 100 draws: so often a set is done again; common practice. [1]"""
HOUR = "price of hour"


@dataclass(frozen=True, slots=True)
class Stretch:
    """Hands, then waiting.

    ``name``, ``kind``: what it is, and the row of usual work that says what it takes of the bench.
    ``hands_min``, ``free_min``: [min]
    """

    name: str
    kind: str
    hands_min: float
    free_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Used:
    """What is taken for it."""

    item: str
    label: str
    unit: str
    amount: float
    """In the unit."""
    price: float
    """Of one unit. [currency]"""
    have: float = 0.0
    """On the shelf or under way to it, in the unit."""
    comes: str = ""
    """ISO date the last of it is expected on, where it waits for what was ordered; "" where it does not."""
    because: str = ""
    """Where the price stands; "" where it was assumed."""

    @property
    def to_buy(self) -> float:
        """What the shelf lacks, in the unit."""
        return max(self.amount - self.have, 0.0)


@dataclass(frozen=True, slots=True)
class SmallWork:
    """Tests, a reagent or diluted spirit."""

    what: str
    title: str
    currency: str
    hour_price: float
    """[currency/h]"""
    hour_because: str
    """Empty where it was assumed."""
    stretches: tuple[Stretch, ...]
    """In order."""
    used: tuple[Used, ...]
    units: int = 1
    """Samples, or one."""

    @property
    def is_tests(self) -> bool:
        """Whether it waits for a sample, may have to be done again, and is read by somebody."""
        return self.what == "tests"

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What it takes that has no price in its currency: what is assumed where nobody noted one is in euro."""
        if self.currency == EURO:
            return ()
        return (
            *(one.label for one in self.used if not one.because),
            *(() if self.hour_because else ("hour",)),
        )

    def to_text(self) -> str:
        """The work as JSON, so that a trail can carry it."""
        return json.dumps(asdict(self), ensure_ascii=False, sort_keys=True)

    @classmethod
    def from_text(cls, text: str) -> "SmallWork":
        """The work a text was made from.

        Parameters
        ----------
        text : str
            As made by ``to_text``.
        """
        content = json.loads(text)
        content["stretches"] = tuple(Stretch(**one) for one in content["stretches"])
        content["used"] = tuple(Used(**one) for one in content["used"])
        return cls(**content)


def small_offer(
    work: SmallWork,
    terms: OfferTerms,
    *,
    amount_says: str = "",
    strength_says: str = "",
    not_known: tuple[str, ...] = (),
) -> Offer:
    """The offer of such work.

    Parameters
    ----------
    amount_says, strength_says : str
        What is taken of a sample, how long a reagent keeps.
    """
    terms = terms.awaiting(work.used)
    return promise(
        draw_small(work, terms),
        terms,
        what=work.what,
        title=work.title,
        units=work.units,
        currency=work.currency,
        amount_says=amount_says,
        strength_says=strength_says,
        buying=tuple(_bought(one, terms, work.unpriced) for one in work.used),
        assumed=_assumed(work, terms),
        not_known=not_known,
    )


@lru_cache(maxsize=16)
def draw_small(work: SmallWork, terms: OfferTerms) -> Drawn:
    """Such work in every draw."""
    terms = terms.awaiting(work.used)
    waited_for = (
        *(one.item for one in work.used if one.to_buy > 0 or one.comes),
        *((THEIRS,) if work.is_tests else ()),
    )
    spreads = {one.name: one.spread for one in (WORK, DECISIONS)}
    spreads |= {SUPPLIER_DAYS.format(item=one): days_spread(terms.supplier_of(one)) for one in waited_for}
    spreads[AGAIN] = Spread.normal(0.0, 1.0)
    draws = Draws.of(spreads, DRAWS, SEED, decorrelated=False)
    times = 1.0 + (draws.value(AGAIN) > AGAIN_ABOVE) * work.is_tests
    pace, hours = draws.value(WORK.name), hours_of(terms)
    clock = hours.after(arrived(draws, waited_for), terms.work_in_hand_h * MINUTES_PER_HOUR)
    first = _through(clock, work, pace, terms)
    clock = np.where(times > 1.0, _through(first, work, pace, terms), first)
    if work.is_tests:
        clock = decided(clock, draws, terms)
    hands_h = pace * times * sum(one.hands_min for one in work.stretches) / MINUTES_PER_HOUR
    costs: dict[str, Array] = {one.label: np.asarray(times * one.amount * one.price) for one in work.used}
    sure = np.full(DRAWS, True)
    costs["hours"] = np.asarray(hands_h * work.hour_price)
    no_price = {"hours" if one == "hour" else one for one in work.unpriced}
    costs = {item: one for item, one in costs.items() if item not in no_price}
    return Drawn(days_of(clock), costs, np.asarray(hands_h), sure, sure, draws, work.unpriced)


@formula("offer-small-work", takes_named_inputs=True)
def small_figure(inputs: Mapping[str, tuple[float, float]], key: str, work: str, terms: str) -> float:
    """One figure of an offer of such work.

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Minutes of each stretch, amount and price of what is used, price of an hour. [the input's unit]
    key : str
        Key of ``FIGURES``.
    work, terms : str
        The work and the terms, as JSON.

    Returns
    -------
    float
        The figure. [its unit]
    """
    said = SmallWork.from_text(work)
    values = {role: value for role, (value, _) in inputs.items()}
    found = replace(
        said,
        hour_price=values[HOUR],
        stretches=tuple(replace(one, hands_min=values[f"{one.name}/hands"]) for one in said.stretches),
        used=tuple(
            replace(one, amount=values[f"{one.item}/amount"], price=values[f"{one.item}/price"])
            for one in said.used
        ),
    )
    under = OfferTerms.from_text(terms)
    return taken_from(key, draw_small(found, under), under)


def small_answers(work: SmallWork, terms: OfferTerms) -> dict[str, Answer]:
    """The figures of an offer of such work, by key."""
    usual = t("usual, no source")
    inputs: dict[str, Answer] = {
        HOUR: assumed(HOUR, work.hour_price, f"{work.currency}/h", work.hour_because or usual)
    }
    for stretch in work.stretches:
        role = f"{stretch.name}/hands"
        inputs[role] = assumed(role, stretch.hands_min, "min", usual)
    for one in work.used:
        inputs[f"{one.item}/amount"] = assumed(
            f"{one.item}/amount", one.amount, one.unit, t("by its recipe or usual")
        )
        inputs[f"{one.item}/price"] = assumed(
            f"{one.item}/price", one.price, f"{work.currency}/{one.unit}", one.because or usual
        )
    left_out = (
        "enough_percent", "strong_percent", *(() if terms.wanted_by else ("chance_wanted_percent",)),
        *not_priced(work.unpriced, terms),
    )  # fmt: skip
    return stated_price(terms, work.currency) | {
        key: reckoned(
            t(words),
            small_figure,
            unit=work.currency if unit == MONEY else unit,
            inputs=inputs,
            fixed={"key": key, "work": work.to_text(), "terms": terms.to_text()},
            says=t(
                "Calculated many times, each with another pace of work and other days of suppliers, as they were "
                "assumed or noted."
            ),
        )
        for key, (words, unit) in FIGURES.items()
        if key not in left_out
    }


def steps_of(work: SmallWork) -> tuple[StepForecast, ...]:
    """What is worked for it, as the day lays it out."""
    return tuple(
        StepForecast("", one.name, one.kind, {}, {}, {}, one.hands_min, 0.0, one.free_min)
        for one in work.stretches
    )


def _through(clock: Array, work: SmallWork, pace: Array, terms: OfferTerms) -> Array:
    hours = hours_of(terms)
    for one in work.stretches:
        clock = hours.after(clock, one.hands_min * pace, one.kind) + one.free_min
    return clock


def _bought(one: Used, terms: OfferTerms, unpriced: tuple[str, ...]) -> Bought:
    supplier = terms.supplier_of(one.item)
    is_bought = one.to_buy > 0
    is_awaited = is_bought or bool(one.comes)
    return Bought(
        one.item,
        one.label,
        one.amount,
        one.unit,
        min(one.have, one.amount),
        one.to_buy,
        pays=one.to_buy * one.price if is_bought and one.label not in unpriced else None,
        low_days=supplier.low_days if is_awaited else 0.0,
        high_days=supplier.high_days if is_awaited else 0.0,
    )


def _assumed(work: SmallWork, terms: OfferTerms) -> tuple[Taken, ...]:
    taken: list[Usual] = [WORK, *((DECISIONS,) if work.is_tests else ())]
    found = [
        Taken(
            one.called,
            one.taken,
            one.because,
        )
        for one in taken
    ]
    usual = t("usual, no source")
    if work.is_tests and not terms.supplier_of(THEIRS).because:
        days = terms.supplier_of(THEIRS)
        found.append(
            Taken(t("until your sample is here"), f"{days.low_days:g} to {days.high_days:g} d", usual)
        )
    found += [Taken(t("price of {what}", what=one.label), f"{one.price:.4g} {work.currency}/{one.unit}", usual)
              for one in work.used if not one.because and one.label not in work.unpriced]  # fmt: skip
    if not work.hour_because and "hour" not in work.unpriced:
        found.append(Taken(HOUR, f"{work.hour_price:g} {work.currency}/h", usual))
    return tuple(found)
