"""What a strength of an acid may mean, each meaning as grams in a millilitre; rerun by its name.

Promises one function for each reading of a percentage, so that none is taken for another. Volumes are at 20 °C.
"""

from stillroom.evidence.formulas import formula
from stillroom.science.solutions.diluting import sulfuric_thinning_heat_j
from stillroom.science.solutions.strength import (
    mass_concentration_g_ml,
    moles_in_a_litre_mol_l,
    solute_mass_fraction,
    solution_density_g_ml,
)
from stillroom.substances.acids import densities_of

WATER_CAPACITY_J_G_K = 4.186
SOLUTE_CAPACITY_J_G_K = 1.5
"""Of strong acid or alkali, round: the warming is an upper bound in any case."""


@formula("solution-density")
def density_of_solution_g_ml(mass_percent: float, *, solute: str) -> float:
    """Density of a solution at 20 °C. [g/mL].

    Parameters
    ----------
    mass_percent : float
        Strength by mass. [% w/w]
    solute : str
        Key of ``acid_solutes``. [text]
    """
    return float(solution_density_g_ml(mass_percent / 100.0, densities_of(solute)))


@formula("solute-by-mass")
def by_mass_g_ml(want_percent: float, *, solute: str) -> float:
    """Grams of the substance itself in 100 g, as grams in a millilitre. [g/mL].

    Parameters
    ----------
    want_percent : float
        [% w/w]
    solute : str
        Key of ``acid_solutes``. [text]
    """
    return float(mass_concentration_g_ml(want_percent / 100.0, densities_of(solute)))


@formula("solute-by-volume")
def by_volume_g_ml(want_percent: float) -> float:
    """Grams of the substance itself in 100 mL, as grams in a millilitre. [g/mL].

    Parameters
    ----------
    want_percent : float
        [% w/v]
    """
    return want_percent / 100.0


@formula("solute-of-bottle-by-volume")
def of_bottle_g_ml(want_percent: float, stock_percent: float, stock_density_g_ml: float) -> float:
    """Millilitres of the bottle's liquid made up to 100 mL, as grams of the substance in a millilitre. [g/mL].

    Parameters
    ----------
    want_percent : float
        Bottle's liquid by volume. [% v/v]
    stock_percent : float
        Strength in the bottle. [% w/w]
    stock_density_g_ml : float
        [g/mL]
    """
    return want_percent / 100.0 * stock_density_g_ml * stock_percent / 100.0


@formula("solute-by-label")
def by_label_g_ml(want_percent: float, stock_percent: float, stock_density_g_ml: float) -> float:
    """The label's percentage thinned as if it were a share by volume (C1 V1 = C2 V2), in grams in a mL. [g/mL].

    Parameters
    ----------
    want_percent : float
        The figure wanted. [%]
    stock_percent : float
        The figure on the label. [% w/w]
    stock_density_g_ml : float
        [g/mL]
    """
    return of_bottle_g_ml(100.0 * want_percent / stock_percent, stock_percent, stock_density_g_ml)


@formula("solute-of-bottle-by-mass")
def bottle_by_mass_g_ml(want_percent: float, stock_percent: float, *, solute: str) -> float:
    """Grams of the bottle's liquid in 100 g, as grams of the substance in a millilitre. [g/mL].

    Parameters
    ----------
    want_percent : float
        Bottle's liquid by mass. [% w/w]
    stock_percent : float
        Strength in the bottle. [% w/w]
    solute : str
        Key of ``acid_solutes``. [text]
    """
    return by_mass_g_ml(want_percent * stock_percent / 100.0, solute=solute)


@formula("solute-by-moles")
def in_moles_g_ml(want_mol_l: float, molar_mass_g_mol: float) -> float:
    """Moles in a litre as grams in a millilitre. [g/mL].

    Parameters
    ----------
    want_mol_l : float
        [mol/L]
    molar_mass_g_mol : float
        [g/mol]
    """
    return want_mol_l * molar_mass_g_mol / 1000.0


@formula("solution-percent")
def mass_percent_of(product_g_ml: float, *, solute: str) -> float:
    """Strength by mass from grams in a millilitre. [% w/w].

    Parameters
    ----------
    product_g_ml : float
        Substance in the solution. [g/mL]
    solute : str
        Key of ``acid_solutes``. [text]
    """
    return 100.0 * float(solute_mass_fraction(product_g_ml, densities_of(solute)))


@formula("bottle-percent-by-titre")
def mass_percent_from_moles(stock_mol_l: float, molar_mass_g_mol: float, *, solute: str) -> float:
    """Strength by mass of a bottle that was titrated. [% w/w].

    Parameters
    ----------
    stock_mol_l : float
        Found by titration. [mol/L]
    molar_mass_g_mol : float
        [g/mol]
    solute : str
        Key of ``acid_solutes``. [text]
    """
    return mass_percent_of(in_moles_g_ml(stock_mol_l, molar_mass_g_mol), solute=solute)


