"""The words after a number and its unit, read as a basis.

Reads what the trade writes ("w/w total alkaloids as quinine, of extract, as is, at 20 °C"). Words that could
mean two bases ("of dried leaf") are asked back. Says nothing about whether the basis is complete: that
depends on the field, see ``parse``.
"""

import re
from collections.abc import Callable
from functools import lru_cache

from stillroom.errors import BadEntry, worded
from stillroom.quantities.basis import CARRIER_WORDS, Basis, Matter, is_carrier
from stillroom.quantities.numbers import NUMBER, read_number
from stillroom.quantities.units import Ratio, convert, is_unit

_RATIO = re.compile(r"(?<![\w/])([wmpv])\s?/\s?([wmpv])(?![\w/])", re.IGNORECASE)
_BY = re.compile(
    r"\b(?:by|en) (mass|weight|volume|masse|poids)\b|(?<!\w)(alc\.?/vol\.?|vol\.?|abv)(?!\w)", re.IGNORECASE
)
_AT = re.compile(rf"(?:\bat\s|\bà\s|@)\s*({NUMBER})\s?(°\s?[CF]|º[CF]|℃|℉|[CFK])(?!\w)")
_AS_IS = re.compile(r"(?<!\w)as[ -]is(?!\w)", re.IGNORECASE)
_DRIED_BASIS = re.compile(
    r"(?<!\w)(?:(?:on|in)\s)?(?:the\s)?dr(?:y|ied)[ -](?:basis|matter|weight)(?!\w)|^\s*dr(?:y|ied)\s*$",
    re.IGNORECASE,
)
_DRIED_THING = re.compile(rf"\bdried ({'|'.join(sorted(CARRIER_WORDS))})\b", re.IGNORECASE)
_ON_DRIED = re.compile(r"\bon (?:the )?dried (\w[\w -]*)$", re.IGNORECASE)
_RECKONED = re.compile(
    r"(?<!\w)(?:(?:calculated|reckoned|expressed)\s)?as\s(?:the\s)?(.+?)(?=\s(?:in|of)\s(?:the\s)?(?:[\w-]+\s)*?(?:"
    + "|".join(sorted(CARRIER_WORDS))
    + r")\s*$|$)",
    re.IGNORECASE,
)
_WHOLE = re.compile(r"^(.*)(?<!\w)(of|in)\s(?:the\s)?(.+)$", re.IGNORECASE)
_PLAIN_WORDS = re.compile(r"[^\W_][\w\s.'+()/-]*")
_BARE_WORDS = frozenset({"of", "in", "as", "at", "on", "the", "by"})
_FORMS = {"base": "base", "free base": "base", "acid": "acid", "free acid": "acid", "salt": "salt"}


@lru_cache(1024)
def read_basis(words: str, *, where: str = "") -> Basis:
    """Read the words that follow a number and its unit.

    Parameters
    ----------
    words : str
        What is left of the entry, without any "± …" [text].
    where : str
        File, line or field, for the error [text].

    Returns
    -------
    Basis
        What was stated; every part not mentioned stays empty [basis].

    Raises
    ------
    BadEntry
        A part is stated twice, a word could mean two bases, or the basis understood would be read
        differently once printed.
    """
    basis = _understood(words, where)
    try:
        same = _understood(basis.in_words(), where) == basis
    except BadEntry:
        same = False
    if not same:
        raise BadEntry(
            "These words are not a basis",
            repr(words.strip()[:60]),
            "Write them as in 'w/w total alkaloids as quinine, of extract, as is'",
            where=where,
        )
    return basis


