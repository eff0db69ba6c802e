"""The tables of the book: the journal, its head, and the typed index made from the journal.

``journal`` and ``head`` never change their shape. Every table of ``INDEX`` is made from the journal's text
by ``projection`` and can be thrown away and made again; when its shape or meaning changes, raise
``INDEX_NUMBER``. ``contacts`` and ``pins`` alone can be altered and erased. Text is TEXT, so that it stays word for
word; masses are whole micrograms. Columns carry the names of the record's fields; a test compares them.
"""

import hashlib
from functools import cache

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.dialects.sqlite import dialect
from sqlalchemy.schema import CreateIndex, CreateTable, SchemaItem

INDEX_NUMBER = 2

FOUNDATION = MetaData()
INDEX = MetaData()


def _text(name: str, *, optional: bool = False) -> Column[str]:
    return Column(name, Text, nullable=optional)


def _number(name: str, *, optional: bool = False) -> Column[float]:
    return Column(name, Float(53), nullable=optional)


def _whole(name: str, *, optional: bool = False) -> Column[int]:
    return Column(name, BigInteger, nullable=optional)


def _yes_no(name: str) -> Column[bool]:
    return Column(name, Boolean, nullable=False)


journal = Table(
    "journal",
    FOUNDATION,
    Column("entry_no", Integer, primary_key=True, autoincrement=False),
    Column("corrects", Integer, ForeignKey("journal.entry_no"), unique=True, nullable=True),
    _text("text"),
    _text("before"),
    Column("digest", Text, unique=True, nullable=False),
    CheckConstraint("entry_no > 0", name="journal_counts_from_one"),
    CheckConstraint("corrects < entry_no", name="journal_corrects_something_earlier"),
    comment="Every entry word for word; digest = SHA-256 of the digest before, a line break, and the text",
)
head = Table(
    "head",
    FOUNDATION,
    Column("one", Integer, primary_key=True, autoincrement=False),
    Column("entry_no", Integer, ForeignKey("journal.entry_no"), nullable=False),
    _text("digest"),
    CheckConstraint("one = 1", name="head_is_one_row"),
    comment="The last entry; the lock on this row is the right to write",
)
contacts = Table(
    "contacts",
    FOUNDATION,
    Column("about", Text, primary_key=True),
    Column("field", Text, primary_key=True),
    _text("value"),
    comment="How to reach a person or customer; outside the journal, so that it can be erased",
)
pins = Table(
    "pins",
    FOUNDATION,
    Column("person", Text, primary_key=True),
    _text("hashed"),
    Column("wrong_tries", Integer, nullable=False),
    _text("not_before"),
    _text("set_by"),
    _text("set_at"),
    CheckConstraint("wrong_tries >= 0", name="pins_count_from_none"),
    comment="How a person's PIN is known again, and how often it was tried wrongly; never copied",
)


def _index_table(name: str, comment: str, *columns: SchemaItem, lines: bool = False) -> Table:
    """Table of the index: one row for each entry, or one for each line of an entry."""
    entry_no = Column(
        "entry_no", Integer, ForeignKey(journal.c.entry_no), primary_key=True, autoincrement=False
    )
    line = [Column("line", Integer, primary_key=True, autoincrement=False)] if lines else []
    return Table(name, INDEX, entry_no, *line, *columns, comment=comment)


index_made = Table(
    "index_made",
    INDEX,
    Column("one", Integer, primary_key=True, autoincrement=False),
    Column("index_number", Integer, nullable=False),
    _text("shape"),
    CheckConstraint("one = 1", name="index_made_is_one_row"),
    comment="Which making of the index this is",
)

# What every entry has.
entries = _index_table(
    "entries",
    "The frame of every entry: what kind, who, when done, when written down",
    _text("kind"),
    _whole("version"),
    _text("by"),
    _text("done_at"),
    _text("entered_at"),
    _text("why"),
    Index("entries_by_kind", "kind"),
)
subjects = _index_table(
    "subjects",
    "Every code an entry speaks of, the main one on line 1",
    _text("subject"),
    Index("subjects_by_subject", "subject"),
    lines=True,
)
attachments = _index_table("attachments", "Seals of the files beside the book", _text("seal"), lines=True)
requests = _index_table(
    "requests",
    "Which request wrote an entry, so that the same request is never carried out twice",
    _text("key"),
    _whole("turn"),
    _text("asked"),
    UniqueConstraint("key", "turn", name="requests_once"),
)