@formula("solution-moles")
def moles_mol_l(product_g_ml: float, molar_mass_g_mol: float) -> float:
    """Moles in a litre. [mol/L].

    Parameters
    ----------
    product_g_ml : float
        Substance in the solution. [g/mL]
    molar_mass_g_mol : float
        [g/mol]
    """
    return float(moles_in_a_litre_mol_l(product_g_ml, molar_mass_g_mol))


@formula("solution-made")
def made_mol_l(
    taken_g: float, stock_percent: float, product_volume_ml: float, molar_mass_g_mol: float
) -> float:
    """What the solution holds when that mass was taken from a bottle of that strength. [mol/L].

    Parameters
    ----------
    taken_g : float
        From the bottle. [g]
    stock_percent : float
        [% w/w]
    product_volume_ml : float
        [mL]
    molar_mass_g_mol : float
        [g/mol]
    """
    return 1000.0 * taken_g * stock_percent / 100.0 / molar_mass_g_mol / product_volume_ml


@formula("solution-made-by-volume")
def measured_mol_l(
    taken_ml: float,
    stock_density_g_ml: float,
    stock_percent: float,
    product_volume_ml: float,
    molar_mass_g_mol: float,
) -> float:
    """What the solution holds when that volume was taken from a bottle of that strength. [mol/L].

    Parameters
    ----------
    taken_ml : float
        From the bottle. [mL]
    stock_density_g_ml : float
        [g/mL]
    stock_percent : float
        [% w/w]
    product_volume_ml : float
        [mL]
    molar_mass_g_mol : float
        [g/mol]
    """
    return made_mol_l(taken_ml * stock_density_g_ml, stock_percent, product_volume_ml, molar_mass_g_mol)


@formula("heat-of-thinning")
def heat_of_thinning_kj(
    solute_g: float, stock_percent: float, product_percent: float, molar_mass_g_mol: float
) -> float:
    """Heat that sulfuric acid gives off when it is thinned. [kJ].

    Parameters
    ----------
    solute_g : float
        Acid itself. [g]
    stock_percent, product_percent : float
        [% w/w]
    molar_mass_g_mol : float
        [g/mol]
    """
    joules = sulfuric_thinning_heat_j(
        solute_g, stock_percent / 100.0, product_percent / 100.0, molar_mass_g_mol
    )
    return float(joules) / 1000.0


@formula("heat-of-dissolving")
def heat_of_dissolving_kj(solute_g: float, molar_mass_g_mol: float, heat_kj_mol: float) -> float:
    """Heat that a solid gives off when it is dissolved. [kJ].

    Parameters
    ----------
    solute_g : float
        [g]
    molar_mass_g_mol : float
        [g/mol]
    heat_kj_mol : float
        Below zero where heat is given off. [kJ/mol]
    """
    return -solute_g / molar_mass_g_mol * heat_kj_mol


@formula("warming")
def warming_k(heat_kj: float, product_g: float, solute_g: float) -> float:
    """How much warmer the solution would grow if it kept the heat. [K].

    Parameters
    ----------
    heat_kj : float
        [kJ]
    product_g, solute_g : float
        [g]
    """
    capacity = (product_g - solute_g) * WATER_CAPACITY_J_G_K + solute_g * SOLUTE_CAPACITY_J_G_K
    return 1000.0 * heat_kj / capacity


@formula("product")
def product_of_g(left: float, right: float) -> float:
    """One figure times another: grams in a millilitre times millilitres. [g].

    Parameters
    ----------
    left : float
        [g/mL]
    right : float
        [mL]
    """
    return left * right


@formula("percent-of-mass")
def share_of_g(mass_g: float, percent: float) -> float:
    """A percentage of a mass. [g].

    Parameters
    ----------
    mass_g : float
        [g]
    percent : float
        [% w/w]
    """
    return mass_g * percent / 100.0


@formula("ratio")
def ratio_of(over: float, under: float) -> float:
    """One figure over another. [as the two say].

    Parameters
    ----------
    over, under : float
        [any]
    """
    return over / under


@formula("solution-poured")
def poured_mol_l(
    want_percent: float,
    stock_percent: float,
    stock_density_g_ml: float,
    molar_mass_g_mol: float,
    *,
    solute: str,
) -> float:
    """What comes of pouring the bottle's share into the rest of 100 mL of water, not filled up to a mark. [mol/L].

    Parameters
    ----------
    want_percent : float
        Millilitres from the bottle beside the rest of 100 mL of water. [mL]
    stock_percent : float
        [% w/w]
    stock_density_g_ml : float
        [g/mL]
    molar_mass_g_mol : float
        [g/mol]
    solute : str
        Key of ``acid_solutes``. [text]
    """
    stock_g = want_percent * stock_density_g_ml
    product_g = stock_g + (100.0 - want_percent) * density_of_solution_g_ml(0.0, solute=solute)
    percent = stock_g * stock_percent / product_g
    volume_ml = product_g / density_of_solution_g_ml(percent, solute=solute)
    return made_mol_l(stock_g, stock_percent, volume_ml, molar_mass_g_mol)
