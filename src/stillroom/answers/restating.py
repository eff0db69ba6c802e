"""A content restated: from as is to dried, from one compound to another, from a mass found to a share.

Plain functions in per cent, so that an answer can name them and be reckoned again. The arithmetic stands in
``science``.
"""

from stillroom.errors import BadEntry
from stillroom.evidence.formulas import formula
from stillroom.quantities.basis import Basis
from stillroom.quantities.basis_words import read_basis
from stillroom.science.measuring.titration import content_fraction, dried_basis_fraction, restated_fraction


@formula("content-percent")
def content_percent(found_mass_mg: float, sample_mass_g: float) -> float:
    """Share of a sample that was found.

    Parameters
    ----------
    found_mass_mg : float
        Mass found. [mg]
    sample_mass_g : float
        Mass of the sample. [g]

    Returns
    -------
    float
        Content by mass. [% w/w]
    """
    return 100.0 * float(content_fraction(found_mass_mg, sample_mass_g))


@formula("dried-percent")
def dried_percent(as_is_percent: float, loss_on_drying_percent: float) -> float:
    """A content as is, restated on the dried matter.

    Parameters
    ----------
    as_is_percent : float
        Content of the matter as is. [% w/w]
    loss_on_drying_percent : float
        Loss on drying of the matter as is. [% w/w]

    Returns
    -------
    float
        Content of the dried matter. [% w/w]
    """
    return 100.0 * float(dried_basis_fraction(as_is_percent / 100.0, loss_on_drying_percent / 100.0))


@formula("as-is-percent")
def as_is_percent(dried_percent: float, loss_on_drying_percent: float) -> float:
    """A content of the dried matter, restated as is.

    Parameters
    ----------
    dried_percent : float
        Content of the dried matter. [% w/w]
    loss_on_drying_percent : float
        Loss on drying of the matter as is. [% w/w]

    Returns
    -------
    float
        Content of the matter as is. [% w/w]

    Raises
    ------
    BadEntry
        The loss is not between 0 and 100 %.
    """
    if not 0.0 <= loss_on_drying_percent < 100.0:
        raise BadEntry("A loss on drying must lie between 0 and 100 %", f"{loss_on_drying_percent:g} %")
    return dried_percent * (1.0 - loss_on_drying_percent / 100.0)


@formula("as-compound-percent")
def as_compound_percent(percent: float, molar_mass_g_mol: float, compound_molar_mass_g_mol: float) -> float:
    """A content reckoned as one compound, restated as another of the same number of moles.

    Parameters
    ----------
    percent : float
        Content as the first compound. [% w/w]
    molar_mass_g_mol : float
        Of the first compound. [g/mol]
    compound_molar_mass_g_mol : float
        Of the second compound. [g/mol]

    Returns
    -------
    float
        Content as the second compound. [% w/w]
    """
    return 100.0 * float(restated_fraction(percent / 100.0, molar_mass_g_mol, compound_molar_mass_g_mol))


@formula("mean-molar-mass")
def mean_molar_mass_g_mol(first_molar_mass_g_mol: float, second_molar_mass_g_mol: float) -> float:
    """Mean molar mass of two compounds, as an assay of their sum reckons it.

    Parameters
    ----------
    first_molar_mass_g_mol, second_molar_mass_g_mol : float
        Of the two. [g/mol]

    Returns
    -------
    float
        Mean. [g/mol]
    """
    return (first_molar_mass_g_mol + second_molar_mass_g_mol) / 2.0


def basis_of(words: str) -> Basis:
    """The basis that an answer carries in words.

    Parameters
    ----------
    words : str
        As ``Basis.in_words`` writes it. [text]

    Returns
    -------
    Basis
        The basis. [basis]

    Raises
    ------
    BadEntry
        The words are no basis.
    """
    return read_basis(words)
