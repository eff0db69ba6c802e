"""Spirit and water to weigh for a wanted strength: masses first, because volumes shrink when they meet.

Promises that mass and ethanol close exactly; volumes are those of each liquid at the temperature given. The
naive answer (fill up the volume with as much water as is missing) is worked too, so that its error can be
shown. Weak spirit grows a little when diluted further, so a contraction may be slightly negative.
"""

from dataclasses import dataclass
from typing import Generic, cast

from stillroom.science.arrays import N, array, like_given, refuse_not_positive
from stillroom.science.liquids.density import DensityTable, density_kg_m3
from stillroom.science.liquids.strength import (
    mass_fraction_from_volume_fraction,
    refuse_stronger,
    volume_fraction_from_mass_fraction,
)


@dataclass(frozen=True, slots=True)
class Dilution(Generic[N]):
    """What to weigh, what it measures at its temperature, and what the naive answer would have given."""

    have_volume_fraction_20c: float
    want_volume_fraction_20c: float
    temperature_c: float
    have_mass_fraction: float
    want_mass_fraction: float
    stock_mass_g: N
    water_mass_g: N
    product_mass_g: N
    ethanol_mass_g: N
    stock_volume_ml: N
    water_volume_ml: N
    product_volume_ml: N
    contraction_ml: N
    naive_water_ml: N
    naive_volume_ml: N
    naive_volume_fraction_20c: N


def dilute_to_volume(
    have_volume_fraction_20c: float,
    want_volume_fraction_20c: float,
    volume_ml: N | float,
    temperature_c: float,
    table: DensityTable,
) -> Dilution[N]:
    """Spirit and water for a wanted volume of a wanted strength.

    Parameters
    ----------
    have_volume_fraction_20c : float
        Strength of the spirit at hand, by volume at 20 °C [1].
    want_volume_fraction_20c : float
        Strength wanted, by volume at 20 °C [1].
    volume_ml : float or array
        Volume wanted, at the liquid's temperature [mL].
    temperature_c : float
        Temperature of spirit, water and mixture [°C].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    Dilution
        Masses, volumes, contraction and the naive answer.

    Raises
    ------
    OutsideModel
        When the wanted strength exceeds the spirit's, or strength or temperature lie outside the table.
    BadEntry
        When the volume is not above zero.

    Notes
    -----
    m = V rho(p_want, t); ethanol m p_want; stock m p_want / p_have; water is the rest.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> dilute_to_volume(0.963, 0.50, 1000.0, 20.0, oiml_r22()).stock_volume_ml  # bp-1988, from-memory
    519.

    References
    ----------
    oiml-r22-1975
    """
    wanted = array(volume_ml)
    refuse_not_positive("The volume wanted", wanted, "mL")
    want: float = mass_fraction_from_volume_fraction(want_volume_fraction_20c, table)
    product: float = density_kg_m3(want, temperature_c, table)
    mass = like_given(wanted * product / 1000.0)
    return _diluted(have_volume_fraction_20c, want_volume_fraction_20c, cast(N, mass), temperature_c, table)


def dilute_from_stock(
    have_volume_fraction_20c: float,
    want_volume_fraction_20c: float,
    stock_mass_g: N | float,
    temperature_c: float,
    table: DensityTable,
) -> Dilution[N]:
    """Water for all of the spirit at hand.

    Parameters
    ----------
    have_volume_fraction_20c : float
        Strength of the spirit at hand, by volume at 20 °C [1].
    want_volume_fraction_20c : float
        Strength wanted, by volume at 20 °C [1].
    stock_mass_g : float or array
        Mass of the spirit at hand [g].
    temperature_c : float
        Temperature of spirit, water and mixture [°C].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    Dilution
        Masses, volumes, contraction and the naive answer.

    Raises
    ------
    OutsideModel
        When the wanted strength is zero or exceeds the spirit's, or anything lies outside the table.
    BadEntry
        When the mass is not above zero.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> from_90, to_45 = 0.90018, 0.45073  # the strengths of the table are by volume at 15 °C
    >>> dilute_from_stock(from_90, to_45, 83.344, 15.0, oiml_r22()).water_volume_ml  # gay-lussac-table, second-hand
    105.34

    References
    ----------
    oiml-r22-1975
    """
    stock = array(stock_mass_g)
    refuse_not_positive("The spirit at hand", stock, "g")
    refuse_not_positive("The strength wanted", array(want_volume_fraction_20c), "1")
    have: float = mass_fraction_from_volume_fraction(have_volume_fraction_20c, table)
    want: float = mass_fraction_from_volume_fraction(want_volume_fraction_20c, table)
    mass = like_given(stock * have / want)
    return _diluted(have_volume_fraction_20c, want_volume_fraction_20c, cast(N, mass), temperature_c, table)


