"""The tempting wrong ways of the sums of the bench, and what they really give: for lessons, never for a recipe.

Promises the wrong answer reckoned rightly: what somebody gets who goes that way.
"""

from stillroom.answers.buffer_weighed import SOURCES, buffer_ph, rest_of, salt_g
from stillroom.evidence.answer import Answer, reckoned
from stillroom.evidence.formulas import formula
from stillroom.substances.acids import BufferPair, buffer_pair


@formula("measured-for-weighed")
def measured_for_weighed_mol_l(strength_mol_l: float, stock_density_g_ml: float) -> float:
    """Strength where grams from the bottle were measured as millilitres. [mol/L].

    Parameters
    ----------
    strength_mol_l : float
        Wanted. [mol/L]
    stock_density_g_ml : float
        Of the bottle. [g/mL]
    """
    return strength_mol_l * stock_density_g_ml


@formula("buffer-share-by-constant-alone")
def share_by_constant_alone(ph: float, *, pair: str) -> float:
    """Share of a buffer weighed as its base form by pH = pKa + log(base / acid), ions not seeing one another. [1].

    Parameters
    ----------
    ph : float
        Wanted. [1]
    pair : str
        Key of ``buffer_pairs``. [text]
    """
    nearest = min(buffer_pair(pair).protolyte.pka, key=lambda pka: abs(pka - ph))
    return float(1.0 / (1.0 + 10.0 ** (nearest - ph)))


def by_constant_alone(
    pair: BufferPair, ph: Answer, total: Answer, volume: Answer
) -> tuple[Answer, Answer, Answer]:
    """A buffer weighed by its constant alone: grams of both salts, and the pH it really has.

    Parameters
    ----------
    pair : BufferPair
        [record]
    ph, total, volume : Answer
        [1, mol/L, mL]
    """
    share = reckoned(
        "share by the constant alone", share_by_constant_alone, unit="", inputs={"ph": ph}, fixed={"pair": pair.pair},
        says="one over one and ten to the power of the constant less the pH", sources=SOURCES,
    )  # fmt: skip
    rest = reckoned("the rest", rest_of, unit="", inputs={"share": share}, says="the rest")
    acid, base = (
        reckoned(
            f"{name} by the constant alone", salt_g, unit="g",
            inputs={"share": part, "total_mol_l": total, "volume_ml": volume, "molar_mass_g_mol": mass},
            says="its share of the moles, times its molar mass",
        )
        for name, part, mass in (
            (pair.acid_form, rest, pair.acid_mass),
            (pair.base_form, share, pair.base_mass),
        )
    )  # fmt: skip
    really = reckoned(
        "its pH in truth", buffer_ph, unit="", inputs={"base_share": share, "total_mol_l": total},
        fixed={"pair": pair.pair}, basis="at 25 °C", says="charge balance with Davies activities", sources=SOURCES,
    )  # fmt: skip
    return acid, base, really


def bottle_in_millilitres(strength: Answer, density: Answer) -> Answer:
    """Strength of a solution whose grams from the bottle were measured as millilitres.

    Parameters
    ----------
    strength, density : Answer
        [mol/L, g/mL]
    """
    return reckoned(
        "measured in place of weighed", measured_for_weighed_mol_l, unit="mol/L",
        inputs={"strength_mol_l": strength, "stock_density_g_ml": density},
        says="a millilitre of the bottle weighs more than a gram, by its density",
    )  # fmt: skip
