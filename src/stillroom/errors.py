"""Every error raised on purpose says what must hold, what came in, and what to do.

::

    StillroomError
    ├── BadEntry        what was written cannot be taken as it stands (a typo, a missing basis, a negative mass)
    ├── OutsideModel    a published table or equation does not reach this far; the range is named
    ├── UnknownName     a name that is not in the book or the reference; the nearest names are offered
    ├── NotEnough       a stock, vessel or allowance does not reach; the gap is named
    ├── NotAllowed      a rule of the law, of the laboratory or of the second pair of eyes forbids it
    └── BookTrouble     the book cannot be opened, written or trusted

The web pages and the command line print the same sentence: ``str(error)``. It is spoken in the language of whoever
reads it: an English sentence stands beside the check that raises it, and is its own name in the catalogue of the others
(``texts/fr.po``). Where a sentence has blanks it is ``worded``; what came in is only ever put into a blank.
"""

import re
from collections.abc import Iterable, Mapping
from contextvars import ContextVar
from difflib import get_close_matches
from string import Formatter
from typing import Any

IN_OTHER_WORDS: ContextVar[Mapping[str, str]] = ContextVar("in other words")
"""Sentences of errors in the language spoken at the moment, by their English; not set while English is spoken."""
POINT = "0.0"
"""Name of how the language writes a decimal point."""


class Worded(str):
    """A sentence whose blanks are filled, that still knows its blanks."""

    __slots__ = ("blanks", "sentence")

    sentence: str
    """With its blanks in braces."""
    blanks: dict[str, object]


_COUNTED = (
    "acts|amounts|batches|bottles|bytes|caps|characters|days|decisions|digits|draws|drops|entries|hours|inputs|labels|"
    "letters|lines|lots|meanings|minutes|moles|months|names|pages|pieces|places|portions|readings|replicates|residues|"
    "results|rows|seconds|set-ups|sets|siphonings|steps|stocks|tests|times|values|ways|weeks|years|"
    "bouteilles|caractères|chiffres|décimales|entrées|essais|étapes|flacons|gouttes|heures|jours|lettres|lignes|mesures|"
    "pièces|prises|résultats|secondes|semaines|tirages|titrages|valeurs"
)
"""Nouns that are counted, in English and French, where a single one loses its last letter."""
_SINGULAR = {"batches": "batch", "entries": "entry"}
_ONE = re.compile(rf"(?<![\w.,\u00a0-])1([ \u00a0](?:more |earlier )?)({_COUNTED})\b")


def said_of_one(text: str) -> str:
    """A text with what is counted in the singular after a lone 1, in every language of the tool.

    Parameters
    ----------
    text : str
        With its blanks filled. [text]

    Returns
    -------
    str
        The text. [text]

    Examples
    --------
    >>> said_of_one("1 bottles of 51 bottles in 1 days")
    '1 bottle of 51 bottles in 1 day'
    """
    return _ONE.sub(lambda found: f"1{found[1]}{_SINGULAR.get(found[2], found[2][:-1])}", text)


def worded(sentence: str, /, **blanks: object) -> Worded:
    """A part of an error with its blanks filled.

    Parameters
    ----------
    sentence : str
        In English, each blank in braces: "A glass holds {most:g} mL at most". [text]
    **blanks : object
        What stands in the blanks, by name.

    Returns
    -------
    Worded
        The English; another language fills its own sentence when it is read. [text]

    Examples
    --------
    >>> worded("A glass holds {most:g} mL at most", most=250.0)
    'A glass holds 250 mL at most'
    """
    made = Worded(said_of_one(sentence.format(**blanks)))
    made.sentence, made.blanks = sentence, blanks
    return made


_QUOTED_SPACE = re.compile(r"(?<!\\)\\(?:xa0|u2007|u2009|u202f)")
"""A space that does not break, as a quotation of what was typed writes it."""
NONE_YET = "None has been entered yet"
ONE_OF = {
    1: "Did you mean {a!r}?",
    2: "Did you mean {a!r} or {b!r}?",
    3: "Did you mean {a!r} or {b!r} or {c!r}?",
}
"""What is said of so many near names."""


