"""Kinds of product: which uses a name may mean, and which words of a rule hold for them.

Promises that "hair leave on" is "hair leave-on", that a loosely named kind stands for every use it may mean, and that a
rule is never quoted for a use it does not name. The tags are our own reading of the words of the annexes.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from stillroom.reference.tables import Row, table
from stillroom.substances.letters import plain_letters

TABLE = "product_kinds"
KINDS_OF_PRODUCT = (
    "hair leave-on",
    "hair rinse-off",
    "skin leave-on",
    "skin rinse-off",
    "face cream leave-on",
    "body lotion leave-on",
)
"""Kinds a maker can choose from; what each is for stands beside the certificate. Another one may be written."""
LEAVE_ON, RINSE_OFF, SPRAY = "leave-on", "rinse-off", "spray"
FOR_WHOM = frozenset({"child", "infant", "nappy"})
"""Tags of who uses it: any use may be meant for a child; an infant is under three."""
NO_COSMETIC = "no-cosmetic"
"""Tag of what the rules of cosmetics do not rule: drops for the eye, a shampoo for a dog."""
SPRAYED = frozenset({SPRAY, "aerosol"})
SKIN = frozenset({"face", "body", "hand", "foot"})
AREAS = SKIN | {"hair", "eye", "lip", "mouth", "nail"}
BY_AREA = frozenset({"body-lotion"})
STAYS = frozenset({LEAVE_ON, RINSE_OFF})
"""Tags of which a use has one: where it goes, and whether it stays there."""


MARKETS = ("EU",)
MARKET_NAMES = "market_names"
"""Table of what a market is called where Regulation (EC) No 1223/2009 holds."""
_AND = re.compile(r"[,;+&/]|\b(?:and|und|et|e|y|or|oder|ou)\b")


@dataclass(frozen=True, slots=True)
class Use:
    """One use that a rule can tell apart."""

    name: str
    """Such as "face cream", "shampoo"."""
    tags: frozenset[str]
    """What it is: "face", "leave-on", "spray"."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of product as a person named it."""

    written: str
    uses: tuple[Use, ...]
    """Every use the name may mean; all of them where nothing in it is known."""
    said: frozenset[str]
    """Tags that were said."""
    understood: bool
    """Whether anything in the name is known here."""

    @property
    def spray_is_open(self) -> bool:
        """Whether nobody said that it is a spray."""
        return SPRAY not in self.said


def has_rules_here(market: str) -> bool:
    """Whether the rules of a market are held, however it is written.

    Parameters
    ----------
    market : str
        "EU", "eu", "European Union", "Deutschland", "Switzerland and France". [text]

    Returns
    -------
    bool
        Whether they hold in a part of it; False is no permission.
    """
    return any(_market_key(one) in _markets() for one in (market, *_AND.split(market.casefold())))


def kind_of_product(written: str) -> Kind:
    """The uses that a kind of product may mean.

    Parameters
    ----------
    written : str
        "hair leave-on", "Hair leave on", "face cream", "Shampoo". [text]

    Returns
    -------
    Kind
        Its uses. [record]
    """
    left, said, beside, named = f" {_plain(written)} ", set[str](), set[str](), list[Row]()
    for name, row in _names():
        if f" {name} " in left:
            left = left.replace(f" {name} ", " ", 1)
            said |= set(row.words("tags").split())
            if row["one_use"] == "yes":
                named.append(row)
            else:
                beside |= set(row.words("tags").split())
    tags = frozenset(said)
    users = tags & FOR_WHOM
    fitting = tuple(
        Use(use.name, use.tags | users) for use, only in _uses() if tags - users <= use.tags and only <= tags
    )
    if NO_COSMETIC in tags:
        fitting = ()
    elif not fitting:
        fitting = _altered(written, named, frozenset(beside))
    elif len(named) == 1:
        exact = tuple(use for use in fitting if use.name == named[0].key)
        fitting = exact or fitting
    understood = bool(tags) and bool(fitting)
    return Kind(written, fitting if understood else tuple(use for use, _ in _uses()), tags, understood)


def _altered(written: str, named: list[Row], beside: frozenset[str]) -> tuple[Use, ...]:
    """Uses whose name stands beside a word that says otherwise: a hair mask that stays on, a sun cream for the face.

    The word is in place of what the name implies; any use may be sprayed. Two uses in one name are none of them.
    """
    if len(named) > 1 or len(_AND.split(written.casefold())) > 1:
        return ()
    if named:
        return (Use(named[0].key, _in_place(frozenset(named[0].words("tags").split()), beside)),)
    needed = beside - FOR_WHOM - SPRAYED
    return tuple(
        Use(use.name, use.tags | beside)
        for use, only in _uses()
        if needed and needed <= use.tags and only <= beside
    )


def _in_place(implied: frozenset[str], said: frozenset[str]) -> frozenset[str]:
    if said & AREAS:
        implied -= AREAS | BY_AREA if said & SKIN else AREAS | BY_AREA | {"skin"}
    if said & STAYS:
        implied -= STAYS
    return implied | said


def holds_for(use: Use, words: str) -> bool:
    """Whether the words of a rule name a use.

    Parameters
    ----------
    use : Use
        One use. [record]
    words : str
        "hair leave-on; shampoo", "rinse-off -mouth", "all", "": tags that must be there, a minus for one that must
        not, a semicolon for or. [text]

    Returns
    -------
    bool
        Whether it does; never for no words.
    """
    return any(_fits(use, one.split()) for one in words.split(";") if one.strip())


def _fits(use: Use, wanted: list[str]) -> bool:
    return all(
        tag == "all" or (tag[1:] not in use.tags if tag.startswith("-") else tag in use.tags)
        for tag in wanted
    )


def _market_key(name: str) -> str:
    return _folded(name.replace(".", ""))


@cache
def _markets() -> frozenset[str]:
    return frozenset(
        _market_key(name)
        for row in table(MARKET_NAMES).rows
        for name in (row.key, *row.words("also_called").split(";"))
    )


def _plain(written: str) -> str:
    """The words of a kind in small plain letters, a German compound taken apart: "Babycreme" is a cream for a baby."""
    return " ".join(_COMPOUND.sub(" ", _folded(written)).split())


def _folded(written: str) -> str:
    apart = unicodedata.normalize("NFKD", plain_letters(written).casefold())
    letters = "".join(sign for sign in apart if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[^a-z0-9]+", " ", letters).split())


_COMPOUND = re.compile(
    r"(?<=\bbaby)(?=[a-z]{3})|(?<=\bkinder)(?=[a-z]{3})|(?<=\bwindel)(?=[a-z]{3})"
    r"|(?<=[a-z]{3})(?=(?:spray|creme|lotion|shampoo)\b)"
)


@cache
def _names() -> tuple[tuple[str, Row], ...]:
    """Every name with its row, the longest first, so that "hair spray" is taken before "hair"."""
    found: Mapping[str, Row] = {
        _plain(name): row
        for row in reversed(table(TABLE).rows)
        for name in (*row.words("also_called").split(";"), row.key)
        if name.strip()
    }
    return tuple(sorted(found.items(), key=lambda one: (-len(one[0].split()), -len(one[0]))))


@cache
def _uses() -> tuple[tuple[Use, frozenset[str]], ...]:
    return tuple(
        (Use(row.key, frozenset(row.words("tags").split())), frozenset(row.words("only_if_said").split()))
        for row in table(TABLE).rows
        if row["one_use"] == "yes"
    )
