"""Orders of other plants, markers and ways, invented: an infusion, a maceration, a hydrodistillation."""

from functools import cache

from stillroom.planning.outcome import Plan
from stillroom.planning.plan import plan
from stillroom.planning.request import PlanRequest
from stillroom.quantities.content import Content
from stillroom.records.formula_starters import starting_formula
from stillroom.records.order_from_yaml import stated_strength
from stillroom.records.starters import copy_starter
from tests.planning.practice import order

WAYS = {
    "infusion": ("green tea leaf", "total phenols", "0.20 % w/w total phenols as gallic acid"),
    "maceration": ("rosemary leaf", "rosmarinic acid", "0.010 % w/w rosmarinic acid as rosmarinic acid"),
    "hydrodistillation": ("lavender flower", "linalool", "0.05 % w/w linalool as linalool"),
}

FURTHER = {
    "soxhlet": ("turmeric rhizome", "curcumin", "0.05 % w/w curcumin as curcumin"),
    "reflux": ("willow bark", "salicin", "0.05 % w/w salicin as salicin"),
    "oil-maceration": ("calendula flower", "faradiol esters", "0.002 % w/w faradiol esters as faradiol"),
    "glycerol-maceration": ("ribwort plantain leaf", "aucubin", "0.0005 % w/w aucubin as aucubin"),
}
"""Ways that have tests of their own."""


def asked(
    way: str,
    plant: str = "",
    *,
    base: str = "water",
    each: Content | None = None,
    aim: str = "",
    **changes: object,
) -> PlanRequest:
    """An order of one of the ways, worked out by its starter, in a base of water or another."""
    usual, marker, usual_aim = (WAYS | FURTHER)[way]
    aim = aim or usual_aim
    marker = stated_strength(aim).of if plant and aim != usual_aim else marker
    copied = copy_starter(way, plant or usual, marker, "other-extract")
    extraction = copied if not hasattr(copied, "procedure") else copied.procedure
    formula = starting_formula(
        base, code="lotion", title="Lotion", product_type="skin leave-on", extract=extraction.makes
    )
    wanted = order(
        product="Lotion",
        extraction=extraction.code,
        formula=formula.code,
        product_type="skin leave-on",
        aim=stated_strength(aim),
        at_least=stated_strength(aim.replace(aim.split()[0], f"{0.9 * float(aim.split()[0]):g}", 1)),
        **({"nominal_ml": each.nominal_ml, "nominal_g": each.nominal_g} if each else {}),
    )
    return PlanRequest(wanted, extraction, formula, **changes)  # type: ignore[arg-type]


@cache
def planned(way: str) -> Plan:
    """The plan of a way, with all its doubts."""
    return plan(asked(way))
