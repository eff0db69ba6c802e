"""The publications behind every figure, each listed once, with an honest word on how it was seen.

``seen`` is ``page-opened`` (the publication or a full copy of the page was read), ``second-hand`` (another
work or file quotes it) or ``from-memory`` (recalled; to be checked before anything important rests on it).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from stillroom.errors import UnknownName
from stillroom.reference.files import toml_of

SEEN = ("page-opened", "second-hand", "from-memory")


@dataclass(frozen=True, slots=True)
class Source:
    """One publication."""

    key: str
    title: str
    published_in: str
    year: int | None
    seen: str
    doi: str = ""
    note: str = ""

    @property
    def citation(self) -> str:
        """One line to print under a figure."""
        year = f" ({self.year})" if self.year else ""
        doi = f", doi {self.doi}" if self.doi else ""
        place = f", {self.published_in}" if self.published_in else ""
        return f"{self.title}{place}{year}{doi} [{self.seen}]"


@cache
def sources() -> Mapping[str, Source]:
    """Every publication by its key.

    Returns
    -------
    mapping of str to Source
        In the order of the file.
    """
    listed = {
        key: Source(
            key=key,
            title=entry["title"],
            published_in=entry.get("in", ""),
            year=entry.get("year"),
            seen=entry["seen"],
            doi=entry.get("doi", ""),
            note=entry.get("note", ""),
        )
        for key, entry in toml_of("sources.toml").items()
    }
    return MappingProxyType(listed)


def source(key: str) -> Source:
    """One publication.

    Parameters
    ----------
    key : str
        Its key in ``sources.toml``, for example ``"oiml-r22-1975"``.

    Returns
    -------
    Source
        The publication.

    Raises
    ------
    UnknownName
        When the key is not listed; the nearest keys are offered.
    """
    listed = sources()
    if key not in listed:
        raise UnknownName.among(key, "a publication of the reference", listed)
    return listed[key]
