"""PH of a mixture of weak acids, bases and strong ions named in words; rerun by its name."""

from collections.abc import Mapping

from stillroom.evidence.formulas import formula
from stillroom.science.solutions.acidity import Acidity, solve_acidity
from stillroom.substances.acids import protolyte

CATIONS, ANIONS = "positive ions", "negative ions"
CATION_NAMES = ("sodium", "potassium", "sodium hydroxide", "potassium hydroxide")
ANION_NAMES = ("chloride", "nitrate", "hydrochloric acid", "nitric acid")


@formula("mixture-ph", takes_named_inputs=True)
def ph_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """PH of a mixture. [1].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Name of each weak acid or base, ``CATIONS`` or ``ANIONS``, and how much with its doubt. [mol/L]
    """
    return float(_solved(inputs).ph)


@formula("mixture-ionic-strength", takes_named_inputs=True)
def ionic_strength_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """Ionic strength of a mixture. [mol/L].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        As in ``ph_of``. [mol/L]
    """
    return float(_solved(inputs).ionic_strength_mol_l)


def _solved(inputs: Mapping[str, tuple[float, float]]) -> Acidity:
    weak = {name: value for name, (value, _) in inputs.items() if name not in (CATIONS, ANIONS)}
    ions = {name: inputs.get(name, (0.0, 0.0))[0] for name in (CATIONS, ANIONS)}
    return solve_acidity([protolyte(name) for name in weak], list(weak.values()), ions[CATIONS], ions[ANIONS])
