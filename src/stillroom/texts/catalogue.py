"""The catalogue, and the language that is spoken at the moment.

A folder per language, a file per part of the tool. Promises a sentence for every name, with its blanks filled, or an
error: in the language spoken where that language has the file, in English where it has not. Does not translate what a
person wrote: names of steps, lots and lines stay as they stand in the book.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from string import Formatter

from stillroom.errors import IN_OTHER_WORDS, BadEntry, UnknownName, worded

FOLDER = Path(__file__).parent
LANGUAGES: Mapping[str, str] = {"en": "English", "fr": "Français"}
"""Code of each language and its own name for itself."""
ENGLISH = "en"
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
        There is no catalogue of that language.
    """
    if code not in LANGUAGES:
        raise UnknownName.among(code, "a language", LANGUAGES)
    before, words = _SPOKEN.set(code), IN_OTHER_WORDS.set(error_sentences(code))
    try:
        yield
    finally:
        IN_OTHER_WORDS.reset(words)
        _SPOKEN.reset(before)


def t(name: str, /, **blanks: object) -> str:
    """A sentence in the language spoken at the moment.

    Parameters
    ----------
    name : str
        Such as "bench.nothing_made". [text]
    **blanks : object
        What stands in the blanks, by name.

    Returns
    -------
    str
        The sentence. [text]

    Raises
    ------
    UnknownName
        The catalogue has no such name.
    BadEntry
        A blank is left open.

    Examples
    --------
    >>> t("bench.step_of", number=2, of=9)
    'step 2 of 9'
    """
    sentence = catalogue(language()).get(name) or catalogue(ENGLISH).get(name)
    if sentence is None:
        raise UnknownName.among(name, "a text", catalogue(ENGLISH))
    try:
        return sentence.format(**blanks)
    except (KeyError, IndexError) as error:
        raise BadEntry(
            "A text must have each of its blanks filled",
            worded("{called} without {error}", called=name, error=error),
        ) from error


def word(chapter: str, written: str) -> str:
    """A word of a short list in the language spoken at the moment; as it stands where the catalogue has none.

    Parameters
    ----------
    chapter : str
        Such as "status". [text]
    written : str
        As it stands in the book, in English. [text]

    Returns
    -------
    str
        The word. [text]
    """
    if language() == ENGLISH:
        return written
    return catalogue(language()).get(f"{chapter}.{written.lower().replace(' ', '_')}", written)


def figure(written: str) -> str:
    """A figure as the language writes it: a comma for the point, a thin space that never breaks in thousands.

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
    point = catalogue(language())["figures.point"]
    return re.sub(r"(?<=\d)\.(?=\d)", point, written)


@cache
def names(prefix: str) -> tuple[str, ...]:
    """Names of the texts of one chapter.

    Parameters
    ----------
    prefix : str
        Such as "label". [text]

    Returns
    -------
    tuple of str
        Names, without the chapter. [text]
    """
    return tuple(one.removeprefix(f"{prefix}.") for one in catalogue(ENGLISH) if one.startswith(f"{prefix}."))


def blanks(sentence: str) -> frozenset[str]:
    """Names of the blanks of a sentence."""
    return frozenset(found for _, found, _, _ in Formatter().parse(sentence) if found is not None)


@cache
def catalogue(code: str) -> Mapping[str, str]:
    """Every sentence of one language by its name, ``chapter.name``."""
    return {
        name: sentence for part in parts(code) for name, sentence in part_of_catalogue(code, part).items()
    }


@cache
def error_sentences(code: str) -> Mapping[str, str]:
    """What errors say in a language, by their English; nothing for English, which they carry themselves.

    Parameters
    ----------
    code : str
        Key of ``LANGUAGES``. [text]
    """
    if code == ENGLISH:
        return {}
    chapters = tomllib.loads((FOLDER / "errors" / f"{code}.toml").read_text(encoding="utf-8"))
    return {english: said for sentences in chapters.values() for english, said in sentences.items()}


def parts(code: str) -> tuple[str, ...]:
    """Names of the files one language has, such as "bench"."""
    return tuple(sorted(path.stem for path in (FOLDER / code).glob("*.toml")))


def part_of_catalogue(code: str, part: str) -> dict[str, str]:
    """Every sentence of one file, by ``chapter.name``."""
    chapters = tomllib.loads((FOLDER / code / f"{part}.toml").read_text(encoding="utf-8"))
    return {
        f"{chapter}.{name}": sentence
        for chapter, sentences in chapters.items()
        for name, sentence in sentences.items()
    }
