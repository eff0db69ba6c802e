"""A name of an ingredient in one of six languages, read as the English one that the tables hold.

Promises that "Natriumbenzoat", "benzoate de sodium" and "benzoato di sodio" lead to one substance: words are put into
English and into its order, and what is left of two spellings (k and c, y and i, endings) is compared. A name that could
be two substances is left unknown.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from functools import cache, lru_cache

from stillroom.reference.tables import table
from stillroom.substances.letters import plain_letters

TABLE = "ingredient_words"
SHORTEST, SHORTEST_EXACT = 6, 4
"""Letters that a name must have for its likeness to count; a shorter one has to be the English word itself."""
_OF = re.compile(r"^(?P<what>.+?)\s+(?:de la|de l|de|du|des|d|di|del|della|dell|von)\s+(?P<whose>.+)$")
_ACID = re.compile(r"(?:(?:ique|ico|ic|in|e|i|o)?\s+acid)$")
_SPELT = (
    ("chin", "quin"), ("sulph", "sulf"), ("ph", "f"), ("th", "t"), ("h", ""), ("y", "i"), ("k", "c"), ("z", "c"),
)  # fmt: skip
_ENDING = re.compile(r"(?:ique|ico|ica|isch|ic|e|o|a)$")


@lru_cache(1024)
def in_english(written: str) -> tuple[str, ...]:
    """How a name may read in English, the likeliest first.

    Parameters
    ----------
    written : str
        "Lavendelöl", "teinture de belladone", "acide salicylique". [text]

    Returns
    -------
    tuple of str
        At least the name itself in plain small letters. [text]
    """
    plain = " ".join(re.sub(r"['’.]", " ", plain_letters(written).casefold()).split())
    folded, told = _folded(plain), _worded(plain)
    found = [told]
    of = _OF.match(told)
    if of:
        found.append(_worded(f"{of['whose']} {of['what']}"))
    words = told.split()
    if len(words) == 2:
        found.append(f"{words[1]} {words[0]}")
    if len(words) == 3:
        found += [f"{words[1]} {words[2]} {words[0]}", f"{words[2]} {words[0]} {words[1]}"]
    return tuple(dict.fromkeys((*found, folded)))


def alike_in_english(written: str, names: Callable[[], Iterable[str]]) -> tuple[str, ...]:
    """The known names that a name in another language stands for.

    Parameters
    ----------
    written : str
        As a person writes it. [text]
    names : callable
        Every name that is known; asked once. [text]
    """
    known = _by_likeness(names)
    return next((known[one] for one in map(_likeness, in_english(written)) if one in known), ())


def _worded(text: str) -> str:
    for pattern, english in (*_words(), *_words()):  # a word that was split off a compound is read then
        text = " ".join(pattern.sub(english, text).split())
    return _folded(text)


def _folded(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
    return "".join(sign for sign in apart if not unicodedata.combining(sign))


def _likeness(name: str) -> str:
    text = _ACID.sub(" acid", " ".join(re.sub(r"[^a-z0-9αβ%+]+", " ", _folded(name.casefold())).split()))
    short = "".join(_sounded(one) for one in text.split())
    if len(short) >= SHORTEST:
        return "" if short.isdigit() else short
    return f"={text}" if len(text) >= SHORTEST_EXACT else ""


def _sounded(word: str) -> str:
    if len(word) < 3:
        return word
    short = _ENDING.sub("", word) if len(word) > 4 else word
    for before, after in _SPELT:
        short = short.replace(before, after)
    return short


@cache
def _by_likeness(names: Callable[[], Iterable[str]]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for name in names():
        key = _likeness(name)
        if key:
            found[key] = (*found.get(key, ()), name)
    return found


@cache
def _words() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Every word with its English, the longest first; a word of a German compound is split off."""
    return tuple(sorted(_patterns(), key=lambda one: -len(one[0].pattern)))


def _patterns() -> Iterator[tuple[re.Pattern[str], str]]:
    for row in table(TABLE).rows:
        said = row.key.casefold()
        at, word = row["stands"], re.escape(said)
        if at != "ends" and _folded(said) != said:
            word = f"(?:{word}|{re.escape(_folded(said))})"
        begins = r"(?<![^\W_])" if at != "ends" else ""
        ends = r"(?![^\W_])" if at != "begins" else ""
        yield re.compile(f"{begins}{word}{ends}"), f" {row.words('english')} "
