"""Every number a plan uses, as a leaf with a role and a global name, in the order of its stages.

A *stage* is a part of the plan that needs only some inputs: filling the bottles, the supply, the charge, the
money. A figure of an early stage does not carry the inputs of a late one.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.planning.assumptions import assumed_for
from stillroom.planning.lawful import ceiling_of
from stillroom.planning.plan_inputs import ALTITUDE, GRIND, Known, from_setting
from stillroom.planning.plan_outline import MINUTES
from stillroom.planning.request import ACTIVE_AT_HAND, PlanRequest
from stillroom.planning.route import LINE, MEAN_OF, both_of, compounds_of, lines_to_buy, other_lines
from stillroom.planning.shelf_inputs import STOCK
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.stream.kind import ALTITUDE_M, MARKER_G_MOL
from stillroom.stream.kinds import KINDS
from stillroom.stream.kinds.fits_the_glass import GLASS
from stillroom.substances.markers import molar_mass

NOMINAL_MASS = "order/nominal mass"
"""Role of what a tin holds that is sold by its mass: no density is needed to fill it."""
FILLING = (
    "order/bottles",
    "order/nominal content",
    NOMINAL_MASS,
    "order/how sure",
    "kept back",
    STOCK,
    "density allowance",
)
SUPPLY = (
    "charge",
    "order/aim",
    "loss on drying",
    "other extractables",
    "strength of the acid",
    "strength of the ammonia",
    "assay to be taken",
    ACTIVE_AT_HAND,
)
COUNTED, REPORTED, MEAN = "molar mass/counted", "molar mass/reported", "molar mass/mean"
"""Roles of molar masses: of what the order counts, of what the assay counts, of the two an assay takes the mean of."""
OF_LINES: dict[str, tuple[str, ...]] = {
    STOCK: ("spirit",),
    "price of stock spirit": ("spirit",),
    "strength of the acid": ("hydrochloric acid",),
    "price of acid": ("hydrochloric acid",),
    "strength of the ammonia": ("ammonia",),
    "price of ammonia": ("ammonia",),
    "price of ethyl acetate": ("ethyl acetate",),
}
"""Inputs that only a line of that substance asks for."""
TOGETHER = "together"
"""Beside the roles of the draw lines: which inputs go together, and how."""
CONTENT = ("order/declared", "ceiling", "scale step", "weighing of the dose")
HOUSE = ("tap water rise", "spares")


def all_inputs(request: PlanRequest) -> dict[str, Known]:
    """Every input of the plan by its role."""
    order = request.order
    where = f"order {order.code}"
    strength = f"w/w {order.aim.counted}, of the product"
    stated = [
        Known(
            "order/bottles",
            f"{where}/bottles",
            float(order.units),
            "bottles",
            origin="reading",
            because=where,
        ),
        Known(
            NOMINAL_MASS if order.content.by_mass else "order/nominal content",
            f"{where}/nominal content",
            order.content.amount,
            order.content.unit,
            origin="reading",
            because=where,
            basis="" if order.content.by_mass else "at 20 °C",
        ),
        Known(
            "order/how sure",
            f"{where}/how sure",
            order.how_sure_percent,
            "%",
            origin="reading",
            because=where,
        ),
        Known(
            "order/aim",
            f"{where}/aim",
            order.aim.percent,
            "%",
            origin="reading",
            because=where,
            basis=strength,
        ),
        Known(
            "order/declared",
            f"{where}/declared",
            order.at_least.percent,
            "%",
            origin="reading",
            because=where,
            basis=strength,
        ),
        Known(
            "kept back",
            "plan/kept back",
            float(request.kept_back_units),
            "bottles",
            because="a retained sample, and what is opened for tests",
        ),
        Known(
            "spares", "plan/spares", request.spares_percent, "%", because="bottles, caps and labels that fail"
        ),
    ]
    stated += _molar_masses(request)
    found = {one.role: one for one in stated}
    found |= {one.role: one for one in request.used if _is_asked_for(one.role, request)}
    ceiling = ceiling_of(request)
    if ceiling is not None:
        found["ceiling"] = ceiling
    found |= {one.role: one for one in _of_procedure("extraction", request.extraction)}
    found |= {one.role: one for one in _of_procedure("formula", request.formula)}
    if COUNTED in found:
        told = _told("extraction", request.extraction, MARKER_G_MOL)
        found |= {role: replace(found[COUNTED], role=role) for role in told}
    house = {ALTITUDE_M: found.pop(ALTITUDE)} | {
        one: found.pop(one) for one in (GRIND, *GLASS) if one in found
    }
    for part, procedure in (("extraction", request.extraction), ("formula", request.formula)):
        for what, known in house.items():
            found |= {role: replace(known, role=role) for role in _told(part, procedure, what)}
    assay = found.pop("assay of the plant")
    found[assay_role(request)] = assay
    found |= {
        one.role: one
        for one in request.remembered
        if one.role in found and found[one.role].origin == "assumed"
    }
    return {role: _with_entry(role, one, request) for role, one in found.items()}


def _with_entry(role: str, one: Known, request: PlanRequest) -> Known:
    """What the order or a procedure states, with the entry it stands in."""
    entries = {
        "order": request.order_entry_no,
        "extraction": request.extraction_entry_no,
        "formula": request.formula_entry_no,
    }
    entry_no = entries.get(role.partition("/")[0])
    if one.origin != "reading" or one.entry_no is not None or entry_no is None:
        return one
    return replace(one, entry_no=entry_no, because=f"entry {entry_no}, {one.because}")


def inputs_of_extraction(
    extraction: Procedure, plant: str, aim: StatedStrength, known: Sequence[Known] = ()
) -> dict[str, Known]:
    """Every input of an extraction by itself, by role: what is known, an assumption for everything else.

    Parameters
    ----------
    plant : str
        Substance that is extracted.
    aim : StatedStrength
        What is counted.
    known : sequence of Known
        What was read, one for each role.
    """
    given = {one.role: one for one in known}
    taken = assumed_for(plant, aim, extraction, "as is")
    found = {
        role: given.get(role, taken[role])
        for role in SUPPLY
        if role in taken and role != "assay to be taken" and _line_asks(role, extraction)
    }
    if _line_asks(STOCK, extraction):
        found[STOCK] = given.get(STOCK, taken[STOCK])
    assay = given.get("assay of the plant", taken["assay of the plant"])
    found[f"assay of the plant, as {aim.reckoned_as}, as is"] = assay
    found |= {one.role: one for one in _of_procedure("extraction", extraction) if wanted(one.role, "supply")}
    height, counted = given.get(ALTITUDE, taken[ALTITUDE]), _molar_mass(COUNTED, aim.reckoned_as)
    found |= {role: replace(height, role=role) for role in _told("extraction", extraction, ALTITUDE_M)}
    if GRIND in given:
        found |= {role: replace(given[GRIND], role=role) for role in _told("extraction", extraction, GRIND)}
    if counted is not None:
        told = _told("extraction", extraction, MARKER_G_MOL)
        found |= {role: replace(counted, role=role) for role in told}
    return found


def assay_role(request: PlanRequest) -> str:
    """Role of the plant's assay, its basis in the name so that a trail carries it."""
    return f"assay of the plant, as {request.assay_as}, {request.assay_matter}"


