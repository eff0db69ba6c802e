"""Old scales of strength: the proof of Britain and that of the United States, each from its own definition.

Both speak of volumes at 60 °F. They differ by a seventh, so a bare "proof" is asked back by whoever reads it. Degrees
that are no share of ethanol (Cartier, Baumé) have no place here.
"""

from typing import cast

from stillroom.science.arrays import N, array, like_given, refuse_outside
from stillroom.science.liquids.density import DensityTable, density_kg_m3, mass_fraction_from_density
from stillroom.science.liquids.strength import volume_fraction_from_mass_fraction

SIXTY_FAHRENHEIT_C = 140.0 / 9.0
FIFTY_ONE_FAHRENHEIT_C = 95.0 / 9.0
PROOF_SPIRIT_OVER_WATER = 12.0 / 13.0
"""Weight of British proof spirit over that of as much water, both at 51 °F."""
PROOF_OF_ALL_ETHANOL = 200.0


def volume_fraction_from_us_proof(us_proof: N | float) -> N:
    """Ethanol by volume at 60 °F behind a proof of the United States.

    Parameters
    ----------
    us_proof : float or array
        From 0 to 200 [°].

    Returns
    -------
    float or array
        Ethanol by volume at 60 °F [1].

    Raises
    ------
    OutsideModel
        Below 0 or above 200.

    Notes
    -----
    Proof is twice the per cent by volume at 60 °F.

    Examples
    --------
    >>> volume_fraction_from_us_proof(100.0)  # an encyclopaedia, page-opened
    0.5

    References
    ----------
    us-27-cfr-30
    """
    proof = array(us_proof)
    refuse_outside(
        "US proof", proof, 0.0, PROOF_OF_ALL_ETHANOL, "°", source="us-27-cfr-30", do="Look at the scale"
    )
    return cast(N, like_given(proof / PROOF_OF_ALL_ETHANOL))


def proof_spirit_mass_fraction(table: DensityTable) -> float:
    """Ethanol by mass in British proof spirit: at 51 °F it weighs twelve thirteenths of as much water.

    Parameters
    ----------
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    float
        Ethanol by mass [1].

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> 100.0 * proof_spirit_mass_fraction(oiml_r22())  # an encyclopaedia (49.24), page-opened
    49.2

    References
    ----------
    customs-and-excise-act-1952, oiml-r22-1975
    """
    water: float = density_kg_m3(0.0, FIFTY_ONE_FAHRENHEIT_C, table)
    found: float = mass_fraction_from_density(PROOF_SPIRIT_OVER_WATER * water, FIFTY_ONE_FAHRENHEIT_C, table)
    return found


def volume_fraction_from_uk_proof(uk_proof: N | float, table: DensityTable) -> N:
    """Ethanol by volume at 60 °F behind a British proof: so many volumes of proof spirit in a hundred.

    Parameters
    ----------
    uk_proof : float or array
        From 0 to about 175; "30 over proof" is 130, "30 under proof" is 70 [°].
    table : DensityTable
        Coefficients and their range [-].

    Returns
    -------
    float or array
        Ethanol by volume at 60 °F [1].

    Raises
    ------
    OutsideModel
        Below 0, or stronger than ethanol itself.

    Examples
    --------
    >>> from stillroom.substances.spirits import oiml_r22
    >>> 100.0 * volume_fraction_from_uk_proof(100.0, oiml_r22())  # a page of the trade, page-opened
    57.1

    References
    ----------
    customs-and-excise-act-1952, oiml-r22-1975
    """
    proof = array(uk_proof)
    at_proof: float = volume_fraction_from_mass_fraction(
        proof_spirit_mass_fraction(table), table, base_temperature_c=SIXTY_FAHRENHEIT_C
    )
    most = 100.0 / at_proof
    refuse_outside(
        "UK proof", proof, 0.0, most, "°", source="customs-and-excise-act-1952", do="Look at the scale"
    )
    return cast(N, like_given(proof * at_proof / 100.0))
