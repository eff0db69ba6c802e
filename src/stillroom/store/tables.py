"""The tables of the book: the typed index made from the journal, beside its foundation.

``journal`` and ``head`` never change their shape. Every table of ``INDEX`` is made from the journal's text
by ``projection`` and can be thrown away and made again; when its shape or meaning changes, raise
``INDEX_NUMBER``. ``contacts`` and ``pins`` alone can be altered and erased. A table that mirrors a record has a column
for each of its fields that is one value; what is more than one value stands in the journal, or in a table of its own.
"""

import hashlib
from collections.abc import Iterator, Sequence
from functools import cache
from typing import Any, get_type_hints

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, Integer, MetaData, Table, UniqueConstraint
from sqlalchemy.dialects.sqlite import dialect
from sqlalchemy.schema import CreateIndex, CreateTable, SchemaItem

from stillroom.records import entries as e
from stillroom.records.lots import Lot, Movement
from stillroom.records.orders import Order
from stillroom.records.people import Apparatus, Person
from stillroom.records.procedures import Procedure
from stillroom.store.foundation import FOUNDATION as FOUNDATION
from stillroom.store.foundation import column_of, text_column, whole_column
from stillroom.store.foundation import contacts as contacts
from stillroom.store.foundation import head as head
from stillroom.store.foundation import journal as journal
from stillroom.store.foundation import pins as pins
from stillroom.store.running_tables import running_tables

INDEX_NUMBER = 15

INDEX = MetaData()
MIRRORS: dict[type, str] = {}
"""The table of each record that has one."""


def _index_table(
    name: str, comment: str, *columns: SchemaItem, by: Sequence[str] = (), lines: bool = False
) -> Table:
    """Table of the index: one row for each entry, or one for each line of an entry; looked up ``by`` its columns."""
    entry_no = Column(
        "entry_no", Integer, ForeignKey(journal.c.entry_no), primary_key=True, autoincrement=False
    )
    line = [Column("line", Integer, primary_key=True, autoincrement=False)] if lines else []
    found = [Index(f"{name}_by_{one.split()[0]}", *one.split()) for one in by]
    return Table(name, INDEX, entry_no, *line, *columns, *found, comment=comment)


def _mirror(
    name: str,
    record: type,
    *more: SchemaItem,
    by: Sequence[str] = (),
    without: Sequence[str] = (),
    flat: Sequence[str] = (),
    lines: bool = False,
) -> Table:
    """Table with a column for each field of a record that is one value; a record within it that is laid ``flat``."""
    MIRRORS[record] = name
    columns = [one for one in more if isinstance(one, Column)]
    columns += _columns(record, {*without, "entry_no"}, flat)
    rules = [one for one in more if not isinstance(one, Column)]
    comment = record.__name__ + (f", without {', '.join(without)}" if without else "")
    return _index_table(name, comment, *columns, *rules, by=by, lines=lines)


def _columns(record: type, without: set[str], flat: Sequence[str]) -> Iterator[Column[Any]]:
    for field, kind in get_type_hints(record).items():
        within = (
            {f"{field}_{one}": said for one, said in get_type_hints(kind).items()} if field in flat else {}
        )
        for name, said in (within or {field: kind}).items():
            if name not in without and (column := column_of(name, said)) is not None:
                yield column


index_made = Table(
    "index_made",
    INDEX,
    Column("one", Integer, primary_key=True, autoincrement=False),
    Column("index_number", Integer, nullable=False),
    text_column("shape"),
    CheckConstraint("one = 1", name="index_made_is_one_row"),
    comment="Which making of the index this is",
)

# What every entry has.
entries = _mirror("entries", e.Entry, by=("kind", "done_at"), without=("corrects", "corrected_by", "doubt"))
subjects = _index_table(
    "subjects",
    "Every code an entry speaks of, the main one on line 1, with the kind of the entry",
    text_column("subject"),
    text_column("kind"),
    Index("subjects_by_kind", "subject", "kind", "entry_no"),
    by=("subject entry_no",),
    lines=True,
)
attachments = _index_table(
    "attachments", "Seals of the files beside the book", text_column("seal"), lines=True
)
requests = _index_table(
    "requests",
    "Which request wrote an entry, so that the same request is never carried out twice",
    text_column("key"),
    whole_column("turn"),
    text_column("asked"),
    UniqueConstraint("key", "turn", name="requests_once"),
)
words = _index_table(
    "words",
    "Words that a lot, batch, order or procedure is searched by",
    text_column("code"),
    text_column("word"),
    Index("words_by_word", "word", "code"),
    by=("code",),
    lines=True,
)
lots = _mirror("lots", Lot, by=("code", "made_by"), lines=True)
movements = _mirror(
    "movements",
    Movement,
    CheckConstraint("amount > 0", name="movements_move_something"),
    CheckConstraint("counted_in IN ('ug', 'piece')", name="movements_counted_in"),
    CheckConstraint('out_of <> "into"', name="movements_go_somewhere"),
    Index("movements_by_lot_into", "lot", "into", "entry_no", "line"),
    Index("movements_by_lot_out_of", "lot", "out_of", "entry_no", "line"),
    by=("into lot", "out_of lot"),
    lines=True,
)

