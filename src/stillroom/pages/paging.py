"""What of a long list is wanted, and the block that says which part is shown and leads to the rest."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from stillroom.documents.blocks import Choice, Finder, Link
from stillroom.store.lists import PAGE
from stillroom.texts.catalogue import later, t, word

MOST_WORDS = 80
MOST_PAGES = 1_000_000
SHOWN_FROM = 12
"""A list of fewer rows needs no search. [1]"""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What of a list is wanted.

    ``kind``, ``state``, ``about``, ``by``: only of a kind or state, about a code, by a person; "" for all.
    """

    words: str = ""
    """Searched for."""
    kind: str = ""
    state: str = ""
    about: str = ""
    by: str = ""
    page: int = 1
    """Counted from 1."""

    @classmethod
    def of(cls, asked: Mapping[str, str]) -> "Wanted":
        """Read what an address asks; what is no page is the first."""
        said = {
            name: asked.get(name, "").strip()[:MOST_WORDS]
            for name in ("words", "kind", "state", "about", "by")
        }
        page = asked.get("page", "")
        number = int(page) if page.isascii() and page.isdigit() and len(page) < len(str(MOST_PAGES)) else 1
        return cls(**said, page=max(1, number))

    @property
    def first(self) -> int:
        """How many rows are passed over. [1]."""
        return (self.page - 1) * PAGE

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kind that is wanted."""
        return (self.kind,) if self.kind else ()

    @property
    def states(self) -> tuple[str, ...]:
        """The state that is wanted."""
        return (self.state,) if self.state else ()

    @property
    def asks(self) -> bool:
        """Whether less than the beginning of everything is wanted."""
        return self != EVERYTHING

    def address(self, href: str, page: int | None = None) -> str:
        """Address of the list with what is wanted of it, on this page or another."""
        said = [(name, getattr(self, name)) for name in ("words", "kind", "state", "about", "by")]
        number = self.page if page is None else page
        asked = urlencode([one for one in said if one[1]] + ([("page", str(number))] if number > 1 else []))
        return f"{href}?{asked}" if asked else href


EVERYTHING = Wanted()
"""The beginning of everything."""


KINDS_SAID = {"result reckoned": later("result calculated")}
"""Kinds of entry that a page says in other words than the book keeps them under."""


def kind_said(kind: str) -> str:
    """A kind of thing or entry as a page says it.

    Parameters
    ----------
    kind : str
        As the book keeps it.
    """
    return t(KINDS_SAID[kind]) if kind in KINDS_SAID else word(kind)


def finder(
    wanted: Wanted,
    href: str,
    shown: int,
    count: int,
    *,
    kinds: tuple[str, ...] = (),
    states: tuple[str, ...] = (),
    spellings: tuple[str, ...] = (),
) -> tuple[Finder, ...]:
    """The block over a list; none where the list is short and nothing was asked.

    Parameters
    ----------
    href : str
        Address of the list.
    shown, count : int
        Rows of this page, and of the whole list. [1]
    kinds, states : tuple of str
        What may be chosen.
    spellings : tuple of str
        What was taken for a word that nothing begins with.
    """
    if count <= SHOWN_FROM and not wanted.asks:
        return ()
    choices = tuple(
        Choice(name, label, tuple((one, kind_said(one)) for one in offers), getattr(wanted, name))
        for name, label, offers in (("kind", t("Kind"), kinds), ("state", t("Status"), states))
        if len(offers) > 1
    )
    says = (
        t(
            "{first} to {last} of {count}",
            first=wanted.first + 1,
            last=wanted.first + shown,
            count=f"{count:,}",
        )
        if shown
        else t("none of {count}", count=f"{count:,}")
    )
    if spellings:
        says = t("{part}; nothing is spelled so, found: {words}", part=says, words=", ".join(spellings[:6]))
    links = []
    if wanted.page > 1:
        links.append(Link(t("before"), wanted.address(href, wanted.page - 1)))
    if wanted.first + shown < count and shown:
        links.append(
            Link(
                t("next {count}", count=min(PAGE, count - wanted.first - shown)),
                wanted.address(href, wanted.page + 1),
            )
        )
    return (Finder(href, wanted.words, choices, says, tuple(links)),)
