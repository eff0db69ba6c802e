"""The form of a question, as data: a few entries on one screen, and what else may be said, folded away.

An entry is a row of one to three controls under one label. Decides nothing about what may be entered.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeAlias

from stillroom.asking.entries import ControlKind, Entry
from stillroom.asking.question import Question
from stillroom.errors import spoken
from stillroom.quantities.money import EURO
from stillroom.texts.catalogue import t

Choices: TypeAlias = tuple[tuple[str, str], ...]

NOTHING_SAID: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Control:
    """One field in a row."""

    name: str
    label: str
    """What it is by itself, for whoever cannot see the row."""
    kind: ControlKind = "text"
    """With "list", text with names to choose from."""
    unit: str = ""
    choices: Choices = ()
    value: str = ""
    """Shown before anything was typed."""


@dataclass(frozen=True, slots=True)
class Row:
    """One entry: a label and its controls."""

    label: str
    controls: tuple[Control, ...]
    hint: str = ""
    when: str = ""
    """Style class of a row that is shown only while a choice stands."""


@dataclass(frozen=True, slots=True)
class AskForm:
    """A question with its entries."""

    name: str
    title: str
    lead: str
    button: str
    rows: tuple[Row, ...]
    """All on one screen of a phone."""
    more: tuple[Row, ...] = field(default=())
    """Folded away."""
    others: tuple[tuple[str, str], ...] = field(default=())
    """Other ways to ask it that have a form of their own: their words, and the entry to be opened, "" for the
    first."""

    @property
    def fields(self) -> tuple[str, ...]:
        """Names of every field."""
        return tuple(one.name for row in (*self.rows, *self.more) for one in row.controls)

    @property
    def entries(self) -> tuple[str, ...]:
        """Names of the fields that are asked."""
        return tuple(one.name for row in self.rows for one in row.controls)


def form_of(
    question: Question,
    said: Mapping[str, str] = NOTHING_SAID,
    opened: str = "",
    today: date | None = None,
    currency: str = EURO,
) -> AskForm:
    """The form of a question, in the language spoken at the moment.

    Parameters
    ----------
    said : mapping of str to str
        What is not asked has a row where it was said.
    opened : str
        And where it is opened.
    currency : str
        In which a hint shows a price.
    """
    rows: list[list[Entry]] = []
    named = dict.fromkeys((opened, *said) if opened else said)
    apart = question.apart(named)
    for one in apart.said.entries() if apart else question.asked_at_first:
        if one.face.get("unasked") and one.name not in named:
            continue
        if one.face.get("beside"):
            rows[-1].append(one)
        else:
            rows.append([one])
    return AskForm(
        question.name,
        t(question.title),
        _words(question.lead),
        t(question.button),
        tuple(_row(one, today, currency) for one in rows if not _folded(question, one)),
        (*(_row(one, today, currency) for one in rows if _folded(question, one)), *_others(question, named)),
        tuple(
            (t(way.called), name)
            for name, way in (("", question.asks), *question.instead.items())
            if way.called and way is not (apart or question.asks)
        ),
    )


def _folded(question: Question, entries: list[Entry]) -> bool:
    face = entries[0].face
    unasked = face.get("unasked", False) and entries[0].name not in question.instead
    return face.get("folded", False) or unasked


def _others(question: Question, named: Iterable[str]) -> tuple[Row, ...]:
    """A row for each thing that was said, or is opened, and whose name hangs on what was said before it."""
    others = question.asks.said.others()
    if others is None:
        return ()
    asked = {one.name for one in question.entries}
    return tuple(
        Row(others.called(name), (Control(name, others.called(name)),), _words(others.hint))
        for name in named
        if name not in asked
    )


def _row(entries: list[Entry], today: date | None, currency: str) -> Row:
    first = entries[0].face
    controls = tuple(_control(one, today) for one in entries)
    hint = t(first["hint"], currency=currency) if "hint" in first else ""
    return Row(_words(first["label"]), controls, hint, first.get("when", ""))


def _control(one: Entry, today: date | None) -> Control:
    face, options = one.face, tuple((name, _words(words)) for name, words in one.reads.options().items())
    if one.reads.kind == "choice" and not one.needed and "chosen" not in face:
        options = (("", t("not said")), *options)
    label = _words(face.get("short", face["label"]))
    value = face["begins"](today) if today and "begins" in face else face.get("chosen", "")
    return Control(one.name, label, one.reads.kind, _words(one.reads.unit), options, value)


def _words(text: str) -> str:
    return spoken(text) if text else ""
