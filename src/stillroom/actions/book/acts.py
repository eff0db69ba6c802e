"""An act of the book is a question that writes: what is said of it is declared once, and every door reads it off.

The form, the command, JSON and a program say the same entries; here they are read,
the pen is taken, and the act writes.
What follows from an act (suspended lots) is looked after by ``Laboratory.act``, for all alike.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache
from importlib import import_module
from typing import Any, Generic, Literal, TypeVar

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.asking.entries import Entry as Asked
from stillroom.asking.entries import maybe
from stillroom.asking.readers import Shown
from stillroom.asking.readers import Words as Text
from stillroom.asking.said import Lines, Said
from stillroom.documents.doors import said_in
from stillroom.errors import OutsideModel, UnknownName
from stillroom.evidence.answer import Answer, reading
from stillroom.records.entries import Entry, ReadingTaken, ResultReckoned
from stillroom.records.lots import Lot
from stillroom.records.people import Apparatus
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

Words = TypeVar("Words", bound=Said)


@dataclass(frozen=True, slots=True)
class Act(Generic[Words]):
    """What is done with a lot or a batch, said once and done at every door; called, it is the act itself.

    ``title``, ``lead``, ``button``: of the form; ``title`` may name what it is of, "Count {lot}" where ``of`` is "LOT";
    ``lead`` may be told by the book.
    ``judged``, ``certified``: names of its results that a release looks at, and that a certificate prints.
    """

    name: str
    """Its verb."""
    action: str
    """What a repeated request is told by."""
    said: type[Words]
    """Its entries."""
    writes: Callable[[BookWriter, str, Words], Done]
    """Takes the pen, the code of the lot or batch, and what was said; writes, and tells."""
    title: str
    button: str
    address: str
    """Of the form, with {code} in it."""
    help: str = ""
    """What its verb says, where it has one of its own."""
    lead: str | Callable[[Reader, str], str] = ""
    then: str = ""
    """Address to go to when it was done; the page it is offered on where that is not said."""
    called: str = ""
    """Words of the link to it where all of its sort are listed: the tests of a lot, what follows a release; it stands
    in no list where there are none."""
    on_batch: str = ""
    """Words of the link to it on the page of a batch whose bulk is made."""
    stands: Callable[[Reader, Lot], str] | None = None
    """Words of the link to it on the page of a lot; "" where nothing is to be done of it there."""
    of: str = "LOT"
    """What the verb calls the lot or batch."""
    cautions: tuple[str, ...] = ()
    """Keys of what the form warns of."""
    stops: bool = False
    """Whether it cannot be taken back, or stops a lot."""
    links: tuple[tuple[str, str], ...] = ()
    """Other things to do from there: words and address."""
    offered: Callable[[Reader, str], Mapping[str, str]] | None = None
    """What the book offers for its entries, by their names."""
    quiet: bool = True
    """Whether its link stands back behind others."""
    needs: Literal["maker", "checker", "owner"] = "maker"
    """Duty of whoever does it."""
    judged: tuple[str, ...] = ()
    certified: tuple[str, ...] = ()
    needed: Callable[[Reader, Lot], tuple[str, ...]] | None = None
    """Names of its results without which a lot made here is not released."""
    again: (
        Callable[[Reader, Entry[ResultReckoned], Sequence[Entry[ReadingTaken]]], ResultReckoned | None] | None
    ) = None
    """Its result, calculated anew from its readings once one of them was put right; None where the result is
    not one of its own. Without it, or there, what is calculated follows its trail."""
    anew: Callable[[Reader, str, Sequence[Entry[ReadingTaken]]], tuple[ResultReckoned, ...]] | None = None
    """Its results from the readings of one series, of which nothing followed before one was put right; none where they
    are not its own."""

    def __call__(
        self,
        lab: Laboratory,
        code: str,
        *,
        by: str,
        at: datetime | None = None,
        request_key: str | None = None,
        **said: Any,
    ) -> Done:
        """Do it, its entries said by their names: text, true or false, or a sequence for several lines."""
        return self.do(lab, code, self.in_fields(said), by=by, at=at, request_key=request_key)

    def do(
        self,
        lab: Laboratory,
        code: str,
        fields: Mapping[str, str],
        *,
        by: str,
        at: datetime | None = None,
        request_key: str | None = None,
    ) -> Done:
        """Do it.

        Parameters
        ----------
        code : str
            Of the lot or batch.
        fields : mapping of str to str
            What was entered; an empty field was not said.
        by : str
            Code of the person who signs.
        at : datetime or None
            When it was done; now when None.
        request_key : str or None
            The same key with the same words is written once.

        Returns
        -------
        Done
            ``says`` tells what came of it.

        Raises
        ------
        StillroomError
            Something cannot be read; several slips are told together, each at its entry.
        """
        text = said_in(fields)
        with lab.knowing_its_own():
            said = self.said.read(text, (at or lab.clock()).date(), {})
        with lab.act(self.action, {"of": code, **text}, by=by, at=at, request_key=request_key) as pen:
            if pen.earlier:
                return Done(pen.earlier)
            done = self.writes(pen, code, said)
            told = told_of_scales(pen.look, code, done.entries)
            return replace(done, says=f"{done.says} {told}".strip()) if told else done

    def in_fields(self, said: Mapping[str, Any]) -> dict[str, str]:
        """What a program or a command says, as the fields of the form.

        Parameters
        ----------
        said : mapping of str to object
            By the names of the entries, or of their options; "_" for "-".

        Raises
        ------
        UnknownName
            There is no such entry.
        BadEntry
            More lines are said than may be.
        """
        known = {each: one for one in self.said.declared() for each in names_of(one)}
        found: dict[str, str] = {}
        for name, value in said.items():
            one = known.get(name.replace("_", "-"))
            if one is None:
                raise UnknownName.among(name, f"an entry of {self.name}", known)
            found |= _fields_of(one, value)
        return found


class Acts(Mapping[str, Act[Any]]):
    """Acts by their verbs, in the order they are offered; each is loaded when it is asked for.

    Parameters
    ----------
    declared : mapping of str to str
        Where each verb is declared: "releasing.recalling:tell_people".
    """

    def __init__(self, declared: Mapping[str, str]) -> None:
        self._declared = declared

    def __getitem__(self, verb: str) -> Act[Any]:
        return _declared_at(self._declared[verb])

    def __iter__(self) -> Iterator[str]:
        return iter(self._declared)

    def __len__(self) -> int:
        return len(self._declared)


@cache
def _declared_at(place: str) -> Act[Any]:
    module, _, name = place.partition(":")
    found: Act[Any] = getattr(import_module(f"stillroom.actions.{module}"), name)
    return found


def names_of(one: Asked | Lines) -> tuple[str, ...]:
    """What an entry may be called: by its name, and by its option where that has another."""
    return (one.name, one.face["option"]) if isinstance(one, Asked) and "option" in one.face else (one.name,)


def _fields_of(one: Asked | Lines, value: Any) -> dict[str, str]:
    if isinstance(one, Asked):
        words = (
            {True: "yes", False: "no"}
            if set(one.reads.options()) == {"yes", "no"}
            else {True: "yes", False: ""}
        )
        return {one.name: words[value] if isinstance(value, bool) else str(value)}
    return one.in_fields([(each,) if isinstance(each, str) else tuple(each) for each in value])


def told_of_scales(look: Reader, subject: str, entries: Collection[int]) -> str:
    """A sentence of the first scale that cannot have shown a reading among these entries; "" where each can.

    Parameters
    ----------
    subject : str
        Lot or batch.
    """
    read: dict[str, list[tuple[float, str]]] = {}
    for one in look.readings(subject):
        if one.entry_no in entries and one.body.apparatus and one.body.unit == "g":
            read.setdefault(one.body.apparatus, []).append((one.body.value, one.body.as_written))
    return next(
        (told for code, masses in read.items() if (told := look.apparatus(code).told_of(*masses))), ""
    )


def note_where_asked() -> Any:
    """The entry in which a person says how a figure came that is asked about; with it the figure is kept."""
    return maybe(
        Text(), label=later("Note"), hint=later("Only where a figure is asked about"), folded=True,
        help="How a figure came that is asked about; with it, it is kept.",
    )  # fmt: skip


def no_result(numbers: Sequence[int], error: OutsideModel) -> Done:
    """What is told where nothing follows from readings that were taken: they are kept.

    Parameters
    ----------
    numbers : sequence of int
        Entries of the readings.
    """
    why_not = error.sentence.rstrip(".")
    return Done(tuple(numbers), t("No result: {why_not}. The readings are kept.", why_not=why_not))


@dataclass(slots=True)
class Readings:
    """The readings of one test, written one after the other.

    ``subject``, ``series``: lot or batch, and the name of this determination.
    """

    pen: BookWriter
    subject: str
    series: str = ""
    numbers: list[int] = field(default_factory=list)
    """Entries written so far."""
    note: str | None = None
    """How a figure came that was asked about; it stands with each of them."""

    def take(
        self,
        what: str,
        shown: Shown,
        tool: Apparatus | str = "",
        *,
        unit: str = "",
        spread: float | None = None,
        cause: str = "",
        called: str = "",
        source: str = "",
    ) -> Answer:
        """Write what an instrument showed, and give it as a leaf.

        Parameters
        ----------
        what : str
            What was read.
        tool : Apparatus or str
            Read with; the unit of an apparatus stands behind a bare figure, and its standard uncertainty is taken.
        unit : str
            Unit of the reading, where no apparatus tells it.
        spread : float or None
            Its standard uncertainty, where no apparatus tells it. [unit]
        cause : str
            Common to all that is off alike.
        called : str
            Name of the leaf, where that is another.
        source : str
            Words of the leaf that say where it stands, after its entry.
        """
        code, symbol, sure = "", unit or shown.units[0], spread
        if isinstance(tool, str):
            code = tool
        else:
            code, symbol, sure = tool.code, unit or tool.unit, tool.standard_uncertainty
        read = shown.value(symbol)
        body = ReadingTaken(self.subject, what, read, symbol, shown.words(symbol), code, self.series, sure)
        self.numbers.append(number := self.pen.enter(body, why=self.note or ""))
        where = f"entry {number}" + (f", {source}" if source else "")
        name = called or what
        return reading(name, read, symbol, where, entry_no=number, standard_uncertainty=sure, cause=cause)
