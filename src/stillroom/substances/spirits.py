"""Spirit as this laboratory reckons it: published density and boiling data, bound to their equations.

``OIML_R22``, ``ETHANOL_WATER_BOILING`` and ``ETHANOL_WATER_HEATS`` are read from the reference on first use.
The other functions are the equations of ``science`` with these tables already in them. Ethanol and water
only: methanol, sugar and extract are not seen.
"""

from collections.abc import Callable
from functools import cache, lru_cache

from stillroom.evidence.formulas import formula
from stillroom.reference.tables import row, table
from stillroom.science.arrays import N
from stillroom.science.extraction.soxhlet_vapour import VapourOver, vapour_over
from stillroom.science.heat.distilling import PureHeats
from stillroom.science.heat.latent import latent_heat_at_j_g
from stillroom.science.liquids.alcoholometer import reading_volume_fraction, true_volume_fraction_20c
from stillroom.science.liquids.boiling import BoilingModel, LiquidVapour
from stillroom.science.liquids.density import DensityTable, density_kg_m3, mass_fraction_from_density
from stillroom.science.liquids.dilution import Dilution, dilute_from_stock, dilute_to_volume
from stillroom.science.liquids.dissolved import pretended_volume_fraction_20c
from stillroom.science.liquids.distilling import StillCurve, still_curve
from stillroom.science.liquids.strength import (
    mass_fraction_from_volume_fraction,
    volume_fraction_from_mass_fraction,
)
from stillroom.substances.rules import rule
from stillroom.substances.water import heat_capacity_of_water_j_g_k, latent_heat_of_water_kj_kg

OIML_R22: DensityTable
ETHANOL_WATER_BOILING: BoilingModel
ETHANOL_WATER_HEATS: PureHeats

SPIRIT_SOURCES = ("oiml-r22-1975",)
BOILING_SOURCES = ("ethanol-water-nrtl-vle-ig", "perry-8-dippr101")
HEAT_SOURCES = ("chemicals-1.5.2", "popiel-wojtkowiak-1998", "watson-1943")
KELVIN = 273.15
ROOM_C, STEAM_C = 20.0, 100.0


@cache
def oiml_r22() -> DensityTable:
    """The international alcoholometric density table.

    Returns
    -------
    DensityTable
        All 54 coefficients, -20 to 40 °C.
    """
    values = {one.key: one.number("value") for one in table("oiml_r22").rows}
    groups = {int(one.number("i")) for one in table("oiml_r22").rows if one["group"] == "C"}
    return DensityTable(
        a=_numbered(values, "A"),
        b=_numbered(values, "B"),
        c=tuple(_numbered(values, f"C{group},") for group in sorted(groups)),
        base_temperature_c=20.0,
        lowest_temperature_c=-20.0,
        highest_temperature_c=40.0,
        source="oiml-r22-1975",
    )


@cache
def ethanol_water_boiling() -> BoilingModel:
    """Boiling of ethanol-water by NRTL.

    Returns
    -------
    BoilingModel
        Checked from 30 to 110 kPa.
    """
    parameter = {one.key: one.number("value") for one in table("ethanol_water_nrtl").rows}
    return BoilingModel(
        ethanol=_liquid_vapour("ethanol"),
        water=_liquid_vapour("water"),
        a12=parameter["a12"],
        a21=parameter["a21"],
        b12_k=parameter["b12"],
        b21_k=parameter["b21"],
        alpha=parameter["alpha"],
        lowest_pressure_pa=30e3,
        highest_pressure_pa=110e3,
        source="ethanol-water-nrtl-vle-ig",
    )


@lru_cache(maxsize=256)
def ethanol_water_heats(boiling_c: float | None = None) -> PureHeats:
    """Latent heats where a mixture boils, and heat capacities on the way there.

    Parameters
    ----------
    boiling_c : float or None
        Boiling point of the mixture; without it the latent heats are those at the boiling points of the pure liquids
        and the heat capacities those at 20 °C. [°C]

    Returns
    -------
    PureHeats
        Of ethanol and of water, in J/g and J/(g K).

    Raises
    ------
    OutsideModel
        It boils below 0 °C.

    Notes
    -----
    A liquid that boils colder takes more heat for each gram: water at 60 °C 2358 J, at 100 °C 2256 J. Water that boils
    above 100 °C is taken as at 100 °C.

    References
    ----------
    chemicals-1.5.2, popiel-wojtkowiak-1998, watson-1943
    """
    ethanol, water = row("liquids", "ethanol"), row("liquids", "water")
    ethanol_j_g, water_j_g = (one.number("latent_heat_kj_kg") for one in (ethanol, water))
    capacity = water.number("heat_capacity_kj_kg_k")
    if boiling_c is not None:
        ethanol_j_g = latent_heat_at_j_g(
            ethanol_j_g,
            ethanol.number("boiling_point_c"),
            boiling_c,
            rule("ethanol-critical-temperature").value,
        )
        water_j_g = latent_heat_of_water_kj_kg(min(boiling_c, STEAM_C))
        capacity = heat_capacity_of_water_j_g_k((ROOM_C + min(boiling_c, STEAM_C)) / 2.0)
    return PureHeats(
        ethanol_latent_j_g=ethanol_j_g,
        water_latent_j_g=water_j_g,
        ethanol_capacity_j_g_k=ethanol.number("heat_capacity_kj_kg_k"),
        water_capacity_j_g_k=capacity,
    )


