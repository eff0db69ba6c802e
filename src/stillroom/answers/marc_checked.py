"""What a run left in the marc, from a portion of it extracted again.

Promises a share of all that the run and the marc held together; what neither gave is not in it.
"""

from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula


@formula("left-in-marc")
def left_in_marc_percent(portion_g: float, residue_mg: float, marc_g: float, collected_g: float) -> float:
    """Share left in the marc. [%].

    Parameters
    ----------
    portion_g : float
        Dried marc extracted again. [g]
    residue_mg : float
        What it gave, dry. [mg]
    marc_g : float
        Dried marc in all. [g]
    collected_g : float
        Dry extract the run gave. [g]

    Notes
    -----
    left = residue / portion * marc; of all: left / (left + collected).
    """
    left_g = residue_mg / 1000.0 / portion_g * marc_g
    return 100.0 * left_g / (left_g + collected_g)


def left_in_marc(portion: Answer, residue: Answer, marc: Answer, collected: Answer) -> Answer:
    """What a run left in the marc, of all that it and the marc held.

    Parameters
    ----------
    portion, residue, marc, collected : Answer
        [g, mg, g, g]

    References
    ----------
    extraction-practice
    """
    return reckoned(
        "left in the marc", left_in_marc_percent, unit="%",
        inputs={"portion_g": portion, "residue_mg": residue, "marc_g": marc, "collected_g": collected},
        says="what a portion gave, for all of the marc, over that and what the run gave",
        sources=("extraction-practice",),
    )  # fmt: skip
