"""An offer on the bench as it stands: the earliest day it leaves, and what it lacks for the work."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from math import ceil

import numpy as np

from stillroom.actions.day.free_bench import lacking, laid_out
from stillroom.actions.day.house_bench import DAY_MIN
from stillroom.documents.offering import OF_THE_DATE
from stillroom.evidence.answer import Answer
from stillroom.planning.offering.calendar import days_of
from stillroom.planning.offering.draws import decided_after
from stillroom.planning.offering.offer import Offer
from stillroom.planning.offering.terms import TESTS, THEIRS, OfferTerms
from stillroom.planning.outcome import StepForecast
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def as_promised(offer: Offer, answers: Mapping[str, Answer]) -> dict[str, Answer]:
    """The figures of an offer without those of a date that cannot be promised."""
    return {key: one for key, one in answers.items() if not (offer.lacks and key in OF_THE_DATE)}


def on_the_bench(
    look: Reader, offer: Offer, steps: Sequence[StepForecast], terms: OfferTerms, now: datetime
) -> Offer:
    """An offer with the earliest day the bench leaves for it, everything as usual.

    Parameters
    ----------
    steps : sequence of StepForecast
        What is worked for it, in order.
    """
    bought = [one for one in offer.buying if one.high_days]
    here_d = max((ceil(terms.supplier_of(one.item).usual_days) for one in bought), default=0)
    has_tests = offer.what in ("product", "own plant")
    if offer.what in ("own plant", "tests"):
        here_d = max(here_d, ceil(terms.supplier_of(THEIRS).usual_days))
    tests_min = round(TESTS.middle * 60.0) if has_tests else 0
    lacks = lacking(look, now, (one.kind for one in steps))
    if lacks:
        offer = replace(offer, lacks=lacks, chance_wanted=None)
    laid = laid_out(look, now, steps, tests_min, here_d * DAY_MIN)
    if not laid:
        unsaid = t(
            "The bench as it stands has no place for this work: look at the day before you promise a date."
        )
        return replace(offer, not_known=(*offer.not_known, unsaid))
    begins = min(one.begins_min for one in laid) // DAY_MIN
    ends = max(one.ends_min for one in laid)
    decided = float(ends) if offer.what in ("reagent", "dilution") else decided_after(float(ends), terms)
    return replace(offer, begins_in_days=int(begins), earliest_days=int(days_of(np.asarray(decided))))
