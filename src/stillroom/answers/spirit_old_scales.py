"""A strength said in degrees of an old scale, as per cent by volume at the temperature that scale means.

Promises the sum and its source. Which scale was meant is asked by whoever reads the entry, never guessed.
"""

from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.quantities.strengths import Scale
from stillroom.science.liquids.old_scales import volume_fraction_from_uk_proof, volume_fraction_from_us_proof
from stillroom.substances.spirits import oiml_r22


@formula("strength-by-us-proof")
def percent_from_us_proof(us_proof: float) -> float:
    """Strength by volume at 60 °F behind a proof of the United States. [% v/v].

    Parameters
    ----------
    us_proof : float
        [°]

    References
    ----------
    us-27-cfr-30
    """
    return 100.0 * float(volume_fraction_from_us_proof(us_proof))


@formula("strength-by-uk-proof")
def percent_from_uk_proof(uk_proof: float) -> float:
    """Strength by volume at 60 °F behind a British proof. [% v/v].

    Parameters
    ----------
    uk_proof : float
        [°]

    References
    ----------
    customs-and-excise-act-1952
    """
    return 100.0 * float(volume_fraction_from_uk_proof(uk_proof, oiml_r22()))


def percent_on_scale(scale: Scale, degrees: Answer) -> Answer:
    """The strength by volume at the temperature of a scale; as it stands where the scale counts in per cent.

    Parameters
    ----------
    scale : Scale
        One of ``SCALES``. [record]
    degrees : Answer
        As stated. [° or %]

    Returns
    -------
    Answer
        Strength by volume at the temperature the scale means. [% v/v]

    Raises
    ------
    OutsideModel
        More than the scale has.
    """
    if not scale.proof:
        return degrees
    way, source = {
        "us_proof": (percent_from_us_proof, "us-27-cfr-30"),
        "uk_proof": (percent_from_uk_proof, "customs-and-excise-act-1952"),
    }[scale.proof]
    return reckoned(
        "strength as stated, by volume",
        way,
        unit="%",
        basis="v/v at 15.56 °C",
        inputs={scale.proof: degrees},
        says=scale.because,
        sources=(source,),
    )
