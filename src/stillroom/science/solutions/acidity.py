"""pH of weak acids and bases, mixtures and many protons included, by charge balance with Davies activities.

Promises the pH a well calibrated meter shows in a dilute solution near 25 °C. The constants given must be those at
zero ionic strength: with conditional constants the activities would be counted twice. Beyond an ionic strength of
about 0.5 mol/L the Davies equation is refused. Sees no complexes, no precipitates and no exchange with the air.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import ArrayLike

from stillroom.errors import OutsideModel
from stillroom.science.arrays import Floats, N, array, like_given, refuse_negative, refuse_outside

DAVIES_A_25C = 0.509
DAVIES_B = 0.3
WATER_PK_25C = 13.995
HIGHEST_IONIC_STRENGTH_MOL_L = 0.5
LOWEST_PH, HIGHEST_PH = -1.0, 15.0
MOST_STEPS = 80
LONGEST_STEP_PH = 2.0
SETTLED_PH = 1e-11
NEAR_PH = 1e-7
LN_10 = float(np.log(10.0))
MOST_ROUNDS = 120
QUICK_ROUNDS = 30
SETTLED_MOL_L = 1e-11


@dataclass(frozen=True, slots=True)
class Protolyte:
    """An acid or base with every proton it can give up in water."""

    name: str
    pka: tuple[float, ...]
    """At zero ionic strength, the strongest acid first [1]."""
    charge_fully_protonated: int
    """Charge with every proton on: 0 for acetic acid, 1 for ammonium [1]."""


@dataclass(frozen=True, slots=True)
class Acidity:
    """A solved solution."""

    ph: float | Floats
    """As a meter shows it: minus the logarithm of the activity [1]."""
    ionic_strength_mol_l: float | Floats
    """Ionic strength [mol/L]."""


def davies_log_activity(charge: int, ionic_strength_mol_l: N | float) -> N:
    """Logarithm of the activity coefficient of an ion, after Davies.

    Parameters
    ----------
    charge : int
        Charge of the ion [1].
    ionic_strength_mol_l : float or array
        Ionic strength of the solution [mol/L].

    Returns
    -------
    float or array
        Logarithm to the base ten; 0 for what has no charge [1].

    Raises
    ------
    OutsideModel
        When the ionic strength is not between 0 and 0.5 mol/L.

    Notes
    -----
    log g = -0.509 z^2 (sqrt I / (1 + sqrt I) - 0.3 I), water at 25 °C.

    Examples
    --------
    >>> 10.0 ** davies_log_activity(1, 0.1)  # davies-1962, from-memory
    0.78

    References
    ----------
    davies-1962
    """
    strength = array(ionic_strength_mol_l)
    refuse_outside(
        "The ionic strength", strength, 0.0, HIGHEST_IONIC_STRENGTH_MOL_L, "mol/L", source="davies-1962",
        do="Make it weaker, or measure the pH",
    )  # fmt: skip
    return cast(N, like_given(-(charge**2) * _davies(strength)))


def solve_acidity(
    protolytes: Sequence[Protolyte],
    totals_mol_l: Sequence[ArrayLike],
    cations_mol_l: ArrayLike = 0.0,
    anions_mol_l: ArrayLike = 0.0,
) -> Acidity:
    """PH of a solution of weak acids and bases with the ions of their salts.

    Parameters
    ----------
    protolytes : sequence of Protolyte
        What is in it [-].
    totals_mol_l : sequence of float or array
        How much of each in all its forms [mol/L].
    cations_mol_l : float or array
        Single positive ions that give no proton: sodium, potassium [mol/L].
    anions_mol_l : float or array
        Single negative ions that take no proton: chloride, nitrate [mol/L].

    Returns
    -------
    Acidity
        pH and ionic strength [1, mol/L].

    Raises
    ------
    BadEntry
        When an amount is negative.
    OutsideModel
        When the ionic strength goes beyond 0.5 mol/L.

    Notes
    -----
    The activity of hydrogen at which all charges sum to nothing is found by Newton's steps inside a bracket;
    ionic strength and activity coefficients are renewed until they stay.

    Examples
    --------
    >>> solve_acidity([Protolyte("boric acid", (9.236,), 0)], [0.04], 0.02).ph  # jis-z-8802, borax, second-hand
    9.18

    References
    ----------
    davies-1962, martell-smith
    """
    cations, anions = array(cations_mol_l), array(anions_mol_l)
    totals = [array(one) for one in totals_mol_l]
    for one in (*totals, cations, anions):
        refuse_negative("An amount in solution", one, "mol/L")
    shape = np.broadcast_shapes(cations.shape, anions.shape, *(one.shape for one in totals))
    strength = np.zeros(shape)
    ph = np.full(shape, 7.0)
    for turn in range(MOST_ROUNDS):
        ph = _ph_at(protolytes, totals, cations - anions, strength, ph)
        renewed = _ionic_strength(protolytes, totals, cations + anions, ph, strength)
        if np.all(np.abs(renewed - strength) <= SETTLED_MOL_L + 1e-9 * renewed):
            _refuse_strong(renewed)
            return Acidity(like_given(ph), like_given(renewed))
        strength = _eased(strength, renewed, turn)
    _refuse_strong(np.maximum(strength, renewed))
    raise OutsideModel("The ionic strength of a solution must settle", "one that does not", "Make it weaker")


def cations_needed_mol_l(
    protolytes: Sequence[Protolyte], totals_mol_l: Sequence[ArrayLike], ph: ArrayLike
) -> float | Floats:
    """Strong base, as sodium, that brings weak acids to a pH; negative where strong acid is needed.

    Parameters
    ----------
    protolytes : sequence of Protolyte
        What is in it [-].
    totals_mol_l : sequence of float or array
        How much of each in all its forms [mol/L].
    ph : float or array
        pH wanted, as a meter shows it [1].

    Returns
    -------
    float or array
        Sodium less chloride [mol/L].

    Raises
    ------
    BadEntry
        When an amount is negative.
    OutsideModel
        When the pH lies outside -1 to 15, or the ionic strength goes beyond 0.5 mol/L.

    Examples
    --------
    >>> phthalic = Protolyte("phthalic acid", (2.95, 5.408), 0)
    >>> cations_needed_mol_l([phthalic], [0.05], 4.005)  # nbs-buffers, second-hand
    0.050

    References
    ----------
    davies-1962, martell-smith
    """
    totals, wanted = [array(one) for one in totals_mol_l], array(ph)
    for one in totals:
        refuse_negative("An amount in solution", one, "mol/L")
    refuse_outside("The pH", wanted, LOWEST_PH, HIGHEST_PH, "1", source="water at 25 °C")
    shape = np.broadcast_shapes(wanted.shape, *(one.shape for one in totals))
    strength, needed = np.zeros(shape), np.zeros(shape)
    for turn in range(MOST_ROUNDS):
        needed = -_charge(protolytes, totals, wanted, strength)[0]
        renewed = _ionic_strength(protolytes, totals, np.abs(needed), wanted, strength)
        if np.all(np.abs(renewed - strength) <= SETTLED_MOL_L + 1e-9 * renewed):
            _refuse_strong(renewed)
            return like_given(needed)
        strength = _eased(strength, renewed, turn)
    _refuse_strong(strength)
    raise OutsideModel("The ionic strength of a solution must settle", "one that does not", "Make it weaker")


def _davies(strength: Floats) -> Floats:
    root = np.sqrt(strength)
    return np.asarray(DAVIES_A_25C * (root / (1.0 + root) - DAVIES_B * strength))


def _eased(strength: Floats, renewed: Floats, turn: int) -> Floats:
    """The next ionic strength to try: the new one, or half way to it where it does not settle by itself."""
    share = 1.0 if turn < QUICK_ROUNDS else 0.5
    return np.asarray(strength + share * (np.minimum(renewed, 2.0) - strength))


def _refuse_strong(strength: Floats) -> None:
    davies_log_activity(1, strength)


def _shares(protolyte: Protolyte, ph: Floats, strength: Floats) -> list[tuple[int, Floats]]:
    """Charge and share of each form, most protons first."""
    davies = _davies(strength)
    charge = protolyte.charge_fully_protonated
    logs = [np.zeros(np.broadcast_shapes(ph.shape, strength.shape))]
    charges = [charge]
    for pka in protolyte.pka:
        # Ka = a(H) g(A) [A] / (g(HA) [HA]), with log g = -z^2 times the Davies term.
        moved = ph - pka + davies * ((charge - 1) ** 2 - charge**2)
        logs.append(logs[-1] + moved)
        charge -= 1
        charges.append(charge)
    stacked = np.stack(logs)
    stacked -= stacked.max(axis=0)
    weights = 10.0**stacked
    return list(zip(charges, weights / weights.sum(axis=0), strict=True))


def _charge(
    protolytes: Sequence[Protolyte], totals: Sequence[Floats], ph: Floats, strength: Floats
) -> tuple[Floats, Floats]:
    """Charge of everything but the strong ions, and how fast it falls with pH."""
    gamma = 10.0 ** -_davies(strength)
    hydrogen, hydroxide = 10.0**-ph / gamma, 10.0 ** (ph - WATER_PK_25C) / gamma
    charge, slope = hydrogen - hydroxide, hydrogen + hydroxide
    for protolyte, total in zip(protolytes, totals, strict=True):
        forms = _shares(protolyte, ph, strength)
        mean = sum((number * share for number, share in forms), start=np.zeros(()))
        square = sum((number**2 * share for number, share in forms), start=np.zeros(()))
        charge = charge + mean * total
        slope = slope + (square - mean**2) * total
    return np.asarray(charge), np.asarray(LN_10 * slope)


def _ph_at(
    protolytes: Sequence[Protolyte], totals: Sequence[Floats], strong: Floats, strength: Floats, guess: Floats
) -> Floats:
    """The pH without charge: Newton's steps, halving the bracket wherever one would leave it."""
    low, high = np.full(strength.shape, LOWEST_PH), np.full(strength.shape, HIGHEST_PH)
    ph = guess
    for _ in range(MOST_STEPS):
        charge, slope = _charge(protolytes, totals, ph, strength)
        charge = charge + strong
        low, high = np.where(charge > 0.0, ph, low), np.where(charge > 0.0, high, ph)
        step = ph + charge / slope
        short = np.abs(step - ph)
        inside = ((step > low) & (step < high) & (short < LONGEST_STEP_PH)) | (short < NEAR_PH)
        renewed = np.where(inside, step, 0.5 * (low + high))
        settled = np.abs(renewed - ph) <= SETTLED_PH
        ph = renewed
        if settled.all():
            break
    return np.asarray(ph)


def _ionic_strength(
    protolytes: Sequence[Protolyte], totals: Sequence[Floats], strong: Floats, ph: Floats, strength: Floats
) -> Floats:
    gamma = 10.0 ** -_davies(strength)
    twice = strong + 10.0**-ph / gamma + 10.0 ** (ph - WATER_PK_25C) / gamma
    for protolyte, total in zip(protolytes, totals, strict=True):
        for number, share in _shares(protolyte, ph, strength):
            twice = twice + number**2 * share * total
    return np.asarray(0.5 * twice)
