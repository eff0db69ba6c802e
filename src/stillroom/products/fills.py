"""The arithmetic of a filling: masses, bottles, shares.

Plain functions, so that an answer can name them and be reckoned again.
"""

import math

from stillroom.evidence.formulas import formula


@formula("fill-mass")
def fill_mass_g(nominal_ml: float, density_g_ml: float, overfill_percent: float = 0.0) -> float:
    """Mass of a nominal content.

    Parameters
    ----------
    nominal_ml : float
        At 20 °C. [mL]
    density_g_ml : float
        At 20 °C. [g/mL]
    overfill_percent : float
        How much more is filled. [%]

    Returns
    -------
    float
        Mass. [g]
    """
    return nominal_ml * density_g_ml * (1.0 + overfill_percent / 100.0)


@formula("fill-of-mass")
def fill_of_mass_g(nominal_g: float, overfill_percent: float = 0.0) -> float:
    """Mass to fill of a nominal content that is a mass.

    Parameters
    ----------
    nominal_g : float
        [g]
    overfill_percent : float
        How much more is filled. [%]

    Returns
    -------
    float
        Mass. [g]
    """
    return nominal_g * (1.0 + overfill_percent / 100.0)


@formula("possible-bottles")
def possible_bottles(bulk_mass_g: float, fill_mass_g: float) -> float:
    """Bottles that a bulk could give.

    Parameters
    ----------
    bulk_mass_g, fill_mass_g : float
        Bulk and content of one bottle. [g]

    Returns
    -------
    float
        Not rounded. [pieces]
    """
    return bulk_mass_g / fill_mass_g


@formula("filling-yield")
def fill_yield_percent(units: float, possible_units: float) -> float:
    """Share of the possible bottles that was filled.

    Parameters
    ----------
    units, possible_units : float
        Filled and possible. [pieces]

    Returns
    -------
    float
        Yield. [%]
    """
    return 100.0 * units / possible_units


@formula("tolerable-error")
def share_rounded_up(nominal: float, error_percent: float) -> float:
    """A tolerable error given as a share, rounded up to the next tenth.

    Parameters
    ----------
    nominal : float
        Nominal content. [mL or g]
    error_percent : float
        Share of it. [%]

    Returns
    -------
    float
        Error. [mL or g]

    References
    ----------
    directive-76-211
    """
    return math.ceil(nominal * error_percent / 10.0 - 1e-9) / 10.0
