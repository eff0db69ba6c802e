"""The usual cautions, as data: the hazard, the moment it matters, the words, and who has the last word.

They are common practice and promise nothing: local codes, licences and qualified people come first, and the
shared line at the end of each caution says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stillroom.errors import UnknownName
from stillroom.reference.files import toml_of


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt, when, and what to do."""

    key: str
    hazard: str
    moment: str
    wording: str
    defers: str

    @property
    def full(self) -> str:
        """The wording followed by the shared line."""
        return f"{self.wording} {self.defers}"


@cache
def cautions() -> Mapping[str, Caution]:
    """Every caution by its key.

    Returns
    -------
    mapping of str to Caution
        In the order of the file.
    """
    file = toml_of("cautions.toml")
    listed = {
        key: Caution(key, entry["hazard"], entry["moment"], entry["wording"], file["defers"])
        for key, entry in file["caution"].items()
    }
    return MappingProxyType(listed)


def caution(key: str) -> Caution:
    """One caution.

    Parameters
    ----------
    key : str
        Its key, for example ``"flammable-vapour"``.

    Returns
    -------
    Caution
        Hazard, moment, wording and the shared line.

    Raises
    ------
    UnknownName
        When the key is not listed; the nearest keys are offered.
    """
    listed = cautions()
    if key not in listed:
        raise UnknownName.among(key, "a caution", listed)
    return listed[key]
