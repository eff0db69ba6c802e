"""The usual cautions, as data: the hazard, the moment it matters, and the words.

They are common practice and promise nothing: local codes, licences and qualified people come first, and the
foot of every page that holds one says so, once.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stillroom.errors import UnknownName
from stillroom.texts.catalogue import ENGLISH, language, names, speaking, t


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt, when, and what to do."""

    key: str
    hazard: str
    moment: str
    wording: str


def cautions() -> Mapping[str, Caution]:
    """Every caution by its key, in the language spoken at the moment.

    Returns
    -------
    mapping of str to Caution
        In the order of the file.
    """
    return _cautions(language())


def caution(key: str) -> Caution:
    """One caution, in the language spoken at the moment.

    Parameters
    ----------
    key : str
        Its key, for example ``"flammable-vapour"``.

    Returns
    -------
    Caution
        Hazard, moment and wording.

    Raises
    ------
    UnknownName
        When the key is not listed; the nearest keys are offered.
    """
    return _listed(cautions(), key)


def caution_as_kept(key: str) -> Caution:
    """One caution in English, as a result or a claim keeps it whoever reads it.

    Parameters
    ----------
    key : str
        Its key. [text]

    Returns
    -------
    Caution
        Hazard, moment and wording.

    Raises
    ------
    UnknownName
        When the key is not listed; the nearest keys are offered.
    """
    return _listed(_cautions(ENGLISH), key)


def _listed(listed: Mapping[str, Caution], key: str) -> Caution:
    if key not in listed:
        raise UnknownName.among(key, "a caution", listed)
    return listed[key]


@cache
def _cautions(code: str) -> Mapping[str, Caution]:
    with speaking(code):
        return MappingProxyType(
            {
                key: Caution(
                    key,
                    t(f"caution_hazard.{key}"),
                    t(f"caution_moment.{key}"),
                    t(f"caution_wording.{key}"),
                )
                for key in names("caution_hazard")
            }
        )
