"""A procedure without its numbers: lines and steps as one short text, so that a trail can carry it.

The numbers stand in the trail as leaves of their own; skeleton and numbers together give the procedure back.
"""

import json
from collections.abc import Mapping

from stillroom.records.procedures import Line, Procedure, Setting, Step

MINUTES = ("hands_min", "watch_min", "free_min")


def skeleton(procedure: Procedure) -> str:
    """Lines and steps of a procedure in one text, without numbers."""
    content = {
        "code": procedure.code,
        "purpose": procedure.purpose,
        "scaled by": procedure.scaled_by,
        "lines": [[one.name, one.substance, one.role, one.percent is not None] for one in procedure.lines],
        "steps": [
            [one.name, one.kind, list(one.takes), list(one.gives), [setting.name for setting in one.settings]]
            for one in procedure.steps
        ],
    }
    return json.dumps(content, ensure_ascii=False, separators=(",", ":"))


def with_numbers(text: str, part: str, numbers: Mapping[str, float]) -> Procedure:
    """The procedure of a skeleton and its numbers.

    Parameters
    ----------
    text : str
        As made by ``skeleton``.
    part : str
        "extraction" or "formula": the beginning of the numbers' names.
    numbers : mapping of str to float
        "part/step/setting" and its value; what is missing is zero, so that a figure may leave out what it
        does not use.
    """
    content = json.loads(text)
    steps = []
    for name, kind, takes, gives, settings in content["steps"]:
        hands, watch, free = (numbers.get(f"{part}/{name}/{minute}", 0.0) for minute in MINUTES)
        values = tuple(Setting(one, numbers.get(f"{part}/{name}/{one}", 0.0), "") for one in settings)
        steps.append(
            Step(
                name,
                kind,
                "",
                tuple(takes),
                tuple(gives),
                values,
                hands_min=hands,
                watch_min=watch,
                free_min=free,
            )
        )
    lines = tuple(
        Line(name, substance, numbers.get(f"{part}/{name}/percent", 0.0) if stated else None, role)
        for name, substance, role, stated in content["lines"]
    )
    return Procedure(
        content["code"], 0, "", content["purpose"], "", content["scaled by"], lines, tuple(steps)
    )
