"""Sums too plain for a part of the trade: added up, taken away, the least, a mass as a volume, a price by the gram."""

from collections.abc import Mapping

from stillroom.evidence.formulas import formula


@formula("sum", takes_named_inputs=True)
def sum_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """The sum of several figures. [their unit].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Figures with their doubts. [their unit]
    """
    return sum(value for value, _ in inputs.values())


@formula("in-percent")
def in_percent(share: float) -> float:
    """A share in per cent. [%].

    Parameters
    ----------
    share : float
        [1]
    """
    return 100.0 * share


@formula("difference")
def less(from_this: float, this: float) -> float:
    """One figure less another. [their unit].

    Parameters
    ----------
    from_this, this : float
        [their unit]
    """
    return from_this - this


@formula("least", takes_named_inputs=True)
def least_of(inputs: Mapping[str, tuple[float, float]]) -> float:
    """The least of several figures. [their unit].

    Parameters
    ----------
    inputs : mapping of str to (float, float)
        Figures with their doubts. [their unit]
    """
    return min(value for value, _ in inputs.values())


@formula("mass-of-volume")
def mass_of_ml_g(volume_ml: float, density_g_ml: float) -> float:
    """Mass of a volume.

    Parameters
    ----------
    volume_ml : float
        Volume. [mL]
    density_g_ml : float
        Density. [g/mL]

    Returns
    -------
    float
        Mass. [g]
    """
    return volume_ml * density_g_ml


@formula("volume-of-mass")
def volume_of_g_ml(mass_g: float, density_g_ml: float) -> float:
    """Volume of a mass.

    Parameters
    ----------
    mass_g : float
        Mass. [g]
    density_g_ml : float
        Density. [g/mL]

    Returns
    -------
    float
        Volume. [mL]
    """
    return mass_g / density_g_ml


@formula("water-in-plant")
def water_g(mass_g: float, water_percent: float) -> float:
    """Water in a mass of fresh plant. [g].

    Parameters
    ----------
    mass_g : float
        [g]
    water_percent : float
        [% w/w]
    """
    return mass_g * water_percent / 100.0


@formula("price-per-gram")
def price_per_g(price: float, grams: float) -> float:
    """A price for each gram. [money/g].

    Parameters
    ----------
    price : float
        Of so many grams. [money]
    grams : float
        [g]
    """
    return price / grams
