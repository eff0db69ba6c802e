"""Extracts brought to a strength: which of them and how much of each, and the drug–extract ratio that comes of it.

Everything is by mass. The lots are used in their order, the first as far as the strength allows.
"""

from collections.abc import Sequence

import numpy as np

from stillroom.errors import NotEnough, OutsideModel, worded
from stillroom.science.arrays import Floats, array, refuse_negative, refuse_not_positive


def blend_masses(
    contents_percent: Sequence[float], at_hand_g: Sequence[float], wanted_percent: float, mass_g: float
) -> Floats:
    """How much of each extract makes a mass of the wanted strength.

    Parameters
    ----------
    contents_percent : sequence of float
        Strength of each [% w/w].
    at_hand_g : sequence of float
        How much there is of each [g].
    wanted_percent : float
        Strength wanted [% w/w].
    mass_g : float
        How much is wanted [g].

    Returns
    -------
    array
        Of each, in their order; the earlier ones as far as they go [g].

    Raises
    ------
    OutsideModel
        When every extract is weaker, or every one stronger, than is wanted.
    NotEnough
        When together they do not make that mass of that strength.
    BadEntry
        When a strength or a mass is below zero, or nothing is wanted.

    Notes
    -----
    Least sum of the masses weighted by 1, 2, 4 … in their order, under sum m = mass and sum m a = mass times wanted.

    Examples
    --------
    Of 40 % and 30 % equal parts make 35 %:

    >>> blend_masses([40.0, 30.0], [100.0, 100.0], 35.0, 60.0)
    array([30., 30.])
    """
    from scipy.optimize import linprog

    strong, held = array(list(contents_percent)), array(list(at_hand_g))
    refuse_negative("The strength of an extract", strong, "%")
    refuse_negative("What is at hand", held, "g")
    refuse_not_positive("What is wanted", array(mass_g), "g")
    if not strong.min(initial=np.inf) <= wanted_percent <= strong.max(initial=-np.inf):
        raise OutsideModel(
            worded(
                "A blend lies between its weakest and its strongest part, {low:.4g} and {high:.4g} %",
                low=float(strong.min()), high=float(strong.max()),
            ),
            worded("{wanted:.4g} %", wanted=wanted_percent),
            "Add a lot on the other side",
        )  # fmt: skip
    found = linprog(
        2.0 ** np.arange(len(strong)),
        A_eq=np.vstack([np.ones_like(strong), strong - wanted_percent]),
        b_eq=[mass_g, 0.0],
        bounds=[(0.0, one) for one in held],
    )
    if not found.success:
        most_g = most_of_blend_g(contents_percent, at_hand_g, wanted_percent)
        raise NotEnough(
            worded("These lots make {most:.4g} g of that strength at most", most=most_g),
            worded("{wanted:.4g} g wanted", wanted=mass_g),
            "Take less, or add a lot",
        )
    return np.asarray(found.x, dtype=np.float64)


def most_of_blend_g(
    contents_percent: Sequence[float], at_hand_g: Sequence[float], wanted_percent: float
) -> float:
    """The most that can be made of a strength.

    Parameters
    ----------
    contents_percent : sequence of float
        Strength of each [% w/w].
    at_hand_g : sequence of float
        How much there is of each [g].
    wanted_percent : float
        Strength wanted [% w/w].

    Returns
    -------
    float
        Nothing where it lies outside them all [g].

    Examples
    --------
    >>> most_of_blend_g([40.0, 30.0], [100.0, 20.0], 35.0)
    40.0
    """
    over = [(a - wanted_percent, g) for a, g in zip(contents_percent, at_hand_g, strict=True)]
    above = sum(apart * g for apart, g in over if apart > 0.0)
    below = sum(-apart * g for apart, g in over if apart < 0.0)
    even = sum(g for apart, g in over if apart == 0.0)
    bound = min(above, below)

    def taken(side: float) -> float:
        left, found = bound, 0.0
        for apart, g in sorted((abs(a), g) for a, g in over if a * side > 0.0):
            use = min(g, left / apart)
            found, left = found + use, left - use * apart
        return found

    return even + taken(1.0) + taken(-1.0)


def total_drug_extract_ratio(native_ratio: float, other_share: float) -> float:
    """The drug–extract ratio of what stands in the jar, what is no native extract in it counted too.

    Parameters
    ----------
    native_ratio : float
        Dry plant over native extract [g/g].
    other_share : float
        Of the whole that is carrier or another excipient [1].

    Returns
    -------
    float
        Dry plant over the whole [g/g].

    Raises
    ------
    BadEntry
        When the ratio is not above zero.
    OutsideModel
        When the share is not from 0 to below 1.

    Notes
    -----
    DER total = DER native (1 - e), with e the share of excipients.

    Examples
    --------
    >>> total_drug_extract_ratio(5.0, 0.2)
    4.0
    """
    refuse_not_positive("The native ratio", array(native_ratio), "g/g")
    if not 0.0 <= other_share < 1.0:
        raise OutsideModel(
            "A share of excipients lies from 0 to below 1", worded("{share:g}", share=other_share)
        )
    return native_ratio * (1.0 - other_share)
