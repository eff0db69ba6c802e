"""Words as a search reads them: what they are looked up by, and how near another spelling is.

Promises that letters with and without accents, capitals or signs are one word. Says nothing about meaning.
"""

import re
import unicodedata

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
