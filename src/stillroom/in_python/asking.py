"""Every question as a function of its entries; the same answer as page and command give."""

import inspect
import keyword
from collections.abc import Callable, Mapping
from datetime import date, datetime

from stillroom.actions.questions import answered
from stillroom.asking.entries import Entry
from stillroom.asking.figures import Known, figures_of
from stillroom.asking.question import Question
from stillroom.documents.blocks import Page
from stillroom.errors import StillroomError, UnknownName
from stillroom.in_python.figures import Figures
from stillroom.records.answer_entries import LeftUnsaid


class Reply(Figures):
    """A question answered.

    Attributes
    ----------
    lesson, label : Page or None
    unsaid : tuple of LeftUnsaid
        What was taken because nobody said it.
    refused : StillroomError or None
        Why it must not be done as it was asked; its figures say by how much.
    """

    def __init__(
        self,
        figures: Mapping[str, Known],
        page: Page,
        *,
        papers: tuple[Page | None, Page | None],
        unsaid: tuple[LeftUnsaid, ...],
        refused: StillroomError | None,
    ) -> None:
        super().__init__(figures, page)
        self.lesson, self.label = papers
        self.unsaid, self.refused = unsaid, refused

    def __repr__(self) -> str:
        warning = (f"  must not be done: {self.refused}",) if self.refused else ()
        return "\n".join((super().__repr__(), *warning))


def asker(question: Question) -> Callable[..., Reply]:
    """A question as a function of its entries.

    Parameters
    ----------
    question : Question

    Returns
    -------
    function
        Takes each entry as a person writes it, by the name of its option; a list where several are meant. Raises
        ``StillroomError`` for what cannot be read or answered.
    """

    def ask(*, today: date | None = None, **said: object) -> Reply:
        names = {_parameter(one): one for one in question.entries}
        open_to_others = question.asks.said.others() is not None
        for name in said:
            if name not in names and not open_to_others:
                raise UnknownName.among(name, f"an entry of {question.name}", names)
        fields = dict(_field(name, names.get(name), one) for name, one in said.items())
        for name in said:
            if (entry := names.get(name)) is not None:
                entry.refuse_silent_ratio(fields, where=name)
        found = answered(question.name, fields, today or datetime.now().astimezone().date())
        question.refuse_unread(found)
        return Reply(
            figures_of(found.found),
            found.page,
            papers=(found.lesson, found.label),
            unsaid=found.unsaid,
            refused=found.refused,
        )

    kind = inspect.Parameter.KEYWORD_ONLY
    ask.__name__ = ask.__qualname__ = question.name
    ask.__doc__ = "\n".join(
        (str(question.help), "", *(f"{_parameter(one)} : {_said_of(one)}" for one in question.entries))
    )
    ask.__signature__ = inspect.Signature(  # type: ignore[attr-defined]
        [inspect.Parameter(_parameter(one), kind, default="") for one in question.entries]
        + [inspect.Parameter("today", kind, default=None)],
        return_annotation=Reply,
    )
    return ask


def _parameter(one: Entry) -> str:
    name = one.face.get("option", one.name).replace("-", "_")
    return f"{name}_" if keyword.iskeyword(name) else name


def _said_of(one: Entry) -> str:
    return str(one.face.get("help") or ", ".join(str(part) for part in _labels(one) if part))


def _labels(one: Entry) -> tuple[str, str]:
    return one.face["label"], one.face.get("hint", "")


def _field(name: str, entry: Entry | None, said: object) -> tuple[str, str]:
    """An entry and its text; one whose name hangs on what else was said is called as at the command."""
    if entry is None:
        return name.replace("_", "-"), "" if said is None else str(said)
    return entry.name, _written(entry, said)


def _written(entry: Entry, said: object) -> str:
    if isinstance(said, list | tuple):
        return entry.face.get("joined", "; ").join(str(one) for one in said)
    return "" if said is None else str(said)
