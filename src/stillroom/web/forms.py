"""What a person typed, and the forms they typed it into.

A form is data: its fields are named as the errors of the actions name them, so that a sentence finds its
field. A form carries a key made when it was opened: sent twice, it is written once. Nothing here decides what
may be entered.
"""

import re
from collections.abc import AsyncIterator, Iterator, Mapping
from contextlib import nullcontext
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Annotated, Any, Literal, TypeAlias, TypedDict

from fastapi import Depends, Request

from stillroom.actions.bench.form_choices import book_id
from stillroom.actions.book.clock import TIME_IS_RIGHT
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.duties import must_hold
from stillroom.actions.house.phones import phone_of
from stillroom.actions.house.pins import prove
from stillroom.documents.blocks import Page
from stillroom.errors import BadEntry, NotAllowed, Phrase, StillroomError, worded
from stillroom.quantities.entry import with_unit
from stillroom.reference.cautions import Caution
from stillroom.web.duties import SIGNED_IN, Needs, duty_of
from stillroom.web.left_open import new_key
from stillroom.web.request_body import photograph_in_turn, read_body

HAND = "hand"
JOINED = "phone"
"""Cookie of a phone that joined."""
PIN = "pin"
THIS_MACHINE = frozenset({"127.0.0.1", "::1", "localhost", "testserver"})
_KEY = re.compile(r"[0-9a-zA-Z-]{8,64}")

AskKind: TypeAlias = Literal[
    "text", "figure", "date", "datetime-local", "long", "hidden", "pin", "photograph", "table"
]
Choices: TypeAlias = tuple[tuple[str, str], ...]


class Signed(TypedDict):
    """Who did it, when, and the key of the form."""

    by: str
    at: datetime | None
    request_key: str | None


@dataclass(frozen=True, slots=True)
class Typed:
    """The fields of a form as they came in."""

    fields: Mapping[str, str] = field(default_factory=dict)
    """White space at the ends left out; a field that did not come is ""."""
    pin: str = field(default="", repr=False)
    """PIN of who signs. It is no field: a form that comes back shows it to nobody."""
    photograph: bytes | None = field(default=None, repr=False)
    """A picture as it was sent, to be given to ``keep_photograph``."""
    table: bytes | None = field(default=None, repr=False)
    """A table as it was sent."""
    on_a_phone: bool = False
    """Whether it came in by the phones' door."""
    phone: str = ""
    """Key of the phone, "" at the laptop."""
    needs: Needs = "maker"
    """Duty of whoever signs."""
    signed_in: str = ""
    """Code of who is signed in; "" at one's own machine."""

    def __getitem__(self, name: str) -> str:
        return self.fields.get(name, "")

    def get(self, name: str, otherwise: str = "") -> str:
        """What was typed, or something else where the field did not come."""
        return self.fields.get(name, otherwise)

    def amount(self, name: str, unit: str) -> str:
        """A figure with the unit printed beside its field, unless another unit was typed."""
        return with_unit(self[name], unit)

    def amounts(self, name: str, unit: str) -> tuple[str, ...]:
        """Figures on lines of their own, or parted by semicolons."""
        parts = [one.strip() for one in re.split(r"[;\n]", self[name]) if one.strip()]
        return tuple(with_unit(one, unit) for one in parts)

    def whole(self, name: str, what: str) -> int:
        """A whole number.

        Raises
        ------
        BadEntry
            It is none.
        """
        text = self[name]
        if not re.fullmatch(r"[0-9]{1,6}", text):
            raise BadEntry(
                worded("{what} must be a whole number", what=Phrase(what)),
                repr(text),
                "Count, then write it in digits",
                where=name,
            )
        return int(text)

    def must_be_for(self, lab: Laboratory) -> None:
        """Let nothing through that was typed for another book.

        Raises
        ------
        NotAllowed
            It waited in a phone, or another laboratory was opened in the meantime.
        """
        if self["book"] and self["book"] != book_id(lab):
            raise NotAllowed(
                "An entry goes into the book it was typed for",
                "one that was typed for another laboratory",
                "Open that laboratory, or throw the entry away",
            )

    def signed(self, lab: Laboratory) -> Signed:
        """Who signs, when it was done, and the key that writes a form once.

        Raises
        ------
        BadEntry
            Nobody signs, the PIN is missing or wrong, or the time is none.
        NotAllowed
            The PIN is locked, a phone signs for somebody without one, or the form was made for another book.
        """
        self.must_be_for(lab)
        TIME_IS_RIGHT.set(self["time-is-right"] == "yes")
        if not self["by"]:
            raise BadEntry("Somebody must sign", "nobody", "Choose who did it", where="by")
        if self.signed_in and self["by"] != self.signed_in:
            raise NotAllowed(
                "From elsewhere whoever is signed in signs",
                worded("{by}, where {signed_in} is signed in", by=self["by"][:20], signed_in=self.signed_in),
                "Sign in as the one who did it",
                where="by",
            )
        if self.needs not in ("anybody", "reader"):
            must_hold(lab, self["by"], self.needs)
        prove(lab, self["by"], self.pin, on_a_phone=self.on_a_phone, phone=self.phone)
        return Signed(by=self["by"], at=self._done_at(lab), request_key=self.key)

    @property
    def key(self) -> str | None:
        """The key of the form, None where it carries none."""
        return self["request_key"] if _KEY.fullmatch(self["request_key"]) else None

    def _done_at(self, lab: Laboratory) -> datetime | None:
        text = self["at"]
        if not text:
            return None
        try:
            told = datetime.fromisoformat(text)
        except ValueError:
            raise BadEntry("A time is written like 2026-11-05 14:30", repr(text[:40]), where="at") from None
        return told if told.tzinfo else told.replace(tzinfo=lab.clock().tzinfo)