def _understood(words: str, where: str) -> Basis:
    parts: dict[str, object] = {}

    def state(name: str, content: object) -> None:
        if name in parts and parts[name] != content:
            raise BadEntry(
                "A basis must state each part once",
                worded("{parts!r} and {content!r}", parts=parts[name], content=content),
                "Leave one of them out",
                where=where,
            )
        parts[name] = content

    for segment in re.split(r"(?<![0-9]),|,(?![0-9])|[;()]", " ".join(words.split())):
        rest = segment
        for found in _RATIO.finditer(rest):
            state("ratio", _ratio(found[1], found[2], where))
        rest = _RATIO.sub(" ", rest)
        for found in _BY.finditer(rest):
            state("ratio", "w/w" if found[1] and found[1].lower() != "volume" else "v/v")
        rest = _BY.sub(" ", rest)
        for found in _AT.finditer(rest):
            number = read_number(found[1], found[2], where=where).value
            state("reference_temperature_c", round(convert(number, found[2], "°C"), 9))
        rest = _AT.sub(" ", rest)
        rest, matter = _take_matter(rest, where)
        if matter:
            state("matter", matter)
        rest = _take_compound(rest, state)
        rest = " ".join(_take_whole(rest, state).split()).strip(" .")
        if rest.casefold() in ("dried", "dry"):
            state("matter", "dried")
        elif rest:
            state("of", rest)
    for name in ("of", "reckoned_as", "carrier"):
        if name in parts:
            _refuse_no_name(str(parts[name]), where)
    return Basis(**parts)  # type: ignore[arg-type]


def _ratio(top: str, bottom: str, where: str) -> Ratio:
    written = re.sub("[mp]", "w", f"{top}/{bottom}".lower())
    for known in ("w/w", "w/v", "v/v", "v/w"):
        if written == known:
            return known
    raise BadEntry("A basis must be w/w, w/v, v/v or v/w", repr(written), where=where)


def _take_matter(rest: str, where: str) -> tuple[str, Matter | None]:
    found: set[Matter] = set()
    written = rest.strip()
    if _AS_IS.search(rest):
        found.add("as is")
        rest = _AS_IS.sub(" ", rest)
    if _DRIED_BASIS.search(rest):
        found.add("dried")
        rest = _DRIED_BASIS.sub(" ", rest)
    on_dried = _ON_DRIED.search(rest)
    if on_dried:
        found.add("dried")
        rest = f"{rest[: on_dried.start()]} of {on_dried[1]}"
    thing = _DRIED_THING.search(rest)
    if thing:
        raise BadEntry(
            "'dried' must say whether the loss on drying was taken off",
            repr(thing[0]),
            worded(
                "Write 'of {thing}, dried' on the dried basis, or 'of {thing}, as is' as it weighs now",
                thing=thing[1],
            ),
            where=where,
        )
    if len(found) > 1:
        raise BadEntry(
            "A content is 'as is' or 'dried', not both", repr(written), "Leave one out", where=where
        )
    return rest, found.pop() if found else None


def _take_compound(rest: str, state: Callable[[str, object], None]) -> str:
    found = _RECKONED.search(rest)
    if not found:
        return rest
    name = " ".join(found[1].split()).strip(" .")
    if name.casefold() in _FORMS:
        state("form", _FORMS[name.casefold()])
    else:
        state("reckoned_as", re.sub(r"\s(?:free\s)?base$", "", name))
    return rest[: found.start()] + " " + rest[found.end() :]


def _take_whole(rest: str, state: Callable[[str, object], None]) -> str:
    found = _WHOLE.search(rest)
    if not found:
        return rest
    before, word, name = found[1], found[2].lower(), " ".join(found[3].split()).strip(" .")
    if not name:
        return rest
    if word == "in" or is_carrier(name):
        state("carrier", name)
        return before
    # "of lavender" counts lavender; "oil of lavender" is one name.
    return name if not before.strip(" .") else rest


def _refuse_no_name(name: str, where: str) -> None:
    words = name.casefold().split()
    is_name = _PLAIN_WORDS.fullmatch(name) and any(one.isalpha() for one in name) and len(name) <= 80
    amount = bool(words) and (re.fullmatch(NUMBER, words[0]) is not None or is_unit(name))
    if not is_name or amount or words[0] in _BARE_WORDS or words[-1] in _BARE_WORDS:
        raise BadEntry("These words are not a basis", repr(name[:40]), "Write w/w, w/v or v/v", where=where)
