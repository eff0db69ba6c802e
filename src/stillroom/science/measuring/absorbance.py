"""Light absorbed by a solution, and what is dissolved in it: by a line through standards, or by a printed absorptivity.

Promises that of a straight line and no other: a standard above which the line bends, and a compound that absorbs at the
same wavelength as the one looked for, cannot be seen here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from stillroom.errors import OutsideModel, worded
from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given, refuse_not_positive


@dataclass(frozen=True, slots=True)
class StandardLine:
    """A straight line through standards: what each shows against what is in it."""

    slope_l_mg: float
    """Shown for what is in it [L/mg]."""
    level_absorbance: float
    """Shown where nothing is in it [1]."""
    scatter_absorbance: float
    """One standard deviation of a standard about the line; not a number where two alone draw it [1]."""
    degrees_of_freedom: int
    """Standards less two [1]."""


def line_through_standards(contents_mg_l: Sequence[float], absorbances: Sequence[float]) -> StandardLine:
    """The line by least squares through what standards show.

    Parameters
    ----------
    contents_mg_l : sequence of float
        What is in each, at least two of them different [mg/L].
    absorbances : sequence of float
        What each shows [1].

    Returns
    -------
    StandardLine
        Slope, level and scatter [L/mg, 1, 1].

    Raises
    ------
    OutsideModel
        Fewer than two different contents, or not one reading for each.

    Notes
    -----
    Ordinary least squares; scatter² = Σ residual² / (n - 2).

    Examples
    --------
    >>> line_through_standards([0.0, 0.1, 0.2, 0.3, 0.4, 0.5], [0.0, 12.36, 24.83, 35.91, 48.79, 60.42]).slope_l_mg  # harvey-2000, second-hand
    120.706

    References
    ----------
    harvey-2000
    """  # noqa: E501
    at, read = array(contents_mg_l), array(absorbances)
    if at.shape != read.shape or np.unique(at).size < 2:
        raise OutsideModel(
            "A line needs two standards of different content, each with what it showed",
            worded("{different} different of {count}", different=np.unique(at).size, count=at.size),
            "Measure another standard",
        )
    off = at - at.mean()
    slope = float((off * (read - read.mean())).sum() / (off * off).sum())
    level = float(read.mean() - slope * at.mean())
    freedom = at.size - 2
    residual = read - level - slope * at
    scatter = float(np.sqrt((residual * residual).sum() / freedom)) if freedom else float("nan")
    return StandardLine(slope, level, scatter, freedom)


def content_by_line_mg_l(absorbance: N | float, slope_l_mg: N | float, level_absorbance: N | float) -> N:
    """What is in a solution that shows so much, by the line through standards.

    Parameters
    ----------
    absorbance : float or array
        What it shows [1].
    slope_l_mg : float or array
        Of the line [L/mg].
    level_absorbance : float or array
        What the line shows where nothing is in it [1].

    Returns
    -------
    float or array
        Content [mg/L].

    Raises
    ------
    OutsideModel
        The line does not rise.

    Examples
    --------
    >>> content_by_line_mg_l(29.33, 120.706, 0.209)  # harvey-2000, example 5.11, from-memory
    0.241

    References
    ----------
    harvey-2000
    """
    steep = array(slope_l_mg)
    if not (steep > 0.0).all():
        raise OutsideModel(
            "More in a standard must show more",
            worded("slope {slope:.4g}", slope=float(np.min(steep))),
            "Look whether contents and absorbances of the standards were exchanged, or one was misread",
        )
    return cast(N, like_given(np.asarray((array(absorbance) - array(level_absorbance)) / steep)))


def content_by_absorptivity_mg_l(absorbance: N | float, specific_absorbance: N | float) -> N:
    """What is in a solution, by the absorbance that 1 % of it would have in a cell of 1 cm.

    Parameters
    ----------
    absorbance : float or array
        In a cell of 1 cm [1].
    specific_absorbance : float or array
        A(1 %, 1 cm): of 1 g in 100 mL [1].

    Returns
    -------
    float or array
        Content [mg/L].

    Raises
    ------
    BadEntry
        The specific absorbance is not above zero.

    Notes
    -----
    c = 10 000 A / A(1 %, 1 cm) in mg/L.

    Examples
    --------
    >>> content_by_absorptivity_mg_l(1.607, 1607.0)  # directive-2008-128, E 100: curcumin at 426 nm, second-hand
    10.0

    References
    ----------
    directive-2008-128
    """
    specific = array(specific_absorbance)
    refuse_not_positive("The specific absorbance", specific, "1")
    return cast(N, like_given(np.asarray(1e4 * array(absorbance) / specific)))


@formula("specific-absorbance")
def specific_absorbance(molar_absorptivity_l_mol_cm: N | float, molar_mass_g_mol: N | float) -> N:
    """A(1 %, 1 cm) from a molar absorptivity.

    Parameters
    ----------
    molar_absorptivity_l_mol_cm : float or array
        [L/(mol cm)].
    molar_mass_g_mol : float or array
        [g/mol].

    Returns
    -------
    float or array
        A(1 %, 1 cm) [1].

    Raises
    ------
    BadEntry
        A figure is not above zero.

    Notes
    -----
    A(1 %, 1 cm) = 10 ε / M.

    Examples
    --------
    >>> round(specific_absorbance(59200.0, 368.39))  # directive-2008-128, E 100: 1607, second-hand
    1607

    References
    ----------
    directive-2008-128
    """
    molar, mass = array(molar_absorptivity_l_mol_cm), array(molar_mass_g_mol)
    refuse_not_positive("The molar absorptivity", molar, "L/(mol cm)")
    refuse_not_positive("The molar mass", mass, "g/mol")
    return cast(N, like_given(np.asarray(10.0 * molar / mass)))
