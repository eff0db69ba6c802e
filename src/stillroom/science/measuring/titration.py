"""Titration of a base: from burette or squeeze-bottle readings to milligrams and content.

Promises the stoichiometry and nothing else: one mole of titrant to one mole of base. Which compound the
milligrams are expressed as is the molar mass's choice and must be said beside the number.
"""

from typing import cast

import numpy as np
from numpy.typing import ArrayLike

from stillroom.evidence.formulas import formula
from stillroom.science.arrays import (
    Floats,
    N,
    array,
    like_given,
    refuse_negative,
    refuse_not_positive,
    refuse_outside,
)


@formula("back-titrated")
def back_titrated_mass_mg(
    blank_ml: N | float,
    sample_ml: N | float,
    concentration_mol_l: N | float,
    factor: N | float,
    molar_mass_g_mol: N | float,
) -> N:
    """Base found by titrating the acid it left over.

    Parameters
    ----------
    blank_ml : float or array
        Titrant for the same acid without sample [mL].
    sample_ml : float or array
        Titrant for the acid the sample left [mL].
    concentration_mol_l : float or array
        Nominal concentration of the titrant [mol/L].
    factor : float or array
        True over nominal concentration [1].
    molar_mass_g_mol : float or array
        Molar mass of the compound the result is expressed as [g/mol].

    Returns
    -------
    float or array
        Base found [mg].

    Raises
    ------
    BadEntry
        When a reading is negative, or a constant is not above zero.

    Notes
    -----
    m = (V_blank - V_sample) c f M for a base that takes one proton; below zero where the sample took more.

    Examples
    --------
    >>> back_titrated_mass_mg(20.0, 19.0, 0.02, 1.0, 289.4)  # Ph. Eur., belladonna leaf, from-memory
    5.788

    References
    ----------
    bp-sodium-hydroxide-vs
    """
    blank, sample = array(blank_ml), array(sample_ml)
    return cast(N, _mass_mg(blank - sample, blank, sample, concentration_mol_l, factor, molar_mass_g_mol))


@formula("titrated")
def titrated_mass_mg(
    sample_ml: N | float,
    blank_ml: N | float,
    concentration_mol_l: N | float,
    factor: N | float,
    molar_mass_g_mol: N | float,
) -> N:
    """Base found by titrating it directly.

    Parameters
    ----------
    sample_ml : float or array
        Titrant for the sample [mL].
    blank_ml : float or array
        Titrant for everything but the sample [mL].
    concentration_mol_l : float or array
        Nominal concentration of the titrant [mol/L].
    factor : float or array
        True over nominal concentration [1].
    molar_mass_g_mol : float or array
        Molar mass of the compound the result is expressed as [g/mol].

    Returns
    -------
    float or array
        Base found [mg].

    Raises
    ------
    BadEntry
        When a reading is negative, or a constant is not above zero.

    Notes
    -----
    m = (V_sample - V_blank) c f M for a base that takes one proton; below zero where the blank took more.

    Examples
    --------
    >>> titrated_mass_mg(1.0, 0.0, 0.1, 1.0, 121.14)  # Ph. Eur., trometamol, from-memory
    12.11

    References
    ----------
    bp-sodium-hydroxide-vs
    """
    sample, blank = array(sample_ml), array(blank_ml)
    return cast(N, _mass_mg(sample - blank, blank, sample, concentration_mol_l, factor, molar_mass_g_mol))


def content_fraction(found_mass_mg: N | float, sample_mass_g: N | float) -> N:
    """Content of a sample from the milligrams found in it.

    Parameters
    ----------
    found_mass_mg : float or array
        Found in the sample [mg].
    sample_mass_g : float or array
        Sample weighed in [g].

    Returns
    -------
    float or array
        Content by mass, of the sample as weighed [1].

    Raises
    ------
    BadEntry
        When the sample is not above zero.

    Examples
    --------
    >>> content_fraction(50.0, 1.0)
    0.05
    """
    found, sample = array(found_mass_mg), array(sample_mass_g)
    refuse_not_positive("The sample", sample, "g")
    return cast(N, like_given(np.asarray(found / (1000.0 * sample))))


