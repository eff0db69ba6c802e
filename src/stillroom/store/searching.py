"""Words as a search reads them: what they are looked up by, and how near another spelling is.

Promises that letters with and without accents, capitals or signs are one word. Says nothing about meaning.
"""

import re
import unicodedata
from collections.abc import Sequence

from stillroom.substances.letters import plain_letters

NEAR = 0.45
"""Share of the pieces of two words that must agree for one to be a spelling of the other. [1]"""
_WORD = re.compile(r"[^\W_]+")
_LONGEST = 40


def words_of(*texts: str) -> tuple[str, ...]:
    """Words of some texts, each once, in plain small letters.

    Parameters
    ----------
    *texts : str
        Codes and names, as written. [text]

    Examples
    --------
    >>> words_of("CIN-01", "Écorce de quinquina")
    ('cin', '01', 'ecorce', 'de', 'quinquina')
    """
    found: list[str] = []
    for one in texts:
        apart = unicodedata.normalize("NFKD", plain_letters(one))
        bare = "".join(sign for sign in apart if not unicodedata.combining(sign)).casefold()
        found += (word[:_LONGEST] for word in _WORD.findall(bare))
    return tuple(dict.fromkeys(found))


def pieces_of(word: str) -> tuple[str, ...]:
    """Every three letters in a row of a word, its edges included.

    Parameters
    ----------
    word : str
        As ``words_of`` gives it. [text]

    Examples
    --------
    >>> pieces_of("bark")
    (' ba', 'bar', 'ark', 'rk ')
    """
    padded = f" {word} "
    return tuple(dict.fromkeys(padded[at : at + 3] for at in range(len(padded) - 2)))


def sought(words: str, among: Sequence[Sequence[str]]) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """What is found by every word, as the lists of the book find it; for what is held in memory.

    Parameters
    ----------
    words : str
        As somebody searches. [text]
    among : sequence of sequence of str
        The texts that each goes by. [text]

    Returns
    -------
    tuple
        Places of those that are found, and the spellings taken for a word that nothing begins with. [1, text]

    Examples
    --------
    >>> sought("liqorice", [("conessine",), ("Licorice root", "Glycyrrhiza")])
    ((1,), ('licorice',))
    """
    held = [frozenset(words_of(*texts)) for texts in among]
    known = sorted(frozenset().union(*held))
    found, spellings = list(range(len(held))), list[str]()
    for word in words_of(words):
        meant = [one for one in known if one.startswith(word)]
        if not meant:
            meant = [one for one in known if _near(one, word)]
            spellings += meant
        found = [at for at in found if not held[at].isdisjoint(meant)]
    return tuple(found), tuple(spellings)


def _near(one: str, other: str) -> bool:
    ours, theirs = pieces_of(one), pieces_of(other)
    return 2.0 * len({*ours} & {*theirs}) >= NEAR * (len(ours) + len(theirs))