# What each kind of entry brings.
books = _index_table(
    "books",
    "BookBegun",
    _text("book_id"),
    _whole("epoch"),
    _text("laboratory"),
    _yes_no("practice"),
    _number("altitude_m", optional=True),
)
restorations = _index_table(
    "restorations", "BookRestored", _text("book_id"), _whole("epoch"), _text("from_digest")
)
people = _index_table(
    "people", "Person", _text("code"), _text("name"), _yes_no("may_release"), Index("people_by_code", "code")
)
apparatus = _index_table(
    "apparatus",
    "Apparatus",
    _text("code"),
    _text("kind"),
    _text("name"),
    _number("smallest_step"),
    _text("unit"),
    _number("standard_uncertainty"),
    _number("largest", optional=True),
    Index("apparatus_by_code", "code"),
)
procedures = _index_table(
    "procedures",
    "Procedure, without its lines and steps",
    _text("code"),
    _whole("version"),
    _text("title"),
    _text("purpose"),
    _text("makes"),
    _text("scaled_by"),
    _whole("keeps_days"),
    _text("product_type"),
    _text("notes"),
    Index("procedures_by_code", "code", "version"),
)
orders = _index_table(
    "orders",
    "Order, its two strengths laid flat",
    _text("code"),
    _text("customer"),
    _text("product"),
    _text("formula"),
    _text("extraction"),
    _text("product_type"),
    _text("market"),
    _whole("units"),
    _number("nominal_ml"),
    *(
        column
        for strength in ("aim", "at_least")
        for column in (
            _number(f"{strength}_percent"),
            _text(f"{strength}_of"),
            _text(f"{strength}_reckoned_as"),
            _text(f"{strength}_as_written"),
        )
    ),
    _text("due"),
    _number("how_sure_percent"),
    _text("notes"),
    Index("orders_by_code", "code"),
)
plans = _index_table(
    "plans", "PlanMade, without request and answers", _text("order"), Index("plans_by_order", "order")
)
lots = _index_table(
    "lots",
    "Lot",
    _text("code"),
    _text("kind"),
    _text("substance"),
    _text("name"),
    _text("owner"),
    _text("supplier"),
    _text("stated"),
    _text("use_by", optional=True),
    _text("made_by", optional=True),
    Index("lots_by_code", "code"),
    Index("lots_by_made_by", "made_by"),
    lines=True,
)
movements = _index_table(
    "movements",
    "Movement",
    _text("lot"),
    _text("out_of"),
    _text("into"),
    _whole("amount"),
    _text("counted_in"),
    CheckConstraint("amount > 0", name="movements_move_something"),
    CheckConstraint("counted_in IN ('ug', 'piece')", name="movements_counted_in"),
    CheckConstraint('out_of <> "into"', name="movements_go_somewhere"),
    Index("movements_by_lot_into", "lot", "into", "entry_no", "line"),
    Index("movements_by_lot_out_of", "lot", "out_of", "entry_no", "line"),
    Index("movements_by_into", "into", "lot"),
    Index("movements_by_out_of", "out_of", "lot"),
    lines=True,
)
receipts = _index_table(
    "receipts", "LotReceived, without lot and movements", _text("as_written"), _text("apparatus")
)
identities = _index_table(
    "identities",
    "IdentityDecided",
    _text("lot"),
    _yes_no("accepted"),
    _text("evidence"),
    _text("voucher"),
    Index("identities_by_lot", "lot"),
)
readings = _index_table(
    "readings",
    "ReadingTaken",
    _text("subject"),
    _text("what"),
    _number("value"),
    _text("unit"),
    _text("as_written"),
    _text("apparatus"),
    _text("series"),
    _number("standard_uncertainty", optional=True),
    Index("readings_by_subject", "subject", "what"),
)
results = _index_table(
    "results",
    "ResultReckoned, without its trail",
    _text("subject"),
    _text("what"),
    _number("value"),
    _text("unit"),
    _text("basis"),
    _number("standard_uncertainty", optional=True),
    _number("coverage_factor", optional=True),
    _text("method"),
    _yes_no("counts"),
    _text("because"),
    Index("results_by_subject", "subject", "what"),
)
readings_used = _index_table(
    "readings_used",
    "Which readings a result or a dose was reckoned from",
    _whole("reading_no"),
    Index("readings_used_by_reading", "reading_no"),
    lines=True,
)
control_tests = _index_table(
    "control_tests",
    "ControlTestRead",
    _text("subject"),
    _text("test"),
    _text("reagent_lot"),
    _text("sample"),
    _text("blank"),
    _text("positive_control"),
    _text("outcome"),
    _text("because"),
    Index("control_tests_by_subject", "subject"),
)
decisions = _index_table(
    "decisions",
    "StatusDecided, without the list of what is missing",
    _text("subject"),
    _text("to"),
    _text("meaning"),
    _yes_no("alone"),
    Index("decisions_by_subject", "subject"),
)
batches = _index_table(
    "batches",
    "BatchBegun, without the plan",
    _text("code"),
    _text("procedure"),
    _whole("version"),
    _number("scale_g"),
    _text("order"),
    Index("batches_by_code", "code"),
    Index("batches_by_order", "order"),
)
steps = _index_table(
    "steps",
    "StepDone, without ticks; weighings, movements and lots stand in their own tables",
    _text("batch"),
    _text("step"),
    _number("temperature_c", optional=True),
    _text("note"),
    Index("steps_by_batch", "batch"),
)
weighings = _index_table(
    "weighings",
    "Weighing",
    _text("weighed"),
    _text("direction"),
    _text("lot"),
    _number("planned_g", optional=True),
    _number("actual_g"),
    _text("as_written"),
    _text("apparatus"),
    Index("weighings_by_lot", "lot"),
    lines=True,
)
deviations = _index_table(
    "deviations",
    "DeviationNoted",
    _text("batch"),
    _text("step"),
    _text("what"),
    _text("done_about_it"),
    _yes_no("closed"),
    Index("deviations_by_batch", "batch"),
)
ceilings = _index_table(
    "ceilings",
    "CeilingStated",
    _text("marker"),
    _text("product_type"),
    _text("market"),
    _number("percent", optional=True),
    _text("as_written"),
    _text("source"),
    Index("ceilings_by_marker", "marker"),
)
outages = _index_table(
    "outages", "OutageNoted; its batches stand in subjects", _text("what"), _yes_no("is_back")
)
conditions = _index_table(
    "conditions",
    "ConditionNoted",
    _text("what"),
    _number("value"),
    _text("unit"),
    _text("as_written"),
    Index("conditions_by_what", "what"),
)
prices = _index_table(
    "prices",
    "PriceNoted",
    _text("of"),
    _text("amount"),
    _text("currency"),
    _text("per"),
    _text("as_written"),
    Index("prices_by_of", "of"),
)
doses = _index_table(
    "doses",
    "DoseDecided, without its trail",
    _text("batch"),
    _text("extract_lot"),
    _number("bulk_g"),
    _number("mass_g"),
    Index("doses_by_batch", "batch"),
)
fillings = _index_table(
    "fillings",
    "UnitsFilled, without check weights; the lot stands in lots",
    _text("batch"),
    _whole("units"),
    _number("filled_g"),
    _number("target_g"),
    _number("left_over_g"),
    _text("apparatus"),
    Index("fillings_by_batch", "batch"),
)
removals = _index_table(
    "removals",
    "Moved, without its movements",
    _text("why"),
    _text("order"),
    Index("removals_by_order", "order"),
)
stock_counts = _index_table(
    "stock_counts",
    "StockCounted",
    _text("lot"),
    _whole("found"),
    _text("counted_in"),
    _text("as_written"),
    _text("apparatus"),
    CheckConstraint("found >= 0", name="stock_counts_not_below_zero"),
    Index("stock_counts_by_lot", "lot"),
)
answers_kept = _index_table(
    "answers_kept",
    "AnswerKept, without what was asked and what was left unsaid",
    _text("question"),
    _text("title"),
    _text("order"),
    Index("answers_kept_by_order", "order"),
)

GROWING: tuple[Table, ...] = (journal, *INDEX.sorted_tables)
PROJECTED: dict[str, Table] = {one.name: one for one in INDEX.sorted_tables if one is not index_made}


@cache
def shape() -> str:
    """Seal of the index tables as they are defined here; the same on every database."""
    words = []
    for table in INDEX.sorted_tables:
        words.append(str(CreateTable(table).compile(dialect=dialect())))
        listed = sorted(table.indexes, key=lambda one: str(one.name))
        words.extend(str(CreateIndex(one).compile(dialect=dialect())) for one in listed)
    return hashlib.sha256("\n".join(words).encode()).hexdigest()
