"""What one more assay, one more charge, 10 % more plant would change, in money and chance."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from stillroom.planning.offering.draws import Drawn, Otherwise, draw
from stillroom.planning.offering.offer import Changed
from stillroom.planning.offering.terms import OfferTerms
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.texts.catalogue import later

ASSAY_H = 1.0
"""Hands of one assay, three titrations and a blank; common practice, no source. [h]"""
PLANT_ASSAYED = 0.03
"""Standard uncertainty of an assay of a plant, as a share of it; common practice, no source. [1]"""
CHANGES: Mapping[str, str] = {
    "plant": later("10 % more plant in the charge"),
    "charge": later("one more charge from the start"),
    "assay": later("one more assay of the extract"),
    "plant assay": later("the plant assayed before it is bought"),
}
"""Each change and its words."""


def changes_of(
    request: PlanRequest, terms: OfferTerms, to_buy: tuple[str, ...], now: Drawn, days_promised: int
) -> tuple[Changed, ...]:
    """What each change would do, the same draws beneath.

    Parameters
    ----------
    to_buy : tuple of str
        Keys of the lines that are not on the shelf.
    now : Drawn
        As it is planned.
    days_promised : int
        [d]
    """
    found = {
        "plant": draw(request, terms, to_buy, Otherwise(plant_factor=1.1)),
        "charge": draw(request, terms, to_buy, Otherwise(charges=2)),
        "assay": draw(twice_assayed(request), terms, to_buy, Otherwise(more_tests_h=ASSAY_H)),
    }
    told = [_changed(what, one, now, days_promised) for what, one in found.items()]
    known = plant_assayed(request)
    if known is not None:
        told.append(_after_an_assay(request, known, terms, to_buy, now, days_promised))
    return tuple(told)


def twice_assayed(request: PlanRequest) -> PlanRequest:
    """The request with the extract assayed twice: the doubt of a mean of two is smaller by the root of two."""
    return _with(request, "assay to be taken", lambda one: one.standard_uncertainty / 2**0.5)


def plant_assayed(request: PlanRequest) -> PlanRequest | None:
    """The request once the plant was assayed and had its middle content; None where it is assayed already."""
    one = next(each for each in request.used if each.role == "assay of the plant")
    if one.uncertainty_in_unit <= PLANT_ASSAYED * one.value or one.origin == "reading":
        return None
    share = PLANT_ASSAYED if one.spread == "lognormal" else PLANT_ASSAYED * one.value
    return _with(request, one.role, lambda _: share)


def _after_an_assay(
    request: PlanRequest,
    known: PlanRequest,
    terms: OfferTerms,
    to_buy: tuple[str, ...],
    now: Drawn,
    days_promised: int,
) -> Changed:
    """The plant is bought for the content found: so much less where it is rich, more where it is poor."""
    tested = draw(known, terms, to_buy, Otherwise(more_tests_h=ASSAY_H))
    found = _changed("plant assay", tested, now, days_promised)
    one = next(each for each in request.used if each.role == "assay of the plant")
    wide = np.log1p((one.uncertainty_in_unit / one.value) ** 2)
    more = float(np.exp(wide / 2.0)) - 1.0
    bought = sum(float(np.mean(tested.costs.get(item, np.zeros(1)))) for item in ("plant", "stock spirit"))
    return replace(found, cost=found.cost + more * bought)


def _changed(what: str, one: Drawn, now: Drawn, days_promised: int) -> Changed:
    def points(after: object, before: object) -> float:
        return 100.0 * (float(np.mean(np.asarray(after))) - float(np.mean(np.asarray(before))))

    return Changed(
        what,
        float(np.mean(one.cost) - np.mean(now.cost)),
        points(one.enough, now.enough),
        points(one.strong, now.strong),
        points(one.days <= days_promised, now.days <= days_promised),
        float(np.median(one.days) - np.median(now.days)),
    )


def _with(request: PlanRequest, role: str, doubt: Callable[[Known], float]) -> PlanRequest:
    known: tuple[Known, ...] = tuple(
        replace(one, standard_uncertainty=doubt(one)) if one.role == role else one for one in request.used
    )
    return replace(request, known=known)