class StillroomError(Exception):
    """Base of every error raised on purpose.

    Parameters
    ----------
    must : str
        What must hold, as a full sentence.
    got : str
        What came in.
    do : str
        What to do about it.
    where : str
        File, line, page or field the entry came from; empty when there is none.
    """

    def __init__(self, must: str, got: str = "", do: str = "", *, where: str = "") -> None:
        self.must = must
        self.got = got
        self.do = do
        self.where = where
        super().__init__(must, got, do)

    def __str__(self) -> str:
        return self.sentence

    @property
    def sentence(self) -> str:
        """The parts joined as they are shown to a person."""
        got = worded("Got {got}", got=spoken(self.got)) if self.got else ""
        text = " ".join(_closed(spoken(part)) for part in (self.must, got, self.do) if part)
        text = _QUOTED_SPACE.sub(" ", text)
        return f"{self.where}: {text}" if self.where else text

    def at(self, where: str) -> "StillroomError":
        """The same error, told where it came from."""
        return type(self)(self.must, self.got, self.do, where=where)


class BadEntry(StillroomError):
    """What was written cannot be taken as it stands."""


class OutsideModel(StillroomError):
    """A published table or equation does not reach this far."""


class UnknownName(StillroomError):
    """A name that is neither in the book nor in the reference."""

    @classmethod
    def among(cls, name: str, what: str, known: Iterable[str], *, near: float = 0.5) -> "UnknownName":
        """Build the error with the nearest known names.

        Parameters
        ----------
        name : str
            The name that was not found.
        what : str
            What the name should have been, with its article ("a plant", "a lot").
        known : iterable of str
            Every valid name.
        near : float
            How alike a name must be to be offered, from 0 to 1. Where another name is another danger (a solvent), only
            an error of spelling is.
        """
        names = sorted(set(known))
        offered = get_close_matches(name, names, n=3, cutoff=near)
        do: str
        if offered:
            do = worded(ONE_OF[len(offered)], **dict(zip("abc", offered, strict=False)))
        elif names:
            do = worded("Known: {names}", names=", ".join(names[:12]) + (" …" if len(names) > 12 else ""))
        else:
            do = NONE_YET
        if not name.strip():
            return cls(worded("Name {what}", what=Phrase(what)), do=do)
        return cls(worded("{name!r} is not {what} known here", name=name, what=Phrase(what)), do=do)

    @classmethod
    def unless(cls, name: str, what: str, known: Iterable[str], *, near: float = 0.5) -> str:
        """The known name that is written, whatever its capitals and spaces.

        Parameters
        ----------
        name : str
            As written.
        what : str
            What it should be, with its article ("a plant", "a lot").
        known : iterable of str
            Every valid name.
        near : float
            As for ``among``.

        Raises
        ------
        UnknownName
            There is no such name; the nearest are offered.
        """
        names = {_plain(one): one for one in known}
        if _plain(name) not in names:
            raise cls.among(name, what, names.values(), near=near)
        return names[_plain(name)]


class NotEnough(StillroomError):
    """A stock, vessel or allowance does not reach."""


class NotAllowed(StillroomError):
    """A rule of the law, of the laboratory or of the second pair of eyes forbids it."""


class BookTrouble(StillroomError):
    """The book cannot be opened, written or trusted."""


class Phrase(str):
    """English words in a blank that another language says in its own."""

    __slots__ = ()


def spoken(part: str) -> str:
    """A part of an error in the language spoken at the moment; in English where that has no such sentence.

    Parameters
    ----------
    part : str
        A sentence, ``worded`` where it has blanks. [text]
    """
    words = IN_OTHER_WORDS.get({})
    if not words:
        return part
    if not isinstance(part, Worded):
        return words.get(part, part)
    sentence = words.get(part.sentence)
    return part if sentence is None else _InOtherWords(words).vformat(sentence, (), part.blanks)


class _InOtherWords(Formatter):
    """Fills blanks as a language does: its own words for phrases, its own sign for the decimal point."""

    def __init__(self, words: Mapping[str, str]) -> None:
        self.words = words

    def format_field(self, value: Any, format_spec: str) -> str:
        written: str = super().format_field(value, format_spec)
        if isinstance(value, Phrase | Worded):
            return spoken(value) if isinstance(value, Worded) else self.words.get(value, value)
        number = isinstance(value, int | float) and not isinstance(value, bool)
        return written.replace(".", self.words.get(POINT, ".")) if number else written


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _closed(part: str) -> str:
    text = part.strip()
    return text if text.endswith((".", "?", "!", "…", ":")) else text + "."
