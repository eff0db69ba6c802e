"""What a document is made of: one frozen page, a list of blocks, four ways to set it.

A page is built once from records and answers. ``as_text``, ``as_json``, ``as_sheet`` and the web templates each know
every kind of block, so a page, its data twin, its print and its plain text cannot disagree. A test walks the kinds.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias, TypedDict

LeafKind: TypeAlias = Literal["reading", "published", "assumed", "own runs"]


@dataclass(frozen=True, slots=True)
class ShownLeaf:
    """Where a shown number ends: a reading, a published row or an assumption."""

    kind: LeafKind
    text: str
    href: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """A number as it is printed, with its reason."""

    label: str
    """What the number is."""
    value: str
    """Already rounded."""
    plus_minus: str = ""
    """Uncertainty as text, without its sign; "" where there is none."""
    unit: str = ""
    basis: str = ""
    how: str = ""
    """One sentence."""
    leaves: tuple[ShownLeaf, ...] = ()
    """The first of them; ``more_leaves`` tells how many the trail holds beside these."""
    exact: float | None = None
    """Unrounded value, for the data twin."""
    u: float | None = None
    """Its standard uncertainty, unrounded."""
    name: str = ""
    """What a program finds it by: the name of its formula, or of what was read."""
    answer: str = ""
    """Key of the answer, for ``stillroom why``."""
    href: str = ""
    span: str = ""
    """Where most of the draws lie, "80.1 to 96.4"; "" where nothing was drawn."""
    more_leaves: int = 0
    put_right: str = ""
    """Address where a written figure is put right, on a page only."""

    def __str__(self) -> str:
        spread = f"± {self.plus_minus}" if self.plus_minus else ""
        span = f"({self.span})" if self.span else ""
        return " ".join(part for part in (self.value, spread, self.unit, span) if part)


Cell: TypeAlias = "str | Shown | Link | Mark"


@dataclass(frozen=True, slots=True)
class Link:
    """Words that lead to another page."""

    text: str
    href: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A state: always a sign, a word and a colour together."""

    word: str


@dataclass(frozen=True, slots=True)
class Heading:
    """Words over what follows; on a screen a folded one opens what stands under it, on paper all is seen."""

    text: str
    level: Literal[2, 3] = 2
    folded: bool = False


@dataclass(frozen=True, slots=True)
class Prose:
    """A sentence or two; quiet ones are smaller."""

    text: str
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class Numbers:
    """Numbers one under the other, each with its reason in the margin."""

    items: tuple[Shown, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """Pairs of word and value that need no reason."""

    items: tuple[tuple[str, Cell], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head; ``figures`` names the columns on the decimal point, ``pen`` those left for ink on paper."""

    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    figures: tuple[int, ...] = ()
    caption: str = ""
    pen: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Caution:
    """Hazard, the moment it matters, what to do. Of several in a row the first stands open on a screen."""

    hazard: str
    moment: str
    wording: str


@dataclass(frozen=True, slots=True)
class Points:
    """A list of short sentences: what is missing, what to do."""

    items: tuple[str, ...]
    kind: Literal["plain", "missing", "done"] = "plain"


@dataclass(frozen=True, slots=True)
class River:
    """The stream drawing: SVG wide and tall, and the same in words."""

    wide_svg: str
    tall_svg: str
    words: str


@dataclass(frozen=True, slots=True)
class PenLines:
    """Room for ink on a printed sheet."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ScanCode:
    """A square code that a phone reads, with the same text beneath."""

    text: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Reasons:
    """A trail printed as a table: every answer once, leaves named."""

    rows: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class LabelFace:
    """A label at its true size."""

    width_mm: float
    height_mm: float
    title: str
    lines: tuple[str, ...]
    small: tuple[str, ...]
    code: str
    copy_by_pen: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Empty:
    """What to put here first and why."""

    what: str
    why: str
    link: Link | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One field of a search with what may be chosen: value and words of each; ``chosen`` is "" for all."""

    name: str
    label: str
    offers: tuple[tuple[str, str], ...]
    chosen: str = ""


@dataclass(frozen=True, slots=True)
class Finder:
    """What a long list is searched by, which part of it is shown, and where the rest stands."""

    href: str
    """Address of the list."""
    words: str
    """What was searched for."""
    choices: tuple[Choice, ...]
    says: str
    """Which part is shown: "1 to 50 of 812"."""
    links: tuple[Link, ...] = ()
    """The pages beside it."""


@dataclass(frozen=True, slots=True)
class TurnOver:
    """What follows stands on the back of the sheet."""

    text: str


Block: TypeAlias = (
    Heading
    | Prose
    | Numbers
    | Facts
    | Table
    | Caution
    | Points
    | River
    | PenLines
    | ScanCode
    | Reasons
    | LabelFace
    | Empty
    | Finder
    | TurnOver
)
BLOCKS: tuple[type[Block], ...] = (
    Heading,
    Prose,
    Numbers,
    Facts,
    Table,
    Caution,
    Points,
    River,
    PenLines,
    ScanCode,
    Reasons,
    LabelFace,
    Empty,
    Finder,
    TurnOver,
)


@dataclass(frozen=True, slots=True)
class Page:
    """A document or page."""

    title: str
    kind: str
    """Such as "plan", "batch sheet", "certificate", "label", "trace report", "lot", ..."""
    code: str
    """Code of what it speaks of."""
    blocks: tuple[Block, ...]
    practice: bool
    """True for the practice laboratory: every page and print says so."""
    laboratory: str = ""
    date: str = ""
    """ISO date printed on it; the date of the work, not of the printing."""
    book: str = ""
    """First digits of the book's digest at the time."""
    status: str = ""
    """Either "" or a word shown as a mark."""
    lead: str = ""
    """One sentence under the title."""
    href: str = ""
    """Address of the page, "" for a document that is only printed."""
    names: Mapping[str, str] = field(default_factory=dict)
    """What a program finds a figure by, by the key of its answer, where the page knows better than its formula."""


def warns(page: Page) -> bool:
    """Whether the page holds a caution, and so has to say once who comes first."""
    return any(isinstance(block, Caution) for block in page.blocks)


class PageFacts(TypedDict):
    """What every page says of itself: whose laboratory, whether it is for practice, from which book, on which date."""

    practice: bool
    laboratory: str
    date: str
    book: str


NO_BOOK = PageFacts(practice=False, laboratory="", date="", book="")
"""What a page says of itself where no laboratory is open."""


def numbers(*items: Shown) -> Numbers:
    """Numbers block from its items."""
    return Numbers(tuple(items))


def points(items: Sequence[str], kind: Literal["plain", "missing", "done"] = "plain") -> Points:
    """Points block from its sentences."""
    return Points(tuple(items), kind)
