"""From figures to lines: each with its spread, its largest contribution and the answer that opens."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from stillroom.evidence.answer import Answer, reckoned
from stillroom.planning.figures import draws_of, figure, figure_of, keys_of
from stillroom.planning.inputs import all_inputs, both_known, draw_lines, together_of, wanted
from stillroom.planning.outcome import PlanLine
from stillroom.planning.plan_inputs import Known
from stillroom.planning.plan_outline import skeleton
from stillroom.planning.request import PRICE_OF, PlanRequest
from stillroom.planning.route import Chain
from stillroom.planning.stages import Asked
from stillroom.quantities.contributions import contributions
from stillroom.quantities.money import EURO
from stillroom.stream.components import Array

ALWAYS = ("extract_g", "recovery_percent")
"""Told even where it is nothing: an order may be too small for its film and its sample."""
ROUNDING = 1e-12
"""Draws that differ by less, as a share of the largest, do not differ."""


def asked_of(request: PlanRequest, inputs: Mapping[str, Known]) -> Asked:
    """What the stages are reckoned from.

    Parameters
    ----------
    inputs : mapping of str to Known
        By role.
    """
    frozen = tuple((role, one.value, one.uncertainty_in_unit) for role, one in inputs.items())
    lines = draw_lines(inputs.values(), inputs, together_of(request, inputs))
    return Asked(
        frozen, lines, skeleton(request.extraction), skeleton(request.formula), request.seed, request.draws
    )


def inputs_of(request: PlanRequest, plant_g: float | None = None) -> dict[str, Known]:
    """Every input by role; with a charge, that too.

    Parameters
    ----------
    plant_g : float, optional
        Mass of plant of a charge. [g]
    """
    found = all_inputs(request)
    if plant_g is not None:
        found["charge"] = Known(
            "charge",
            "charge/plant",
            plant_g,
            "g",
            origin="reading",
            because="the charge asked about",
            basis="as is",
        )
    return found


def chain_of(request: PlanRequest, inputs: Mapping[str, Known]) -> Chain:
    """The chain of a request, which decides what figures there are and how they are called.

    Parameters
    ----------
    inputs : mapping of str to Known
        By role.
    """
    aim = request.order.aim
    return Chain(
        request.extraction,
        request.formula,
        aim.counted,
        both_known(request),
        "ceiling" in inputs,
        request.currency,
        request.order.content.by_mass,
    )


def lines_of(
    keys: Iterable[str], asked: Asked, inputs: Mapping[str, Known], chain: Chain
) -> tuple[PlanLine, ...]:
    """Lines of a plan or forecast, their leaves made once; what is nothing in every draw is left out.

    Parameters
    ----------
    keys : iterable of str
        Keys of figures.
    inputs : mapping of str to Known
        All inputs, by role.
    chain : Chain
        Names the marker.
    """
    leaves = {role: one.leaf for role, one in inputs.items()}
    priced = any(role.startswith(PRICE_OF) for role in inputs)
    found = (_line_of(key, asked, leaves, chain) for key in keys if priced or figure_of(key).stage != "money")
    return tuple(one for one in found if one.key in ALWAYS or one.low or one.value or one.high)


BESIDE_THE_STARTER = (
    "plant_g",
    "extract_g",
    "recovery_percent",
    "recovered_ethanol_percent",
    "all_stock_spirit_g",
)
"""Figures that are told beside what the starter alone would have said."""


def starter_alone(request: PlanRequest) -> tuple[PlanLine, ...]:
    """A few figures of a plan as they would be without one's own runs; none where nothing is remembered."""
    if not request.remembered:
        return ()
    alone = replace(request, remembered=(), together=())
    inputs = all_inputs(alone)
    chain = chain_of(alone, inputs)
    there = keys_of(chain)
    keys = [key for key in BESIDE_THE_STARTER if key in there]
    return lines_of(keys, asked_of(alone, inputs), inputs, chain)


def _line_of(key: str, asked: Asked, leaves: Mapping[str, Answer], chain: Chain) -> PlanLine:
    one = figure_of(key).about(chain)
    only = asked.only(one.stage)
    values = one.takes(only)
    low, median, high = (float(part) for part in np.percentile(values, (5.0, 50.0, 95.0)))
    draws = draws_of(one.stage, only)
    name, share, r_squared, note = "", 0.0, None, ""
    if draws is not None:
        shared = contributions(values, draws)
        if shared.shares:
            name, share = next(iter(shared.shares.items()))
            r_squared, note = shared.r_squared, shared.note
    unit = chain.currency if one.unit == EURO else one.unit
    answer = reckoned(
        one.label,
        figure,
        unit=unit,
        inputs={role: leaf for role, leaf in leaves.items() if wanted(role, one.stage)},
        fixed={
            "key": key,
            "at": "plan",
            "lines": asked.lines,
            "extraction": only.extraction,
            "formula": only.formula,
            "seed": asked.seed,
            "draws": asked.draws,
        },
        basis=one.basis,
        says=one.says,
        sources=one.sources,
        standard_uncertainty=_spread_of(values),
    )
    return PlanLine(
        key=one.key,
        group=one.group,
        label=one.label,
        unit=unit,
        basis=one.basis,
        value=answer.value,
        median=median,
        low=low,
        high=max(high, answer.value) if one.at == "upper limit" else high,
        largest_input=name,
        largest_share=share,
        r_squared=r_squared,
        note=note,
        says=one.says,
        answer=answer,
    )


def _spread_of(values: Array) -> float:
    """Standard deviation of the draws; nought where they are one figure but for the last digit of a sum."""
    spread = float(np.std(values, ddof=1))
    return spread if spread > ROUNDING * float(np.max(np.abs(values))) else 0.0
