"""Every error raised on purpose says what must hold, what came in, and what to do.

::

    StillroomError
    ├── BadEntry        what was written cannot be taken as it stands (a typo, a missing basis, a negative mass)
    ├── OutsideModel    a published table or equation does not reach this far; the range is named
    ├── UnknownName     a name that is not in the book or the reference; the nearest names are offered
    ├── NotEnough       a stock, vessel or allowance does not reach; the gap is named
    ├── NotAllowed      a rule of the law, of the laboratory or of the second pair of eyes forbids it
    └── BookTrouble     the book cannot be opened, written or trusted

The web pages and the command line print the same sentence: ``str(error)``.
"""

from collections.abc import Iterable
from difflib import get_close_matches


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
        super().__init__(self.sentence)

    @property
    def sentence(self) -> str:
        """The parts joined as they are shown to a person."""
        parts = [
            _closed(part) for part in (self.must, f"Got {self.got}" if self.got else "", self.do) if part
        ]
        text = " ".join(parts)
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
    def among(cls, name: str, what: str, known: Iterable[str]) -> "UnknownName":
        """Build the error with the nearest known names.

        Parameters
        ----------
        name : str
            The name that was not found.
        what : str
            What the name should have been, with its article ("a plant", "a lot").
        known : iterable of str
            Every valid name.
        """
        names = sorted(set(known))
        near = get_close_matches(name, names, n=3, cutoff=0.5)
        if near:
            do = "Did you mean " + " or ".join(repr(one) for one in near) + "?"
        elif names:
            do = "Known: " + ", ".join(names[:12]) + (" …" if len(names) > 12 else "")
        else:
            do = "None has been entered yet"
        return cls(f"{name!r} is not {what} known here", do=do)


class NotEnough(StillroomError):
    """A stock, vessel or allowance does not reach."""


class NotAllowed(StillroomError):
    """A rule of the law, of the laboratory or of the second pair of eyes forbids it."""


class BookTrouble(StillroomError):
    """The book cannot be opened, written or trusted."""


def _closed(part: str) -> str:
    text = part.strip()
    return text if text.endswith((".", "?", "!", "…", ":")) else text + "."
