"""Cautions of a step at its moment: those of its kind that nobody leaves out, then those its procedure names.

Promises that a step that boils never lacks the closed apparatus, and that a solvent with a harmful vapour is named
where it is heated, whatever version of a procedure is followed; and that nobody is warned of spirit where there is only
glycerol or oil. Says nothing a procedure did not ask besides.
"""

from collections.abc import Iterable

from stillroom.records.procedures import Step
from stillroom.stream.kinds import KINDS
from stillroom.substances.carriers import carrier

NEVER_LEFT_OUT = ("closed-apparatus", "vacuum")
HARMFUL_VAPOUR = frozenset({"hexane", "n-hexane", "methanol", "dichloromethane", "chloroform", "toluene"})
"""Solvents whose vapour harms nerves, eyes, heart or breath before it is smelled."""


OF_SPIRIT = ("flammable-vapour", "spirit-law", "methanol")
BURNS = frozenset({"spirit", "ethanol", "alcohol", "isopropanol", "propanol", "acetone", "acetate", "ether"})


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
    kind, substances = KINDS.get(step.kind), tuple(substances)
    brings = kind.cautions if kind else ()
    always = [key for key in NEVER_LEFT_OUT if key in brings]
    if "closed-apparatus" in brings and harmful(substances):
        always.append("harmful-vapour")
    said = dict.fromkeys((*always, *step.cautions))
    return tuple(key for key in said if key not in OF_SPIRIT or not only_stays(substances))


def only_stays(substances: Iterable[str]) -> bool:
    """Whether what a procedure takes is glycerol or a plant oil, and nothing that burns like spirit.

    Parameters
    ----------
    substances : iterable of str
        Names of substances. [text]
    """
    named = tuple(substances)
    words = " ".join(named).casefold().replace(",", " ").split()
    return any(carrier(one) for one in named) and BURNS.isdisjoint(words) and not harmful(named)
