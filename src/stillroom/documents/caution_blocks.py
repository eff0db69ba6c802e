"""Cautions of the reference as blocks of a page."""

from stillroom.documents.blocks import Caution
from stillroom.reference.cautions import caution


def caution_block(key: str) -> Caution:
    """A caution as a page shows it.

    Parameters
    ----------
    key : str
        Of ``reference.cautions``.

    Raises
    ------
    UnknownName
        There is no such caution.
    """
    found = caution(key)
    return Caution(found.hazard, found.moment, found.wording)
