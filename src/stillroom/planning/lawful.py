"""Before anything is bought, an order is asked whether it is possible and lawful.

The ceiling is the row of the law for the product type and the marker; where no row is found, that is said and
never read as allowed. Local codes and licensed practice come first.
"""

from stillroom.errors import BadEntry, NotAllowed
from stillroom.planning.known import Known
from stillroom.planning.request import PlanRequest
from stillroom.records.procedures import Procedure
from stillroom.reference.tables import Row, row, table
from stillroom.substances.plants import refuse_prohibited
from stillroom.substances.solvents import cleanup_solvent

LIMITS = "limits_eu"


def refuse_unlawful(request: PlanRequest) -> Known:
    """Refuse what may not or cannot be planned; otherwise the ceiling that holds.

    Raises
    ------
    NotAllowed
        The aim lies above the ceiling, no rule is known, or a plant or solvent is prohibited.
    BadEntry
        A figure is negative, or more is declared than aimed for.
    """
    order = request.order
    _must_be_positive("bottles", float(order.units))
    _must_be_positive("mL in a bottle", order.nominal_ml)
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
            raise BadEntry(f"{one.name} cannot be below zero", f"{one.value:g} {one.unit}")
    if order.at_least.percent > order.aim.percent:
        raise BadEntry(
            "No more can be declared than is aimed for",
            f"at least {order.at_least.as_written} and an aim of {order.aim.as_written}",
            "Raise the aim or declare less",
        )
    for strength in (order.aim, order.at_least):
        if strength.reckoned_as != "quinine":
            raise BadEntry(
                "Aim and declared strength must be reckoned as quinine here",
                f"as {strength.reckoned_as}",
                "Restate it as quinine",
            )
    refuse_plants_and_solvents(request.extraction)
    ceiling = ceiling_of(request)
    if order.aim.percent > ceiling.value:
        raise NotAllowed(
            f"The aim must stay at or below the ceiling of {ceiling.value:g} % w/w for {order.product_type}",
            f"{order.aim.percent:g} % w/w",
            f"Aim lower ({ceiling.because})",
        )
    return ceiling


def ceiling_of(request: PlanRequest) -> Known:
    """The most of the active the law allows in this product.

    Raises
    ------
    NotAllowed
        No row is found for the markers and the product type, and none was given.
    """
    for marker in request.extraction.markers:
        cas = row("markers", marker).words("cas")
        for limit in table(LIMITS).rows:
            if limit.words("product_type") == request.order.product_type and cas in limit.words("cas"):
                return _from_row(limit)
    given = [one for one in request.used if one.role == "ceiling"]
    if given:
        return given[0]
    raise NotAllowed(
        "A rule about the active must be known before anything is bought",
        f"none found for {', '.join(request.extraction.markers)} in {request.order.product_type!r}",
        "No rule found is not permission: look it up and enter the ceiling with its source",
    )


def _from_row(limit: Row) -> Known:
    name = f"{LIMITS}/{limit.key}"
    if limit["max_mass_percent"] is None:
        raise NotAllowed(
            "A ceiling in per cent must be known",
            f"{limit.key} gives conditions only",
            "Ask a safety assessor",
        )
    return Known(
        role="ceiling",
        name=name,
        value=limit.number("max_mass_percent"),
        unit="%",
        origin="published",
        because=f"{LIMITS}, {limit.key}",
        sources=(limit.words("source"),),
        basis=f"w/w of the product, {limit.words('basis')}",
    )


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
    refuse_prohibited(lines[extraction.scaled_by].substance)
    for step in extraction.steps:
        if step.kind == "partition":
            for name in step.takes[1:]:
                cleanup_solvent(lines[name].substance if name in lines else name)


def _must_be_positive(what: str, value: float) -> None:
    if not value > 0:
        raise BadEntry("An order's figures must be above zero", f"{value:g} {what}", "Write what was ordered")
