"""What is weighed together into one bottle, as the procedure it is made by: one recipe for every sum that gives masses.

Promises a reagent recipe of one step in which everything is weighed, what stands in the bottle among it. Calculates
nothing.
"""

import re
from collections.abc import Sequence

from stillroom.records.procedures import Line, Procedure, Step
from stillroom.texts.catalogue import t

MADE = "reagent"
"""Name of what the step of a recipe gives."""
WATER = "purified water"
LONGEST_CODE = 40
FEWEST = 2
"""Parts of a mixture."""
LEAST_G = 0.0005
"""Less than that is nothing on any scale of such a bench. [g]"""


def weighed(mass_g: float) -> str:
    """A mass as a recipe takes it [g]."""
    return f"{mass_g:.6g} g"


def to_the_volume(volume_ml: float) -> str:
    """A volume as a recipe fills up to it [mL]."""
    return f"to {volume_ml:.10g} mL"


def spirit_of(percent: float) -> str:
    """Spirit of a strength as the shelf calls it [% v/v at 20 °C]."""
    return f"spirit {percent:.4g} %"


def mixture(
    makes: str,
    title: str,
    parts: Sequence[tuple[str, str, str]],
    says: str,
    *,
    code: str = "",
    step: str = "",
    ticks: Sequence[str] = (),
    cautions: Sequence[str] = (),
    hands_min: float = 15.0,
    free_min: float = 0.0,
) -> Procedure:
    """The recipe of a mixture.

    Parameters
    ----------
    makes : str
        Substance of the lot it becomes: "spirit 70 %". [text]
    parts : sequence of (str, str, str)
        Each thing's name, substance and amount ("5 g", "to 100 mL"); the last fills up. [text]
    says : str
        What to do. [text]
    code, step : str
        Of the procedure and its one step; from ``makes``, and "mix it", where empty. [text]
    hands_min, free_min : float
        Minutes it takes with hands, and by itself. [min]

    Returns
    -------
    Procedure
        Version 1. [record]
    """
    names = tuple(name for name, _, _ in parts)
    last = names[-1]
    return Procedure(
        code or re.sub(r"[^a-z0-9]+", "-", makes.casefold()).strip("-")[:LONGEST_CODE],
        1,
        title,
        "reagent",
        makes,
        "bulk",
        tuple(
            Line(name, substance, role="q.s." if name == last else "", amount=amount)
            for name, substance, amount in parts
        ),
        (
            Step(
                step or t("mix it"), "mix", says, names, (MADE,), weighs=(*names, MADE), ticks=tuple(ticks),
                cautions=tuple(cautions), hands_min=hands_min, free_min=free_min,
            ),
        ),
    )  # fmt: skip


def spirit_mixed(strength_percent: float, parts: Sequence[tuple[str, str, float]]) -> Procedure | None:
    """The recipe of spirit mixed to a strength, everything weighed; None where there are no two parts.

    Parameters
    ----------
    strength_percent : float
        Of the mixture. [% v/v at 20 °C]
    parts : sequence of (str, str, float)
        Each thing's name, substance and mass; nothing of it leaves it out. [g]
    """
    taken = [(name, of, weighed(mass_g)) for name, of, mass_g in parts if mass_g >= LEAST_G]
    if len(taken) < FEWEST:
        return None
    return mixture(
        spirit_of(strength_percent),
        t("Spirit {strength} % v/v", strength=f"{strength_percent:.4g}"),
        taken,
        t("Weigh it together, let it cool, and read its strength."),
        ticks=(t("No flame and no open element in the room"),),
        cautions=("flammable-vapour", "spirit-law"),
    )
