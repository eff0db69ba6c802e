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
_AS_WORDS = (
    r"(?:(?:as(?!\s+is\b)|als|comme|como|come|"
    r"(?:exprim|expres|espres|calcul)[a-zé]*\s+(?:en|in|as|comme|como|come))\s+)+"
)
_AS, _PARTED = (re.compile(before + _AS_WORDS, re.IGNORECASE) for before in (r"\b", r"[\s(]+"))
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
    """The same with one "as", whatever the language, and none before it: "as cinchonine" names cinchonine.

    Parameters
    ----------
    text : str
        As written. [text]

    Returns
    -------
    str
        With single spaces. [text]
    """
    return _AS.sub("as ", " ".join(text.split())).removeprefix("as ")


def counted_as_what(text: str) -> tuple[str, str]:
    """What is counted and the compound it is counted as, each "" where nobody says it.

    Parameters
    ----------
    text : str
        "total alkaloids as quinine", "as cinchonine", "quinine (as the hydrochloride)", "Alkaloide als Chinin". [text]
    """
    parted = _PARTED.sub(" as ", f" {text}").partition(" as ")
    counted, _, compound = (part.strip(" ,") for part in parted)
    return counted, (compound if "(" in compound else compound.rstrip(")")).removeprefix("the ")


def counted_in(text: str, where: str) -> Counted:
    """What is counted, and the compound it is expressed as: "total alkaloids as quinine", "rosmarinic acid".

    Raises
    ------
    BadEntry, UnknownName
        It is no name, or a known one misspelt.
    """
    counted, compound = counted_as_what(text)
    names = [spoken_name(one) for one in (counted or compound, compound or counted)]
    if not all(re.search(r"[^\W\d_]", one) for one in names):
        raise BadEntry(
            "A strength is of a named compound", repr(text[:40]), 'Write "rosmarinic acid"', where=where
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