@lru_cache(maxsize=64)
def spirit_still(pressure_pa: float = 101325.0) -> StillCurve:
    """Rayleigh's curve for a simple still at a pressure, worked once.

    Parameters
    ----------
    pressure_pa : float
        Pressure over the still [Pa].

    Returns
    -------
    StillCurve
        To pass to the functions of ``science.liquids.distilling``.

    Raises
    ------
    OutsideModel
        Outside 30 to 110 kPa.
    """
    return still_curve(pressure_pa, ethanol_water_boiling())


@lru_cache(maxsize=16)
def spirit_vapour(pressure_pa: float = 101325.0) -> VapourOver:
    """What rises from boiling spirit of every strength at a pressure, worked once.

    Parameters
    ----------
    pressure_pa : float
        Pressure of the air [Pa].

    Returns
    -------
    VapourOver
        To pass to ``science.extraction.soxhlet``.

    Raises
    ------
    OutsideModel
        Outside 30 to 110 kPa.
    """
    return vapour_over(pressure_pa, oiml_r22(), ethanol_water_boiling(), ethanol_water_heats())


def spirit_density_kg_m3(ethanol_mass_fraction: N | float, temperature_c: N | float) -> N:
    """Density of spirit [kg/m3] from its strength by mass [1] and its temperature [°C]."""
    return density_kg_m3(ethanol_mass_fraction, temperature_c, oiml_r22())


def spirit_mass_fraction(ethanol_volume_fraction_20c: N | float) -> N:
    """Strength by mass [1] from strength by volume at 20 °C [1]."""
    return mass_fraction_from_volume_fraction(ethanol_volume_fraction_20c, oiml_r22())


def spirit_volume_fraction_20c(ethanol_mass_fraction: N | float) -> N:
    """Strength by volume at 20 °C [1] from strength by mass [1]."""
    return volume_fraction_from_mass_fraction(ethanol_mass_fraction, oiml_r22())


def spirit_mass_fraction_from_density(density_kg_m3: N | float, temperature_c: N | float) -> N:
    """Strength by mass [1] from density [kg/m3] at its temperature [°C]."""
    return mass_fraction_from_density(density_kg_m3, temperature_c, oiml_r22())


def spirit_from_alcoholometer(reading_volume_fraction: N | float, temperature_c: N | float) -> N:
    """True strength by volume at 20 °C [1] from an alcoholometer reading [1] at its temperature [°C]."""
    return true_volume_fraction_20c(reading_volume_fraction, temperature_c, oiml_r22())


def alcoholometer_in_spirit(true_volume_fraction_20c: N | float, temperature_c: N | float) -> N:
    """What an alcoholometer marked at 20 °C shows [1] in spirit of that strength [1] at a temperature [°C]."""
    return reading_volume_fraction(true_volume_fraction_20c, temperature_c, oiml_r22())


def pretended_in_spirit(
    true_volume_fraction_20c: N | float, solids_g_per_100ml: N | float, solids_volume_ml_per_g: float
) -> N:
    """Strength [1] that spirit with solids in it [g/100 mL], each gram filling so much [mL/g], is taken for."""
    return pretended_volume_fraction_20c(
        true_volume_fraction_20c, solids_g_per_100ml, solids_volume_ml_per_g, oiml_r22()
    )


def spirit_mass_fraction_at(ethanol_volume_fraction: N | float, base_temperature_c: float) -> N:
    """Strength by mass [1] from strength by volume [1] meant at another temperature than 20 °C [°C]."""
    return mass_fraction_from_volume_fraction(
        ethanol_volume_fraction, oiml_r22(), base_temperature_c=base_temperature_c
    )


@formula("spirit-to-volume")
def spirit_to_volume(
    have_volume_fraction_20c: float,
    want_volume_fraction_20c: float,
    volume_ml: N | float,
    temperature_c: float,
) -> Dilution[N]:
    """Spirit and water for a wanted volume [mL] of a wanted strength [1], at their temperature [°C]."""
    return dilute_to_volume(
        have_volume_fraction_20c, want_volume_fraction_20c, volume_ml, temperature_c, oiml_r22()
    )


def spirit_from_stock(
    have_volume_fraction_20c: float,
    want_volume_fraction_20c: float,
    stock_mass_g: N | float,
    temperature_c: float,
) -> Dilution[N]:
    """Water for all the spirit at hand [g], down to a wanted strength [1], at their temperature [°C]."""
    return dilute_from_stock(
        have_volume_fraction_20c, want_volume_fraction_20c, stock_mass_g, temperature_c, oiml_r22()
    )


def __getattr__(name: str) -> DensityTable | BoilingModel | PureHeats:
    joined: dict[str, Callable[[], DensityTable | BoilingModel | PureHeats]] = {
        "OIML_R22": oiml_r22,
        "ETHANOL_WATER_BOILING": ethanol_water_boiling,
        "ETHANOL_WATER_HEATS": ethanol_water_heats,
    }
    if name in joined:
        return joined[name]()
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def _numbered(values: dict[str, float], prefix: str) -> tuple[float, ...]:
    numbered = {int(key[len(prefix) :]): value for key, value in values.items() if key.startswith(prefix)}
    return tuple(numbered[k] for k in sorted(numbered))


def _liquid_vapour(substance: str) -> LiquidVapour:
    one = row("vapour_pressure", substance)
    return LiquidVapour(
        substance=substance,
        molar_mass_g_mol=one.number("molar_mass_g_mol"),
        coefficients=(
            one.number("c1"),
            one.number("c2"),
            one.number("c3"),
            one.number("c4"),
            one.number("c5"),
        ),
        lowest_temperature_c=one.number("low_k") - KELVIN,
        highest_temperature_c=one.number("high_k") - KELVIN,
        source=one.words("source"),
    )