def only_roles(inputs: Mapping[str, Known], stage: str) -> dict[str, Known]:
    """The inputs a stage needs.

    Parameters
    ----------
    inputs : mapping of str to Known
        All inputs.
    stage : str
        "filling", "supply", "content", "house", "packaging" or "money".
    """
    return {role: one for role, one in inputs.items() if wanted(role, stage)}


def wanted(role: str, stage: str) -> bool:
    """Whether a stage needs the input of that role."""
    minute = role.rpartition("/")[2] in MINUTES
    filling = role in FILLING or role.startswith(STOCK) or (role.startswith("formula/") and not minute)
    if stage == "filling":
        return filling
    if stage == "packaging":
        return role in ("order/bottles", "kept back", "spares")
    supply = filling or role in SUPPLY or role.startswith(("assay of the plant", "molar mass/"))
    supply = supply or (role.startswith("extraction/") and not minute)
    if stage == "supply":
        return supply
    if stage == "content":
        return supply or role in CONTENT
    house = supply or role in HOUSE or minute
    if stage == "house":
        return house
    return house or role.startswith("price of")


def draw_lines(
    inputs: Iterable[Known], roles: Iterable[str], together: Mapping[str, Sequence[float]] | None = None
) -> str:
    """Role, spread and global name of every input that varies, as one text for the trail.

    Parameters
    ----------
    together : mapping of str to sequence of float, optional
        Global name of each input that goes with others, and its row of their correlations. [1]
    """
    lines: dict[str, object] = {
        role: [one.spread, one.name]
        for role, one in zip(roles, inputs, strict=True)
        if one.spread != "fixed" and one.standard_uncertainty > 0
    }
    if together:
        lines[TOGETHER] = together
    return json.dumps(lines, ensure_ascii=False, separators=(",", ":"))


