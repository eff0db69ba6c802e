"""The practice order and lot, invented, as a request; and the same with nothing in doubt."""

from dataclasses import replace
from functools import cache
from pathlib import Path

from stillroom.planning.outcome import Plan
from stillroom.planning.plan import plan
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.records.from_yaml import procedure_from_yaml
from stillroom.records.orders import Order, StatedStrength
from stillroom.records.procedures import Procedure

PROCEDURES = Path(__file__).resolve().parents[2] / "src/stillroom/demo/practice"


@cache
def procedure(code: str) -> Procedure:
    name = f"{code}.yaml"
    return procedure_from_yaml((PROCEDURES / name).read_text(), name)


def strength(percent: float) -> StatedStrength:
    return StatedStrength(percent, "total alkaloids", "quinine", f"{percent} % w/w as quinine")


def order(**changes: object) -> Order:
    plain = Order(
        code="A-1",
        customer="K1",
        product="Hair tonic",
        formula="hair-tonic",
        extraction="bark-extract",
        product_type="hair leave-on",
        market="EU",
        units=50,
        nominal_ml=100.0,
        aim=strength(0.100),
        at_least=strength(0.095),
        due="2027-01-15",
    )
    return replace(plain, **changes)


def measured(role: str, name: str, value: float, doubt: float) -> Known:
    return Known(role, name, value, "%", doubt, "normal", "reading", f"{name}, as determined", 9)


LOT = (
    measured("assay of the plant", "lot CIN-01/assay", 7.125, 0.032),
    measured("loss on drying", "lot CIN-01/loss on drying", 9.5, 0.3),
)


def practice_request(**changes: object) -> PlanRequest:
    plain = PlanRequest(
        order=order(),
        extraction=procedure("bark-extract"),
        formula=procedure("hair-tonic"),
        known=LOT,
        assay_reckoned_as="mean of quinine and cinchonine",
        assay_matter="as is",
    )
    return replace(plain, **changes)


@cache
def practice_plan() -> Plan:
    return plan(practice_request())


def without_doubt(request: PlanRequest, draws: int = 64) -> PlanRequest:
    """Every input at its median: one draw is like the next, and figures can be worked by hand."""

    def sure(one: Procedure) -> Procedure:
        steps = tuple(
            replace(
                step,
                settings=tuple(
                    replace(setting, spread="fixed", standard_uncertainty=0.0) for setting in step.settings
                ),
            )
            for step in one.steps
        )
        return replace(one, steps=steps)

    known = tuple(replace(one, spread="fixed", standard_uncertainty=0.0) for one in request.used)
    return replace(
        request, extraction=sure(request.extraction), formula=sure(request.formula), known=known, draws=draws
    )


def with_setting(one: Procedure, step: str, setting: str, **changes: object) -> Procedure:
    steps = tuple(
        replace(
            made,
            settings=tuple(
                replace(number, **changes) if number.name == setting else number for number in made.settings
            ),
        )
        if made.name == step
        else made
        for made in one.steps
    )
    return replace(one, steps=steps)


def with_known(request: PlanRequest, role: str, **changes: object) -> PlanRequest:
    known = tuple(replace(one, **changes) if one.role == role else one for one in request.used)
    return replace(request, known=known)
