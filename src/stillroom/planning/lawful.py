"""Before anything is bought, an order is asked whether it is possible and lawful.

The ceiling is the row of the law for the product type and the marker. Where no row is found the plan goes on and
says so: that is never read as allowed, and the release asks for it. Local codes and licensed practice come first.
"""

from dataclasses import replace

from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.planning.plan_inputs import Known
from stillroom.planning.request import PlanRequest
from stillroom.products.check_lines import CheckLine
from stillroom.products.contained import is_of_another_plant
from stillroom.products.formula_check import lines_about
from stillroom.products.limit_rules import TABLE
from stillroom.products.limits import Ceiling, ceiling
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure
from stillroom.reference.tables import table
from stillroom.stream.kinds import takes_reagent
from stillroom.substances.plants import refuse_prohibited
from stillroom.substances.solvents import cleanup_solvent

STOP_A_PLAN = ("ceiling/", "plant/")
"""Lines that stop a plan; what only the label has to mend is told beside it."""


def refuse_unlawful(request: PlanRequest) -> Known | None:
    """Refuse what may not or cannot be planned; otherwise the ceiling that holds, or None where none is known.

    Raises
    ------
    NotAllowed
        The aim lies above the ceiling, or the marker, a plant or a solvent is prohibited.
    BadEntry
        A figure is negative, aim and declared strength count different things, or more is declared than aimed for.
    """
    order = request.order
    _must_be_positive("bottles", float(order.units))
    _must_be_positive("mL or g in a bottle", order.content.amount)
    _must_be_positive("% as the aim", order.aim.percent)
    _must_be_positive("% declared", order.at_least.percent)
    if request.kept_back_units < 0 or request.spares_percent < 0:
        raise BadEntry("Bottles kept back and spares cannot be below zero", f"{request.kept_back_units}")
    if not 50.0 <= order.how_sure_percent < 100.0:
        raise BadEntry(
            "How sure must lie from 50 to below 100 %", f"{order.how_sure_percent:g} %", "95 % is usual"
        )
    for one in request.used:
        if one.value < 0 or one.standard_uncertainty < 0:
            raise BadEntry(
                worded("{called} cannot be below zero", called=one.name), f"{one.value:g} {one.unit}"
            )
    if order.at_least.percent > order.aim.percent:
        raise BadEntry(
            "No more can be declared than is aimed for",
            worded(
                "at least {as_written} and an aim of {as_written_two}",
                as_written=order.at_least.as_written,
                as_written_two=order.aim.as_written,
            ),
            "Raise the aim or declare less",
        )
    if (order.aim.of, order.aim.reckoned_as) != (order.at_least.of, order.at_least.reckoned_as):
        raise BadEntry(
            "Aim and declared strength must count the same thing",
            worded(
                "{counted} and {counted_two}", counted=order.aim.counted, counted_two=order.at_least.counted
            ),
            worded("Restate both as {reckoned_as}", reckoned_as=order.aim.reckoned_as),
        )
    refuse_plants_and_solvents(request.extraction)
    for line in formula_said(request):
        if line.stops and line.key.startswith(STOP_A_PLAN):
            raise NotAllowed("A product that is planned must be lawful", line.says, line.close)
    most = ceiling_of(request)
    if most is not None and order.aim.percent > most.value:
        raise NotAllowed(
            worded(
                "The aim must stay at or below the ceiling of {most:g} % w/w for {product_type}",
                most=most.value,
                product_type=order.product_type,
            ),
            f"{order.aim.percent:g} % w/w",
            worded("Aim lower ({because})", because=most.because),
        )
    return most


def formula_said(request: PlanRequest) -> tuple[CheckLine, ...]:
    """What a release of the formula will repeat, for the kind of product and the market of the order."""
    order = request.order
    return lines_about(replace(request.formula, product_type=order.product_type), order.market)


def ceiling_of(request: PlanRequest) -> Known | None:
    """The most of the marker the law allows in this product; None where no figure is found.

    Notes
    -----
    What the law's table says comes first; a ceiling that was looked up serves where the table has no figure.

    Raises
    ------
    NotAllowed
        The law does not allow the marker in this kind of product.
    """
    found = rule_of(request.order, request.extraction.markers)
    if found.verdict == "not allowed":
        raise NotAllowed(
            "What is made must be allowed", found.says, "Choose another marker or kind of product"
        )
    if found.limit is not None:
        return Known(
            role="ceiling",
            name=f"{TABLE}/{found.limit_row}",
            value=found.limit.value,
            unit="%",
            origin="published",
            because=f"{TABLE}, {found.limit_row}",
            sources=(found.source,),
            basis=f"w/w of the product, {found.basis}",
        )
    return next((one for one in request.known if one.role == "ceiling"), None)


def no_rule(request: PlanRequest) -> str:
    """What is said where no ceiling is known: one sentence, or "" where there is one."""
    order = request.order
    found = rule_of(order, request.extraction.markers)
    if found.narrower is not None and order.aim.percent > found.narrower.value:
        return found.narrower_says
    if ceiling_of(request) is not None:
        return ""
    if found.verdict == "no rule found":
        what = f"No rule found for {order.aim.of} in {order.product_type} ({order.market})"
        return f"{what}; that is not permission: look it up before release."
    return f"{found.says} A safety assessor has to say what it means here, before release."


def rule_of(order: Order, markers: tuple[str, ...] = ()) -> Ceiling:
    """The rule about what an order counts: as its compound, by its name, or as a marker of its extraction.

    Parameters
    ----------
    markers : tuple of str
        Of the extraction.
    """
    of, compound = order.aim.of, order.aim.reckoned_as
    whole = compound if of == compound else f"{of} as {compound}"
    alone = () if is_of_another_plant(of, compound) else (of,)
    names = dict.fromkeys((whole, compound, *alone, *markers))
    found = [ceiling(name, order.product_type, order.market) for name in names]
    ruled = [one for one in found if one.verdict != "no rule found"]
    forbidding = [one for one in ruled if one.verdict == "not allowed"]
    return (*forbidding, *ruled, *found)[0]


def refuse_plants_and_solvents(extraction: Procedure) -> None:
    """Refuse an extraction of a prohibited plant, or with a solvent that may not be used.

    Raises
    ------
    NotAllowed
        A plant is prohibited, or a solvent is refused.
    """
    lines = {one.name: one for one in extraction.lines}
    if extraction.scaled_by not in lines:
        raise BadEntry("An extraction is scaled by one of its lines", repr(extraction.scaled_by))
    for line in extraction.lines:
        refuse_prohibited(line.substance)
    refused = {one.key for one in table("solvents").rows}
    for line in extraction.lines:
        if line.substance in refused:
            cleanup_solvent(line.substance)
    for step in extraction.steps:
        if takes_reagent(step.kind, "clean-up solvent"):
            for name in step.takes[1:]:
                cleanup_solvent(lines[name].substance if name in lines else name)


def _must_be_positive(what: str, value: float) -> None:
    if not value > 0:
        raise BadEntry("An order's figures must be above zero", f"{value:g} {what}", "Write what was ordered")
