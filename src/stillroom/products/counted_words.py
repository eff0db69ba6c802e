"""What a strength counts, as a person writes it: "rosmarinic acid", "total alkaloids as quinine".

Promises that a misspelt name is asked back: under another name a rule of the law would be missed.
"""

import re
from dataclasses import dataclass
from difflib import get_close_matches

from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.reference.tables import table
from stillroom.substances.markers import marker_names

MISSPELT, ALIKE = 0.92, 0.8
"""How alike an unknown name is to a known one when it is asked back, and when it is only told."""
_NOT_OF_A_NAME = re.compile(r"\([^)]*\)|\[[^\]]*\]|\b\d+(?:,\d+)*-")


@dataclass(frozen=True, slots=True)
class Counted:
    """What a strength counts, and the compound it is expressed as."""

    of: str
    compound: str

    @property
    def words(self) -> str:
        """Both, as they are said: total alkaloids as quinine."""
        return self.compound if self.of == self.compound else f"{self.of} as {self.compound}"


def said_as_once(text: str) -> str:
    """The same with no "as" before it and none doubled: "as cinchonine" names cinchonine. With single spaces.

    Parameters
    ----------
    text : str
        As written. [text]
    """
    once = re.sub(r"\b(?:as\s+)+", "as ", " ".join(text.split()), flags=re.IGNORECASE)
    return once.removeprefix("as ")


def counted_in(text: str, where: str) -> Counted:
    """What is counted, and the compound it is expressed as: "total alkaloids as quinine", "rosmarinic acid".

    Raises
    ------
    BadEntry, UnknownName
        It is no name, or a known one misspelt.
    """
    said = said_as_once(text)
    counted, _, compound = said.partition(" as ")
    names = [spoken_name(one) for one in (counted, compound or counted)]
    if not all(re.search(r"[^\W\d_]", one) for one in names):
        raise BadEntry(
            "A strength is of a named compound", repr(said[:40]), 'Write "rosmarinic acid"', where=where
        )
    like = named_like(names[1], MISSPELT)
    if like:
        raise UnknownName(
            worded("{names!r} is not known here, and a rule of another name would be missed", names=names[1]),
            do=worded("Did you mean {like!r}?", like=like),
            where=where,
        )
    return Counted(*names)


def counted_names() -> dict[str, str]:
    """Names of what is counted, to choose from."""
    return {one: one for one in ("total alkaloids as quinine", *marker_names())}


def spoken_name(name: str) -> str:
    """A compound's name without the signs of its form: "(-)-menthol" is counted as menthol."""
    return _NOT_OF_A_NAME.sub("", name).strip(" -")


def named_like(name: str, how_alike: float = ALIKE) -> str:
    """A known name that is spelt almost like one that is not known, "" where there is none."""
    known = {spoken_name(one).casefold() for one in marker_names()}
    for one in table("limits_eu").rows:
        known |= {
            re.split(r" and | \(|,", part)[0].strip().casefold() for part in one.words("substance").split(";")
        }
    folded = name.casefold()
    near = [] if folded in known else get_close_matches(folded, sorted(known), n=1, cutoff=how_alike)
    return near[0] if near else ""