# What each kind of entry brings.
books = _mirror("books", e.BookBegun)
restorations = _mirror("restorations", e.BookRestored)
people = _mirror("people", Person, by=("code",))
duties = _mirror("duties", e.DutiesGiven, by=("person",))
apparatus = _mirror("apparatus", Apparatus, by=("code",))
procedures = _mirror("procedures", Procedure, by=("code version",))
procedure_steps = _index_table(
    "procedure_steps", "The steps of a procedure, by name", text_column("name"), lines=True
)
orders = _mirror("orders", Order, by=("code",), flat=("aim", "at_least"), without=("what", "asks"))
plans = _mirror("plans", e.PlanMade, by=("order",))
receipts = _mirror("receipts", e.LotReceived, by=("goods",), without=("mass_standard_uncertainty_g",))
identities = _mirror("identities", e.IdentityDecided, by=("lot",))
plants_described = _mirror("plants_described", e.PlantDescribed, by=("lot",))
readings = _mirror("readings", e.ReadingTaken, by=("subject what",))
results = _mirror("results", e.ResultReckoned, by=("subject what",))
readings_used = _index_table(
    "readings_used",
    "Which readings a result or a dose was reckoned from",
    whole_column("reading_no"),
    Index("readings_used_by_reading", "reading_no"),
    lines=True,
)
control_tests = _mirror("control_tests", e.ControlTestRead, by=("subject",))
decisions = _mirror("decisions", e.StatusDecided, by=("subject",))
batches = _mirror("batches", e.BatchBegun, by=("code", "order"))
batches_given_up = _mirror("batches_given_up", e.BatchGivenUp, by=("batch",))
steps = _mirror("steps", e.StepDone, by=("batch",))
weighings = _mirror(
    "weighings", e.Weighing, text_column("weighed"), by=("lot",), without=("line",), lines=True
)
deviations = _mirror("deviations", e.DeviationNoted, by=("batch",))
doses = _mirror("doses", e.DoseDecided, by=("batch",))
fillings = _mirror("fillings", e.UnitsFilled, by=("batch",))
ceilings = _mirror("ceilings", e.CeilingStated, by=("marker",))
outages = _mirror("outages", e.OutageNoted)
conditions = _mirror("conditions", e.ConditionNoted, by=("what",))
prices = _mirror("prices", e.PriceNoted, by=("of",))
removals = _mirror("removals", e.Moved, by=("order",))
stock_counts = _mirror(
    "stock_counts",
    e.StockCounted,
    CheckConstraint("found >= 0", name="stock_counts_not_below_zero"),
    by=("lot",),
)
answers_kept = _mirror("answers_kept", e.AnswerKept, by=("order",))
offers = _mirror("offers", e.OfferMade, by=("code",))
offers_ended = _mirror("offers_ended", e.OfferEnded, by=("code",))
goods_ordered = _mirror("goods_ordered", e.GoodsOrdered, by=("code",))
lot_openings = _mirror("lot_openings", e.LotOpened, by=("lot",))
reagents_allowed = _mirror("reagents_allowed", e.ReagentAllowed, by=("reagent",))
own_things = _index_table(
    "own_things", "MarkerStated, PlantStated, IngredientStated", text_column("what"), text_column("name")
)
house = _mirror("house", e.HouseDescribed)
lines_decided = _mirror("lines_decided", e.LineDecided, by=("subject key",))
evidence = _mirror("evidence", e.EvidenceShown, by=("subject what",))
certificates = _mirror("certificates", e.CertificateIssued, by=("subject revision",))
complaints = _mirror("complaints", e.ComplaintHeard, by=("subject",))
people_told = _mirror("people_told", e.PeopleTold, by=("subject",))
rehearsals = _mirror("rehearsals", e.RecallRehearsed, by=("subject",))
days_planned = _mirror("days_planned", e.DayPlanned)
bench_notes = _mirror("bench_notes", e.BenchNoted)

balances, months, standings, word_pieces = running_tables(INDEX)

GROWN: tuple[Table, ...] = tuple(one for one in INDEX.sorted_tables if not one.info.get("runs"))
"""Tables of the index that only grow."""
GROWING: tuple[Table, ...] = (journal, *GROWN)
PROJECTED: dict[str, Table] = {one.name: one for one in GROWN if one is not index_made}


@cache
def shape() -> str:
    """Seal of the index tables as they are defined here; the same on every database."""
    words = []
    for table in INDEX.sorted_tables:
        words.append(str(CreateTable(table).compile(dialect=dialect())))
        listed = sorted(table.indexes, key=lambda one: str(one.name))
        words.extend(str(CreateIndex(one).compile(dialect=dialect())) for one in listed)
    return hashlib.sha256("\n".join(words).encode()).hexdigest()
