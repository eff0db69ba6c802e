"""What a liquid takes out of a plant, from a dried part of the filtrate, with its doubt.

Promises the repeatability of the method inside it. Cannot see whether the plant was fine enough, or stood long enough.
"""

from collections.abc import Mapping

from stillroom.answers.budget import Stated, stated
from stillroom.answers.portions_agree import with_repeatability_percent
from stillroom.answers.repeatability import Method, of_the_method
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.science.measuring.extractive import extractive_fraction

BY_EXTRACTIVE = Method("extractive-repeatability", "such an extractive value", "dry another portion")


@formula("extractive-percent")
def extractive_percent(
    empty_mass_g: float,
    dried_mass_g: float,
    taken_volume_ml: float,
    liquid_volume_ml: float,
    sample_mass_g: float,
) -> float:
    """Extractive of a sample, by the dish its residue dried in. [% w/w].

    Parameters
    ----------
    empty_mass_g, dried_mass_g : float
        Dish, empty and with the dry residue. [g]
    taken_volume_ml, liquid_volume_ml : float
        Part of the filtrate that was dried, and all the liquid. [mL]
    sample_mass_g : float
        [g]
    """
    residue_g = dried_mass_g - empty_mass_g
    return 100.0 * float(extractive_fraction(residue_g, taken_volume_ml, liquid_volume_ml, sample_mass_g))


def extractive(inputs: Mapping[str, Answer], of: str) -> Stated:
    """The extractive of a sample as it is.

    Parameters
    ----------
    inputs : mapping of str to Answer
        The parameters of ``extractive_percent``. [g and mL]
    of : str
        What is extracted: "extractive, water". [text]

    Returns
    -------
    Stated
        [% w/w]

    Raises
    ------
    OutsideModel
        Nothing follows from the weighings.

    References
    ----------
    bp-extractive
    """
    found = reckoned(
        of, extractive_percent, unit="%", inputs=inputs, sources=("bp-extractive",),
        says="residue times all the liquid, over the part that was dried and the sample",
    )  # fmt: skip
    repeats = of_the_method((), BY_EXTRACTIVE)
    return stated(reckoned(
        of, with_repeatability_percent, unit="%",
        inputs={"percent": found, "repeatability_ratio": repeats.ratio(1)},
        says=f"with the repeatability of {repeats.where}",
    ))  # fmt: skip