def dried_basis_fraction(as_is_fraction: N | float, loss_on_drying_fraction: N | float) -> N:
    """Content on the dried sample from content as is.

    Parameters
    ----------
    as_is_fraction : float or array
        Content by mass of the sample as it is [1].
    loss_on_drying_fraction : float or array
        Loss on drying of the sample [1].

    Returns
    -------
    float or array
        Content by mass of the dried sample [1].

    Raises
    ------
    OutsideModel
        When the loss on drying is not from 0 to below 1.

    Notes
    -----
    a_dried = a / (1 - LOD).

    Examples
    --------
    >>> dried_basis_fraction(0.063, 0.10)
    0.07

    References
    ----------
    ph-eur-0765
    """
    content, loss = array(as_is_fraction), array(loss_on_drying_fraction)
    refuse_outside("The loss on drying", loss, 0.0, 0.999, "1", source="a share of the whole")
    return cast(N, like_given(np.asarray(content / (1.0 - loss))))


def restated_fraction(
    fraction: N | float, from_molar_mass_g_mol: N | float, to_molar_mass_g_mol: N | float
) -> N:
    """The same moles expressed as another compound.

    Parameters
    ----------
    fraction : float or array
        Content by mass, expressed as the first compound [1].
    from_molar_mass_g_mol : float or array
        Molar mass of the first compound [g/mol].
    to_molar_mass_g_mol : float or array
        Molar mass of the other compound [g/mol].

    Returns
    -------
    float or array
        Content by mass, expressed as the other compound [1].

    Raises
    ------
    BadEntry
        When a molar mass is not above zero.

    Examples
    --------
    >>> restated_fraction(0.06, 300.0, 200.0)
    0.04
    """
    content, first, other = array(fraction), array(from_molar_mass_g_mol), array(to_molar_mass_g_mol)
    refuse_not_positive("The molar mass", first, "g/mol")
    refuse_not_positive("The molar mass", other, "g/mol")
    return cast(N, like_given(np.asarray(content * other / first)))


def titrant_factor(standard_mass_g: N | float, equivalent_mg_ml: N | float, titre_ml: N | float) -> N:
    """Factor of a titrant from a weighed primary standard.

    Parameters
    ----------
    standard_mass_g : float or array
        Primary standard weighed in [g].
    equivalent_mg_ml : float or array
        Standard that one millilitre of titrant of nominal strength takes [mg/mL].
    titre_ml : float or array
        Titrant used [mL].

    Returns
    -------
    float or array
        True over nominal concentration [1].

    Raises
    ------
    BadEntry
        When any of them is not above zero.

    Notes
    -----
    f = 1000 m / (E V).

    Examples
    --------
    >>> 0.1 * titrant_factor(0.3888, 20.42212, 18.64)  # quam-2012, A2, page-opened
    0.10214

    References
    ----------
    bp-sodium-hydroxide-vs
    """
    mass, equivalent, titre = array(standard_mass_g), array(equivalent_mg_ml), array(titre_ml)
    refuse_not_positive("The standard", mass, "g")
    refuse_not_positive("The equivalent", equivalent, "mg/mL")
    refuse_not_positive("The titre", titre, "mL")
    return cast(N, like_given(np.asarray(1000.0 * mass / (equivalent * titre))))


def _mass_mg(
    used_ml: Floats,
    blank_ml: Floats,
    sample_ml: Floats,
    concentration_mol_l: ArrayLike,
    factor: ArrayLike,
    molar_mass_g_mol: ArrayLike,
) -> float | Floats:
    concentration, strength, molar_mass = array(concentration_mol_l), array(factor), array(molar_mass_g_mol)
    refuse_negative("The blank", blank_ml, "mL")
    refuse_negative("The titre", sample_ml, "mL")
    refuse_not_positive("The titrant's concentration", concentration, "mol/L")
    refuse_not_positive("The titrant's factor", strength, "1")
    refuse_not_positive("The molar mass", molar_mass, "g/mol")
    return like_given(np.asarray(used_ml * concentration * strength * molar_mass))
