"""Answer an enquiry with an offer: what to buy, when it is ready, what it costs and what to ask, each with its chance.

An enquiry is an order that nobody has given yet: the same entries, the date only wanted, with a margin beside.
Promises that nothing is rounded in anybody's favour. Writes nothing; ``actions.offers.offering`` does, when it is asked
to, and then with what the book knows.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta

from stillroom.asking.entries import Assumption, maybe, taken
from stillroom.asking.question import Question, Sentence, Told, Way
from stillroom.asking.readers import Own, Share
from stillroom.documents.offer_price import ready_and_price
from stillroom.documents.offering import offer_blocks
from stillroom.evidence.answer import Answer
from stillroom.planning.house_said import USUAL_HOURS_PER_DAY
from stillroom.planning.offering.figures import answers_of
from stillroom.planning.offering.offer import Offer
from stillroom.planning.offering.product import begun, listed_for, missing, product_offer
from stillroom.planning.offering.terms import (
    KEPT_PERCENT,
    LARGEST_MARGIN_PERCENT,
    MARGIN_PERCENT,
    USUAL,
    USUAL_SUPPLIERS_DAYS,
    VALID_DAYS,
    OfferTerms,
)
from stillroom.planning.outcome import StepForecast
from stillroom.planning.plan import plan
from stillroom.planning.request import PlanRequest
from stillroom.planning.working_days import when_to_begin
from stillroom.quantities.money import Money
from stillroom.questions.offer_otherwise import (
    KEPT_UNSAID,
    MARGIN_UNSAID,
    days_in,
    price_in,
    price_stated,
    refuse_past,
)
from stillroom.questions.offer_shelf import NOT_KEPT
from stillroom.questions.offer_worked import INSTEAD
from stillroom.questions.order import Ordered, parts_of, request_said, said_by_name
from stillroom.questions.order_told import WorkedBack
from stillroom.questions.order_told import assume as assume_of_order
from stillroom.records.written_values import iso_date, one_line
from stillroom.texts.catalogue import later, t

FAR_AHEAD = timedelta(days=365)
"""When a plan is due whose date nobody wanted: late enough to ask for nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Enquired(Ordered):
    """A product somebody asks about: as an order, with the date wanted, the margin and how long the offer stands."""

    customer: str = taken("not named yet", Own(one_line), label=later("Customer"), help="Who asks.")
    due: str = taken(
        "", Own(iso_date, "date"), label=later("Wanted by"), help="Day it is wanted: 2027-01-31."
    )
    margin: float = taken(
        MARGIN_PERCENT / 100.0, Share(0.0, LARGEST_MARGIN_PERCENT / 100.0),
        label=later("Margin, of the price"), hint=later("Such as 30 %"), help="What is left of the price: 30 %.",
        unsaid=MARGIN_UNSAID,
    )  # fmt: skip
    kept: float = taken(
        KEPT_PERCENT / 100.0, Share(0.5, 0.99),
        label=later("Date kept, of such orders"), hint=later("Such as 80 %"),
        help="How often the date is to be kept: 80 %.",
        unsaid=KEPT_UNSAID,
    )  # fmt: skip
    valid: int = taken(
        VALID_DAYS, Own(days_in), label=later("Valid for"), unasked=True, hint=later("Such as 14 days"),
        help="How long the offer stands: 14 days.",
    )  # fmt: skip
    price: Money | None = maybe(
        Own(price_in), label=later("Price, where you state it"), folded=True, hint=later("Such as 450 {currency}"),
        help='A price of your own in place of the margin, without tax: "450 EUR".',
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Offered:
    """An enquiry answered: the offer, its figures, and the plan beneath."""

    offer: Offer
    answers: Mapping[str, Answer]
    worked: WorkedBack
    not_kept: str = NOT_KEPT

    @property
    def request(self) -> PlanRequest:
        """What its plan was worked out from."""
        return self.worked.plan.request

    @property
    def steps(self) -> tuple[StepForecast, ...]:
        """What is worked for it; no extraction where the extract stands on the shelf."""
        made = self.worked.plan
        return (
            made.steps
            if self.offer.enough is not None
            else tuple(one for one in made.steps if one.procedure == made.request.formula.code)
        )

    @property
    def figures(self) -> Mapping[str, Answer]:
        """The figures of the offer, and each line of its plan."""
        return {**self.answers, **self.worked.figures}


def as_order(said: Enquired) -> Enquired:
    """The enquiry with a day its plan may be due: the day wanted, or a far one."""
    return said if said.due else replace(said, due=(said.today + FAR_AHEAD).isoformat())


def terms_said(said: Enquired) -> OfferTerms:
    """The terms of an offer from nothing but what was said."""
    price, currency = price_stated(said.price, said.text)
    return OfferTerms(
        said.today.isoformat(),
        said.due,
        100.0 * said.kept,
        100.0 * said.margin,
        said.valid,
        hours_per_day=said.hours_a_day or USUAL_HOURS_PER_DAY,
        stated_price=price,
        stated_currency=currency,
    )


def offered(
    request: PlanRequest, terms: OfferTerms, said: Enquired, served: tuple[tuple[str, str], ...] = ()
) -> Offered:
    """The offer of a request, with its figures.

    Parameters
    ----------
    served : tuple of (str, str)
        Lots that serve, as key of their line and words.

    Raises
    ------
    BadEntry
        It was wanted before today.
    """
    refuse_past(said.due, said.today)
    offer = product_offer(request, terms, served)
    request, otherwise = begun(request)
    made, charges = plan(request), otherwise.charges
    listed = listed_for(request)
    terms = terms.awaiting(listed)
    to_buy = missing(listed) if charges else tuple(one.item for one in offer.buying if one.high_days)
    when = when_to_begin(made.steps, request.order.due, terms.hours_per_day, "", said.today)
    return Offered(
        offer, answers_of(request, terms, to_buy, charges, unpriced=offer.unpriced), WorkedBack(made, when)
    )


def work(said: Enquired) -> Offered:
    """Answer an enquiry with nothing but what was said."""
    order, extraction, formula = parts_of(as_order(said), "as asked")
    return offered(request_said(said, order, extraction, formula), terms_said(said), said)


def tell(it: Offered, _: Enquired) -> Told:
    """The answer to "can I promise this"."""
    first, after = offer_blocks(it.offer, it.answers)
    return Told(
        it.offer.title,
        f"{ready_and_price(it.offer)} {t(it.not_kept)}",
        tuple(first),
        tuple(after),
    )


def assume(it: Offered, said: Enquired) -> tuple[Assumption, ...]:
    """What an offer stands on because nobody said it: as its plan, and suppliers, pace, tests, decisions."""
    found = [one for one in assume_of_order(it.worked, said) if one.field not in said.text]
    low, high = USUAL_SUPPLIERS_DAYS
    found.append(
        Assumption(
            t("suppliers' days"),
            t("{low:g} to {high:g} days, any amount", low=low, high=high),
            t("note packs and days with a price, under Laboratory"),
            t("moves the date"),
            0.05,
        )
    )
    found += [
        Assumption(
            one.called,
            one.taken,
            one.because,
            t("moves date and cost"),
            0.02,
        )
        for one in USUAL
    ]
    return tuple(found)


QUESTION = Question(
    name="offer",
    title=later("Answer an enquiry"),
    lead="",
    button=later("Can I promise this?"),
    help="An enquiry answered: what to buy, the date kept so often, the cost with its spread, the price.",
    kind="an enquiry answered",
    asks=Way(Enquired, work, tell, None, assume, called=later("Bottles of a product")),
    instead=INSTEAD,
    sentences=(
        Sentence(
            "say",
            'Say what would be assumed: --say "loss-on-drying=8.1 ± 0.4".',
            tuple(one.name for one in Enquired.entries() if one.face.get("unasked")),
            said_by_name,
            many=True,
        ),
    ),
)
