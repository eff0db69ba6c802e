"""Every number a plan uses, as a leaf with a role and a global name, in the order of its stages.

A *stage* is a part of the plan that needs only some inputs: filling the bottles, the supply, the charge, the
money. A figure of an early stage does not carry the inputs of a late one.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace

from stillroom.planning.known import Known, from_setting
from stillroom.planning.lawful import ceiling_of
from stillroom.planning.request import PlanRequest
from stillroom.planning.skeleton import MINUTES
from stillroom.records.procedures import Procedure
from stillroom.reference.tables import row

FILLING = (
    "order/bottles",
    "order/nominal content",
    "order/how sure",
    "kept back",
    "strength of the stock spirit",
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
    "molar mass of quinine",
    "molar mass of cinchonine",
)
CONTENT = ("order/declared", "ceiling", "scale step", "weighing of the dose")
HOUSE = ("tap water rise", "spares")


def all_inputs(request: PlanRequest) -> dict[str, Known]:
    """Every input of the plan by its role.

    Parameters
    ----------
    request : PlanRequest
    """
    order = request.order
    where = f"order {order.code}"
    strength = f"w/w {order.aim.of} as {order.aim.reckoned_as}, of the product"
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
            "order/nominal content",
            f"{where}/nominal content",
            order.nominal_ml,
            "mL",
            origin="reading",
            because=where,
            basis="at 20 °C",
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
    stated += [_molar_mass("quinine"), _molar_mass("cinchonine")]
    found = {one.role: one for one in stated}
    found |= {one.role: one for one in request.used}
    found["ceiling"] = ceiling_of(request)
    found |= {one.role: one for one in _of_procedure("extraction", request.extraction)}
    found |= {one.role: one for one in _of_procedure("formula", request.formula)}
    assay = found.pop("assay of the plant")
    found[assay_role(request)] = assay
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


def assay_role(request: PlanRequest) -> str:
    """Role of the plant's assay, its basis in the name so that a trail carries it."""
    return f"assay of the plant, as {request.assay_reckoned_as}, {request.assay_matter}"


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
    filling = role in FILLING or (role.startswith("formula/") and not minute)
    if stage == "filling":
        return filling
    if stage == "packaging":
        return role in ("order/bottles", "kept back", "spares")
    supply = filling or role in SUPPLY or role.startswith("assay of the plant")
    supply = supply or (role.startswith("extraction/") and not minute)
    if stage == "supply":
        return supply
    if stage == "content":
        return supply or role in CONTENT
    house = supply or role in HOUSE or minute
    if stage == "house":
        return house
    return house or role.startswith("price of")


def draw_lines(inputs: Iterable[Known], roles: Iterable[str]) -> str:
    """Role, spread and global name of every input that varies, as one text for the trail."""
    lines = {
        role: [one.spread, one.name]
        for role, one in zip(roles, inputs, strict=True)
        if one.spread != "fixed" and one.standard_uncertainty > 0
    }
    return json.dumps(lines, ensure_ascii=False, separators=(",", ":"))


def _molar_mass(marker: str) -> Known:
    found = row("markers", marker)
    return Known(
        f"molar mass of {marker}",
        f"markers/{marker}/molar mass",
        found.number("molar_mass_g_mol"),
        "g/mol",
        origin="published",
        because=f"markers, {marker}",
        sources=(found.words("source"),),
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