NOTHING_TYPED = Typed()


async def read_form(request: Request) -> AsyncIterator[Typed]:
    """The form that came in; its PIN and its photograph stand apart from what may be shown again."""
    incoming = await read_body(request)
    pin = incoming.fields.pop(PIN, "")
    on_a_phone = comes_from_a_phone(request.scope)
    typed = Typed(
        incoming.fields,
        pin=pin,
        photograph=incoming.photograph,
        table=incoming.table,
        on_a_phone=on_a_phone,
        phone=phone_of(request.cookies.get(JOINED, "")) if on_a_phone else "",
        needs=duty_of(request.scope) or "owner",
        signed_in=request.scope.get(SIGNED_IN, ""),
    )
    async with photograph_in_turn() if typed.photograph else nullcontext():
        yield typed


def comes_from_a_phone(scope: Mapping[str, Any]) -> bool:
    """Whether a request came in by the phones' door, told by the socket that heard it."""
    server = scope.get("server")
    return not server or server[0] not in THIS_MACHINE


TypedForm: TypeAlias = Annotated[Typed, Depends(read_form)]


@dataclass(frozen=True, slots=True)
class Ask:
    """One field of a form. Its name is the slug of the place its errors name."""

    name: str
    label: str
    kind: AskKind = "text"
    unit: str = ""
    hint: str = ""
    value: str = ""
    required: bool = True
    choices: Choices | None = None

    @property
    def add_one_at(self) -> str:
        """Address where a first one is added, where there is nothing to choose from; "" where there is."""
        if self.choices is None or not self.required or any(key for key, _ in self.choices):
            return ""
        return ADDED_AT.get(self.name, "")


ADDED_AT = {
    "scale": "/laboratory/scales/new",
    "apparatus": "/laboratory/scales/new",
    "thermometer": "/laboratory/thermometers/new",
    "burette": "/laboratory/burettes/new",
    "titrant": "/reagents",
    "reagent": "/reagents",
    "extract": "/make/new",
}
"""Where the first of what a list offers is entered, by the name of the field."""

Row: TypeAlias = "Ask | tuple[Ask, ...]"


@dataclass(frozen=True, slots=True)
class Form:
    """A form as data.

    ``title``, ``kind``, ``lead``: heads of the page.
    """

    title: str
    kind: str
    button: str
    """What the button does."""
    rows: tuple[Row, ...]
    """Fields that stand side by side are a tuple."""
    here: str
    """Page of the running head."""
    back: str
    """Address to go back to."""
    action: str = ""
    """Address it is sent to, where it is another than it stands at."""
    lead: str = ""
    cautions: tuple[Caution, ...] = ()
    """Shown before the fields."""
    page: Page | None = None
    """Blocks shown above the fields."""
    stops: bool = False
    """True for what cannot be taken back or stops a lot: the button is copper."""
    links: tuple[tuple[str, str], ...] = ()
    """Other things to do from here: words and address."""
    more: tuple[Row, ...] = ()
    """Fields folded beneath the others; open where something of them was typed, or anything is asked back."""

    def asks(self) -> Iterator[Ask]:
        """Every field, one after the other."""
        for row in (*self.rows, *self.more):
            yield from row if isinstance(row, tuple) else (row,)

    def fields_shown(self) -> set[str]:
        """Names of the fields at which a sentence can be read."""
        return {one.name for one in self.asks() if one.kind != "hidden"}

    @property
    def brings_a_file(self) -> bool:
        """Whether a photograph or a table may come with it."""
        return any(one.kind in ("photograph", "table") for one in self.asks())

    def with_page(self, page: Page) -> "Form":
        """The same form beneath the blocks of a page."""
        return replace(self, page=page)


@dataclass(frozen=True, slots=True)
class Trouble:
    """What went wrong with a form, each sentence at its field where there is one."""

    at: dict[str, str]
    """Field and its sentence."""
    above: str
    """What belongs to no field."""


def trouble_of(error: StillroomError, names: set[str]) -> Trouble:
    """An error's sentences put to the fields they speak of.

    Parameters
    ----------
    names : set of str
        Fields of the form.
    """
    at: dict[str, str] = {}
    above: list[str] = []
    for one in getattr(error, "errors", ()) or (error,):
        name = _field_of(one.where, names)
        if name and name not in at:
            at[name] = type(one)(one.must, one.got, one.do).sentence
        else:
            above.append(one.sentence)
    return Trouble(at, " ".join(above))


def field_name(words: str) -> str:
    """Words as the name of a field."""
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")


def shown_fields(form: Form, typed: Typed) -> dict[str, Any]:
    """What a template needs to print a form with what was typed kept."""
    return {"form": form, "typed": typed, "key": typed.key or new_key()}


def _field_of(where: str, names: set[str]) -> str:
    slug = field_name(where)
    return next((one for one in (where, slug, f"mass-{slug}") if one and one in names), "")
