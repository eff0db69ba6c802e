"""A density measured in a warm or cool room, brought to 20 °C with what is known of how the liquid expands.

The spirit and water of a product expand as the international alcoholometric formula says; what else is in it is taken
to expand something between pure water and pure ethanol (assumed: fats, glycerin and sugars lie between). Where less
than half is spirit and water, that holds for the whole. The doubt of the assumption goes into the density.
"""

from dataclasses import replace

from stillroom.answers.budget import Stated, stated
from stillroom.answers.density_by_bottle import BottleDensity
from stillroom.evidence.answer import Answer, published, reckoned
from stillroom.evidence.formulas import formula
from stillroom.substances.spirits import SPIRIT_SOURCES, spirit_density_kg_m3

NOMINAL_C = 20.0
MOSTLY = 0.5
"""Share of spirit and water by mass from which their expansion is used. [1]"""


@formula("spirit-expansion")
def spirit_expansion_per_k(ethanol_mass_fraction: float, temperature_c: float) -> float:
    """How much a spirit expands for each kelvin between 20 °C and another temperature.

    Parameters
    ----------
    ethanol_mass_fraction : float
        0 is water, 1 pure ethanol. [1]
    temperature_c : float
        Other than 20 °C. [°C]

    Returns
    -------
    float
        Mean cubic expansion. [1/K]

    Raises
    ------
    OutsideModel
        The formula does not reach this temperature.

    Notes
    -----
    (density at 20 °C / density at T - 1) / (T - 20).

    References
    ----------
    oiml-r22-1975
    """
    cold, warm = (float(spirit_density_kg_m3(ethanol_mass_fraction, at)) for at in (NOMINAL_C, temperature_c))
    return (cold / warm - 1.0) / (temperature_c - NOMINAL_C)


@formula("density-at-20")
def density_20c_g_ml(
    density_g_ml: float,
    temperature_c: float,
    spirit_water_share: float,
    spirit_per_k: float,
    others_per_k: float,
) -> float:
    """Density at 20 °C of a liquid whose density was measured at another temperature.

    Parameters
    ----------
    density_g_ml : float
        As measured. [g/mL]
    temperature_c : float
        It was measured at. [°C]
    spirit_water_share : float
        Spirit and water in it, by mass. [1]
    spirit_per_k, others_per_k : float
        Expansion of these and of the rest. [1/K]

    Returns
    -------
    float
        Density at 20 °C. [g/mL]

    Notes
    -----
    d20 = d (1 + b (T - 20)), b the expansions weighted by mass. Contraction on mixing is left out.
    """
    per_k = spirit_water_share * spirit_per_k + (1.0 - spirit_water_share) * others_per_k
    return density_g_ml * (1.0 + per_k * (temperature_c - NOMINAL_C))


def density_at_20(
    found: BottleDensity, temperature: Answer, spirit_water_share: Answer, ethanol_of_it: Answer
) -> tuple[Stated, str]:
    """A density brought to 20 °C, and one sentence on how.

    Parameters
    ----------
    found : BottleDensity
        As measured. [g/mL]
    temperature : Answer
        Of bottle and liquid. [°C]
    spirit_water_share : Answer
        Spirit and water in the product, by mass. [1]
    ethanol_of_it : Answer
        Ethanol in these, by mass. [1]

    Raises
    ------
    OutsideModel
        The alcoholometric formula does not reach this temperature.
    """
    ends = [spirit_expansion_per_k(at, temperature.value) for at in (0.0, 1.0)]
    others = published(
        "expansion of the rest",
        sum(ends) / 2.0,
        "1/K",
        "anything between that of water and that of ethanol",
        standard_uncertainty=abs(ends[1] - ends[0]) / 12.0**0.5,
        sources=SPIRIT_SOURCES,
        shape="rectangular",
    )
    mostly = spirit_water_share.value >= MOSTLY
    share = (
        spirit_water_share
        if mostly
        else replace(spirit_water_share, value=0.0, name="spirit and water: too little of it to go by")
    )
    spirit = reckoned(
        "expansion of its spirit and water",
        spirit_expansion_per_k,
        unit="1/K",
        inputs={"ethanol_mass_fraction": ethanol_of_it, "temperature_c": temperature},
        says="the international alcoholometric formula",
        sources=SPIRIT_SOURCES,
    )
    answer = reckoned(
        "density",
        density_20c_g_ml,
        unit="g/mL",
        basis="at 20 °C",
        inputs={
            "density_g_ml": found.answer,
            "temperature_c": temperature,
            "spirit_water_share": share,
            "spirit_per_k": spirit,
            "others_per_k": others,
        },
        says="as measured, times its expansion down or up to 20 °C",
        sources=SPIRIT_SOURCES,
    )
    part = (
        f"{100 * spirit_water_share.value:.0f} % of it expands as spirit and water (the alcoholometric formula), "
        "the rest is assumed to lie between water and ethanol"
        if mostly
        else "most of it is neither spirit nor water: it is assumed to expand something between water and ethanol"
    )
    change = 100.0 * (answer.value / found.answer.value - 1.0)
    result = stated(answer)
    says = f"Measured at {temperature.value:g} °C and brought to 20 °C, as a content is meant: {change:+.2f} %; {part}."
    return result, says


@formula("mass-received")
def mass_by_density_g(volume_ml: float, density_g_ml: float, warmth_error: float) -> float:
    """Mass of a volume whose density is known near its temperature. [g].

    Parameters
    ----------
    volume_ml : float
        [mL]
    density_g_ml : float
        At 20 °C. [g/mL]
    warmth_error : float
        Share by which the density at its temperature differs. [1]
    """
    return volume_ml * density_g_ml * (1.0 + warmth_error)
