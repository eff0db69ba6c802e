"""A question, declared once, and its answer: the page, the lesson, the label, and what nobody said.

Promises that everything said is read before anything is worked out, and that the page, the command and what is kept
come from one answer.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from stillroom.asking.entries import Assumption, Entry
from stillroom.asking.figures import answer_in, figures_of
from stillroom.asking.said import Said
from stillroom.documents.blocks import NO_BOOK, Block, LabelFace, Page, PageFacts, Points
from stillroom.documents.doors import Unsaid, opened_at, question_address, said_in, unsaid_blocks
from stillroom.documents.lessons import Lesson, lesson_page
from stillroom.errors import BadEntry, StillroomError, UnknownName, worded
from stillroom.records.answer_entries import LeftUnsaid
from stillroom.records.conditions import Condition
from stillroom.texts.catalogue import t

if TYPE_CHECKING:
    from stillroom.records.procedures import Procedure

Words = TypeVar("Words", bound=Said)
Found = TypeVar("Found")
House = Mapping[str, Condition]
NOTHING_NOTED: House = {}


@dataclass(frozen=True, slots=True)
class Told:
    """The answer as blocks: ``blocks`` first, then what nobody said, then ``after``."""

    title: str
    lead: str
    blocks: tuple[Block, ...]
    after: tuple[Block, ...] = ()


@dataclass(frozen=True, slots=True)
class Way(Generic[Words, Found]):
    """One way to ask a question: what is said, how it is worked out, what is told of it, what is taught."""

    said: type[Words]
    """Its entries."""
    works: Callable[[Words], Found]
    """From what was said to what is found."""
    tells: Callable[[Found, Words], Told]
    """From what was found and said to the answer."""
    teaches: Callable[[Found, Words], Lesson | None] | None = None
    """The same as a lesson; None where no way tempts."""
    assumes: Callable[[Found, Words], tuple[Assumption, ...]] | None = None
    """What the answer stands on beside what its entries declare."""
    refuses: Callable[[Found, Words], StillroomError | None] | None = None
    """Why what was asked must not be done, for a command; None where it may."""
    labels: Callable[[Found, Words], LabelFace | None] | None = None
    """A label for the bottle of what was mixed; None where nothing goes into one."""
    makes: "Callable[[Found, Words], Procedure | None] | None" = None
    """The recipe of what is mixed by it, so that it can be made as a lot; None where nothing is."""
    called: str = ""
    """What a way with a form of its own is called there."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """One option of a command that says several entries: "20 drops of water weigh 0.98 g"."""

    option: str
    help: str
    says: tuple[str, ...]
    """The entries; they have no option of their own."""
    reads: Callable[[str, int], Mapping[str, str]]
    """From what was typed, and how often such an option stood before it, to the entries in text."""
    many: bool = False
    """Whether it may be said several times."""


@dataclass(frozen=True, slots=True)
class Question:
    """A question, said once and asked at every door.

    ``title``, ``lead``, ``button``: of the form.
    """

    name: str
    """Its address, and its verb."""
    title: str
    lead: str
    button: str
    help: str
    """What the command says of itself."""
    kind: str
    """Kind of the page that answers it."""
    asks: Way[Any, Any]
    instead: Mapping[str, Way[Any, Any]] = field(default_factory=dict)
    """Another way to ask it, by the entry that is said then."""
    sentences: tuple[Sentence, ...] = ()
    """Options of the command that say several entries."""

    @property
    def entries(self) -> tuple[Entry, ...]:
        """Every entry of every way, each once, in the order they were declared."""
        every: dict[str, Entry] = {}
        for way in (self.asks, *self.instead.values()):
            for one in way.said.entries():
                every.setdefault(one.name, one)
        return tuple(every.values())

    @property
    def asked_at_first(self) -> tuple[Entry, ...]:
        """Entries of the form: not those of ways that have a form of their own."""
        apart = [way for name, way in self.instead.items() if self.apart((name,))]
        if not apart:
            return self.entries
        here = {one.name for one in self.asks.said.entries()}
        return tuple(one for one in self.entries if one.name in here)

    def apart(self, named: Iterable[str]) -> Way[Any, Any] | None:
        """The way with a form of its own that is asked in, by an entry that the form does not ask.

        Parameters
        ----------
        named : iterable of str
            Entries that were said or are opened.
        """
        for name, way in self.instead.items():
            face = next(one.face for one in way.said.entries() if one.name == name)
            if name in named and face.get("unasked"):
                return way
        return None

    @property
    def papers(self) -> tuple[str, ...]:
        """What it may be printed as, beside its answer."""
        made = {"lesson": self.asks.teaches, "label": self.asks.labels}
        return tuple(paper for paper, makes in made.items() if makes)

    @property
    def offers(self) -> dict[str, str]:
        """Entries that the house may answer, with the condition of each."""
        return {one.name: one.face["house"] for one in self.entries if "house" in one.face}

    def way(self, text: Mapping[str, str]) -> Way[Any, Any]:
        """The way it is asked in."""
        return next((way for name, way in self.instead.items() if text.get(name)), self.asks)

    def refuse_unread(self, found: "Answered") -> None:
        """Refuse a name that is no entry: a misspelt one would drop a temperature without a word.

        Raises
        ------
        UnknownName
        """
        if found.unread:
            known = [one.name for one in self.entries]
            raise UnknownName.among(found.unread[0], worded("an entry of {name}", name=self.name), known)


@dataclass(frozen=True, slots=True)
class Answered:
    """A question answered, on paper and screen."""

    page: Page
    lesson: Page | None
    label: Page | None
    """For the bottle, where something was mixed."""
    unsaid: tuple[LeftUnsaid, ...]
    """What was taken because nobody said it."""
    refused: StillroomError | None = None
    """Why it must not be done as it was asked."""
    found: Any = None
    """What was worked out, for a program."""
    unread: tuple[str, ...] = ()
    """Names that were said and are no entry."""
    recipe: "Callable[[], Procedure | None] | None" = None
    """Gives the recipe of what is mixed by the answer; None where a question mixes nothing."""


def answer(
    question: Question,
    fields: Mapping[str, str],
    today: date,
    facts: PageFacts = NO_BOOK,
    house: House = NOTHING_NOTED,
    works: Callable[[Any], Any] | None = None,
) -> Answered:
    """Answer a question.

    Parameters
    ----------
    fields : mapping of str to str
        What was entered; an empty field was not said.
    facts : PageFacts
        Of the laboratory, where one is open.
    house : mapping of str to Condition
        What the house noted last, by entry.
    works : callable or None
        Works it out in place of the question's own, with what a book knows.

    Raises
    ------
    StillroomError
        What was entered cannot be answered; several slips are told together.
    """
    text = said_in(fields)
    way = question.way(text)
    _refuse_two_ways(question, way, text)
    said = way.said.read(text, today, house)
    found = (works or way.works)(said)
    told = way.tells(found, said)
    taken = (
        _shown(question.name, name, one, found, said)
        for name, one in _assumed(way, found, said)
        if one.counts is None or one.counts(found, said)
    )
    unsaid = tuple(sorted(taken, key=lambda one: -abs(one.effect_share)))
    page = Page(
        title=told.title,
        kind=question.kind,
        code="",
        blocks=(*told.blocks, *unsaid_blocks(unsaid), *told.after),
        **facts,
        lead=told.lead,
        href=question_address(question.name, text),
        names={answer_in(one).key: name for name, one in figures_of(found).items()},
    )
    lesson = way.teaches(found, said) if way.teaches else None
    label = way.labels(found, said) if way.labels else None
    return Answered(
        page,
        lesson_page(
            lesson,
            title=f"Lesson: {page.title}",
            href=question_address(f"{question.name}/lesson", text),
            **facts,
        )
        if lesson
        else None,
        _label_page(label, page.title, question_address(f"{question.name}/label", text), facts)
        if label
        else None,
        tuple(
            LeftUnsaid(str(one.what), str(one.taken), str(one.because), str(one.effect), one.field)
            for one in unsaid
        ),
        way.refuses(found, said) if way.refuses else None,
        found,
        tuple(
            one for one in text if one not in {each.name for each in question.entries} | said.others_said()
        ),
        partial(way.makes, found, said) if way.makes else None,
    )


def _refuse_two_ways(question: Question, way: Way[Any, Any], text: Mapping[str, str]) -> None:
    """Refuse what another way of asking hangs on, and this one would drop; a form says every choice anyway."""
    instead = next((name for name, one in question.instead.items() if one is way), "")
    here = {one.name for one in way.said.entries()}
    for one in question.entries if instead else ():
        if one.needed and one.name in text and one.name not in here and one.reads.kind != "choice":
            raise BadEntry(
                worded("{name!r} and {instead!r} are two ways of asking", name=one.name, instead=instead),
                "both", "Leave one of them out", where=one.name,
            )  # fmt: skip


def _label_page(label: LabelFace, of: str, href: str, facts: PageFacts) -> Page:
    """A label for the bottle, to print or to copy by pen."""
    told = t("A label of the store room, not of a product: nothing here was released.")
    return Page(
        title=t("Label for {title}", title=of),
        kind="label",
        code="",
        blocks=(label, Points((told,), "missing")),
        **facts,
        href=href,
    )


def _assumed(way: Way[Words, Found], found: Found, said: Words) -> Iterator[tuple[str, Assumption]]:
    """What the answer stands on because nobody said it, each with the entry that replaces it."""
    for one in said.entries():
        if one.assumption is not None and one.name not in said.text:
            yield one.name, one.assumption
    for more in way.assumes(found, said) if way.assumes else ():
        yield more.field, more


def _shown(question: str, name: str, one: Assumption, found: object, said: Said) -> Unsaid:
    what, taken, because, effect = (
        part(found, said) if callable(part) else part
        for part in (one.what, one.taken, one.because, one.effect)
    )
    share = one.share(found, said) if callable(one.share) else one.share
    return Unsaid(what, taken, because, effect, share, name, opened_at(question, said.text, name))