def stock_and_water_g(
    product_mass_g: N | float, have_mass_fraction: N | float, want_mass_fraction: N | float
) -> tuple[N, N]:
    """Spirit and water that together are so much of a wanted strength; plan, sheet and answer all use this.

    Parameters
    ----------
    product_mass_g : float or array
        Mixture wanted [g].
    have_mass_fraction : float or array
        Ethanol by mass in the spirit at hand [1].
    want_mass_fraction : float or array
        Ethanol by mass in the mixture wanted [1].

    Returns
    -------
    tuple of two floats or arrays
        Spirit and water; water is negative where the spirit is too weak [g].

    Notes
    -----
    stock = m p_want / p_have; water is the rest.

    Examples
    --------
    >>> stock_and_water_g(100.0, 0.9, 0.45)
    (50.0, 50.0)
    """
    product, have, want = array(product_mass_g), array(have_mass_fraction), array(want_mass_fraction)
    stock = product * want / have
    return cast(N, like_given(stock)), cast(N, like_given(product - stock))


def _diluted(
    have_volume_fraction_20c: float,
    want_volume_fraction_20c: float,
    product_mass_g: N,
    temperature_c: float,
    table: DensityTable,
) -> Dilution[N]:
    refuse_not_positive("The strength of the spirit at hand", array(have_volume_fraction_20c), "1")
    refuse_stronger(have_volume_fraction_20c, want_volume_fraction_20c)
    have: float = mass_fraction_from_volume_fraction(have_volume_fraction_20c, table)
    want: float = mass_fraction_from_volume_fraction(want_volume_fraction_20c, table)
    stock_density: float = density_kg_m3(have, temperature_c, table)
    water_density: float = density_kg_m3(0.0, temperature_c, table)
    product_density: float = density_kg_m3(want, temperature_c, table)

    product = array(product_mass_g)
    stock, water = (array(one) for one in stock_and_water_g(product, have, want))
    stock_ml, water_ml = stock * 1000.0 / stock_density, water * 1000.0 / water_density
    product_ml = product * 1000.0 / product_density

    naive_water_ml = product_ml - stock_ml
    naive_mass = stock + naive_water_ml * water_density / 1000.0
    naive_fraction = product * want / naive_mass
    naive_ml = naive_mass * 1000.0 / array(density_kg_m3(naive_fraction, temperature_c, table))
    naive_strength = array(volume_fraction_from_mass_fraction(naive_fraction, table))

    return Dilution(
        have_volume_fraction_20c=have_volume_fraction_20c,
        want_volume_fraction_20c=want_volume_fraction_20c,
        temperature_c=temperature_c,
        have_mass_fraction=have,
        want_mass_fraction=want,
        stock_mass_g=cast(N, like_given(stock)),
        water_mass_g=cast(N, like_given(water)),
        product_mass_g=cast(N, like_given(product)),
        ethanol_mass_g=cast(N, like_given(product * want)),
        stock_volume_ml=cast(N, like_given(stock_ml)),
        water_volume_ml=cast(N, like_given(water_ml)),
        product_volume_ml=cast(N, like_given(product_ml)),
        contraction_ml=cast(N, like_given(stock_ml + water_ml - product_ml)),
        naive_water_ml=cast(N, like_given(naive_water_ml)),
        naive_volume_ml=cast(N, like_given(naive_ml)),
        naive_volume_fraction_20c=cast(N, like_given(naive_strength)),
    )
