"""Cautions of a step at its moment: those of its kind that nobody leaves out, then those its procedure names.

Promises that a step that boils never lacks the closed apparatus, and that a solvent with a harmful vapour is named
where it is heated, whatever version of a procedure is followed. Says nothing a procedure did not ask besides.
"""

from collections.abc import Iterable

from stillroom.records.procedures import Step
from stillroom.stream.kinds import KINDS

NEVER_LEFT_OUT = ("closed-apparatus", "vacuum")
HARMFUL_VAPOUR = frozenset({"hexane", "n-hexane", "methanol", "dichloromethane", "chloroform", "toluene"})
"""Solvents whose vapour harms nerves, eyes, heart or breath before it is smelled."""


def harmful(substances: Iterable[str]) -> bool:
    """Whether a solvent among these has a vapour that harms.

    Parameters
    ----------
    substances : iterable of str
        Names of substances or lines. [text]
    """
    said = " ".join(substances).casefold().replace(",", " ").split()
    return not HARMFUL_VAPOUR.isdisjoint(said)


def cautions_of(step: Step, substances: Iterable[str] = ()) -> tuple[str, ...]:
    """Keys of the cautions of a step, what can hurt most first.

    Parameters
    ----------
    step : Step
        With the cautions its procedure names.
    substances : iterable of str
        What the procedure takes from the shelf. [text]

    Returns
    -------
    tuple of str
        Keys of ``reference.cautions``. [text]
    """
    kind = KINDS.get(step.kind)
    brings = kind.cautions if kind else ()
    always = [key for key in NEVER_LEFT_OUT if key in brings]
    if "closed-apparatus" in brings and harmful(substances):
        always.append("harmful-vapour")
    return tuple(dict.fromkeys((*always, *step.cautions)))