def together_of(request: PlanRequest, inputs: Mapping[str, Known]) -> dict[str, list[float]]:
    """Rows of correlations by the global name of each input that is remembered together with others.

    Parameters
    ----------
    inputs : mapping of str to Known
        By role; one that is no longer remembered goes by itself.
    """
    mine = [at for at, one in enumerate(request.remembered) if inputs.get(one.role) == one]
    return {
        request.remembered[at].name: [request.together[at][other] for other in mine]
        for at in (mine if request.together else ())
    }


def _is_asked_for(role: str, request: PlanRequest) -> bool:
    """Whether a line of the procedures asks for that input; "" stands for any line."""
    if role == "price of other reagents":
        return any(key.startswith(LINE) for key in lines_to_buy(request.extraction))
    if role == "price of formula ingredients":
        return bool(other_lines(request.formula))
    return _line_asks(role, request.extraction) or _line_asks(role, request.formula)


def _line_asks(role: str, procedure: Procedure) -> bool:
    """Whether a line of a procedure asks for that input."""
    starts = OF_LINES.get(role, ("",))
    if role.startswith(f"{STOCK}, "):
        starts = (role.removeprefix(f"{STOCK}, "),)
    return any(line.substance.startswith(starts) for line in procedure.lines)


def _told(part: str, procedure: Procedure, what: str) -> Iterator[str]:
    """Roles of the steps of a procedure that are told something beside their settings."""
    for step in procedure.steps:
        if what in (KINDS[step.kind].told if step.kind in KINDS else ()):
            yield f"{part}/{step.name}/{what}"


def both_known(request: PlanRequest) -> tuple[str, ...]:
    """The two compounds whose mean is worth telling, where the molar mass of each is known; else empty."""
    both = both_of(request.extraction.markers, request.order.aim.reckoned_as, request.assay_as)
    return both if all(_molar_mass(MEAN, one) for one in both) else ()


def _molar_masses(request: PlanRequest) -> list[Known]:
    """Molar masses that restate the assay, or that a step is told.

    Raises
    ------
    BadEntry
        The assay counts another compound, and a molar mass is not known.
    """
    compound, reported = request.order.aim.reckoned_as, request.assay_as
    both = both_known(request)
    told = _told("extraction", request.extraction, MARKER_G_MOL)
    wanted = [(COUNTED, compound)] if both or reported != compound or any(told) else []
    wanted += [(f"{MEAN} {at}", one) for at, one in enumerate(both, start=1)]
    if reported != compound and not reported.startswith(MEAN_OF):
        wanted.append((REPORTED, reported))
    if reported.startswith(MEAN_OF) and not both:
        wanted = [(REPORTED, one) for one in compounds_of(reported)]
    found = []
    for role, name in wanted:
        known = _molar_mass(role, name)
        if known is not None:
            found.append(known)
        elif reported != compound:
            raise BadEntry(
                "Two contents expressed as different compounds need the molar mass of each",
                worded("none is known of {called}", called=name),
                worded(
                    "Enter the marker with its molar mass under Laboratory, or give the assay as {compound}",
                    compound=compound,
                ),
            )
    return found


def _molar_mass(role: str, marker: str) -> Known | None:
    try:
        found = molar_mass(marker)
    except (UnknownName, BadEntry):
        return None
    mine = found.leaf is not None and found.leaf.kind == "reading"
    where = found.leaf.where if found.leaf else ""
    return Known(
        role,
        f"markers/{marker}/molar mass",
        found.value,
        "g/mol",
        origin="reading" if mine else "published",
        because=where,
        entry_no=found.leaf.entry_no if found.leaf else None,
        sources=found.sources,
    )


def _of_procedure(part: str, procedure: Procedure) -> list[Known]:
    where = f"{procedure.code} v{procedure.version}"
    found = []
    for line in procedure.lines:
        if line.percent is not None:
            name = f"{part}/{line.name}/percent"
            full = f"{where}/{line.name}"
            found.append(Known(name, full, line.percent, "%", origin="reading", because=where, basis="w/w"))
    for step in procedure.steps:
        for setting in step.settings:
            role = f"{part}/{step.name}/{setting.name}"
            found.append(from_setting(role, f"{procedure.code}/{step.name}/{setting.name}", setting, where))
        for minute in MINUTES:
            value = float(getattr(step, minute))
            role = f"{part}/{step.name}/{minute}"
            name = f"{where}/{step.name}/{minute}"
            found.append(Known(role, name, value, "min", origin="reading", because=where))
    return found
