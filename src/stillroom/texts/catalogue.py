"""Sentences in the language spoken at the moment.

The English sentence stands where it is used and is its own name; every other language is one file beside this one,
``fr.po``. Promises the sentence with its blanks filled, in the language spoken where that language has it, in English
where it has not. Does not translate what a person wrote: names of steps, lots and lines stay as they stand in the book.
"""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from string import Formatter

from stillroom.errors import IN_OTHER_WORDS, POINT, BadEntry, UnknownName, said_of_one, worded

FOLDER = Path(__file__).parent
ENGLISH = "en"
_OWN_NAME = re.compile(r'^"X-Own-Name: (.+)\\n"$', re.MULTILINE)
LANGUAGES: Mapping[str, str] = {ENGLISH: "English"} | {
    path.stem: found[1]
    for path in sorted(FOLDER.glob("*.po"))
    if (found := _OWN_NAME.search(path.read_text(encoding="utf-8")))
}
"""Code of each language and its own name for itself."""
_SPOKEN: ContextVar[str] = ContextVar("language", default=ENGLISH)


def language() -> str:
    """Code of the language spoken at the moment; English unless somebody asked for another."""
    return _SPOKEN.get()


@contextmanager
def speaking(code: str) -> Iterator[None]:
    """Speak a language for a while.

    Parameters
    ----------
    code : str
        Key of ``LANGUAGES``. [text]

    Raises
    ------
    UnknownName
        There is no file of that language.
    """
    if code not in LANGUAGES:
        raise UnknownName.among(code, "a language", LANGUAGES)
    before, words = _SPOKEN.set(code), IN_OTHER_WORDS.set(sentences(code))
    try:
        yield
    finally:
        IN_OTHER_WORDS.reset(words)
        _SPOKEN.reset(before)


def t(sentence: str, /, **blanks: object) -> str:
    """A sentence in the language spoken at the moment.

    Parameters
    ----------
    sentence : str
        In English, each blank in braces. [text]
    **blanks : object
        What stands in the blanks, by name.

    Returns
    -------
    str
        The sentence. [text]

    Raises
    ------
    BadEntry
        A blank is left open.

    Examples
    --------
    >>> t("step {number} of {of}", number=2, of=9)
    'step 2 of 9'
    """
    try:
        return said_of_one(word(sentence).format(**blanks))
    except (KeyError, IndexError) as error:
        raise BadEntry(
            "A text must have each of its blanks filled",
            worded("{called} without {error}", called=sentence, error=error),
        ) from error


def between(low: str, high: str) -> str:
    """An interval by its printed ends; the one number where both ends print alike.

    Parameters
    ----------
    low, high : str
        As they are printed. [text]

    Returns
    -------
    str
        "80.1 to 96.4", or "31.35". [text]
    """
    return low if low == high else t("{low} to {high}", low=low, high=high)


def later(sentence: str) -> str:
    """Mark a sentence that is kept in a table and translated when it is shown."""
    return sentence


def word(written: str) -> str:
    """Words of the book in the language spoken at the moment; as they stand where that language has none.

    Parameters
    ----------
    written : str
        As it stands in the book, in English. [text]

    Returns
    -------
    str
        The words; blanks stay open. [text]
    """
    return sentences(language()).get(written, written)


def figure(written: str) -> str:
    """A figure as the language writes it: a comma for the point.

    Parameters
    ----------
    written : str
        Words with figures as they stand in the book, "0.095 % w/w". [text]

    Returns
    -------
    str
        The same words. [text]

    Examples
    --------
    >>> with speaking("fr"):
    ...     figure("0.095 %")
    '0,095 %'
    """
    return re.sub(r"(?<=\d)\.(?=\d)", sentences(language()).get(POINT, "."), written)


def month_name(number: int) -> str:
    """A month in words.

    Parameters
    ----------
    number : int
        1 for January. [month]

    Examples
    --------
    >>> month_name(3)
    'March'
    """
    from babel.dates import get_month_names

    return str(get_month_names("wide", "stand-alone", locale=language())[number])


def capital(words: str) -> str:
    """The same words with a capital first letter; one that a script does not write stays as it is.

    Parameters
    ----------
    words : str
        In any script. [text]
    """
    return words[:1].title() + words[1:]


def blanks(sentence: str) -> frozenset[str]:
    """Names of the blanks of a sentence."""
    return frozenset(found for _, found, _, _ in Formatter().parse(sentence) if found is not None)


@cache
def sentences(code: str) -> Mapping[str, str]:
    """What a language says, by the English sentence; nothing for English.

    Parameters
    ----------
    code : str
        Key of ``LANGUAGES``. [text]
    """
    if code == ENGLISH:
        return {}
    from babel.messages.pofile import read_po
    from babel.numbers import get_decimal_symbol

    with (FOLDER / f"{code}.po").open("rb") as file:
        told = {
            str(one.id): str(one.string)
            for one in read_po(file, code, abort_invalid=True)
            if one.id and one.string
        }
    return told | {POINT: get_decimal_symbol(code)}
