"""The tables of the book: the typed index made from the journal, beside its foundation.

``journal`` and ``head`` never change their shape. Every table of ``INDEX`` is made from the journal's text
by ``projection`` and can be thrown away and made again; when its shape or meaning changes, raise
``INDEX_NUMBER``. ``contacts`` and ``pins`` alone can be altered and erased. Text is TEXT, so that it stays word for
word; masses are whole micrograms. Columns carry the names of the record's fields; a test compares them.
"""

import hashlib
from functools import cache

from sqlalchemy import CheckConstraint, Column, ForeignKey, Index, Integer, MetaData, Table, UniqueConstraint
from sqlalchemy.dialects.sqlite import dialect
from sqlalchemy.schema import CreateIndex, CreateTable, SchemaItem

from stillroom.store.batch_tables import batch_tables
from stillroom.store.day_tables import day_tables
from stillroom.store.foundation import FOUNDATION as FOUNDATION
from stillroom.store.foundation import contacts as contacts
from stillroom.store.foundation import head as head
from stillroom.store.foundation import journal as journal
from stillroom.store.foundation import number_column, text_column, whole_column, yes_no_column
from stillroom.store.foundation import pins as pins
from stillroom.store.list_tables import list_tables
from stillroom.store.offer_tables import offer_tables
from stillroom.store.own_tables import own_table
from stillroom.store.plant_tables import plant_tables
from stillroom.store.reagent_tables import reagent_tables
from stillroom.store.release_tables import release_tables
from stillroom.store.running_tables import running_tables

INDEX_NUMBER = 11

INDEX = MetaData()


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
    text_column("shape"),
    CheckConstraint("one = 1", name="index_made_is_one_row"),
    comment="Which making of the index this is",
)

# What every entry has.
entries = _index_table(
    "entries",
    "The frame of every entry: what kind, who, when done, when written down",
    text_column("kind"),
    whole_column("version"),
    text_column("by"),
    text_column("done_at"),
    text_column("entered_at"),
    text_column("why"),
    Index("entries_by_kind", "kind"),
    Index("entries_by_done_at", "done_at"),
)
subjects = _index_table(
    "subjects",
    "Every code an entry speaks of, the main one on line 1",
    text_column("subject"),
    Index("subjects_by_subject", "subject"),
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

# What each kind of entry brings.
books = _index_table(
    "books",
    "BookBegun",
    text_column("book_id"),
    whole_column("epoch"),
    text_column("laboratory"),
    yes_no_column("practice"),
    number_column("altitude_m", optional=True),
)
restorations = _index_table(
    "restorations", "BookRestored", text_column("book_id"), whole_column("epoch"), text_column("from_digest")
)
people = _index_table(
    "people",
    "Person",
    text_column("code"),
    text_column("name"),
    yes_no_column("may_release"),
    Index("people_by_code", "code"),
)
duties = _index_table(
    "duties",
    "DutiesGiven",
    text_column("person"),
    yes_no_column("makes"),
    yes_no_column("checks"),
    yes_no_column("owns"),
    Index("duties_by_person", "person"),
)
apparatus = _index_table(
    "apparatus",
    "Apparatus",
    text_column("code"),
    text_column("kind"),
    text_column("name"),
    number_column("smallest_step"),
    text_column("unit"),
    number_column("standard_uncertainty"),
    number_column("largest", optional=True),
    text_column("material"),
    Index("apparatus_by_code", "code"),
)
procedures = _index_table(
    "procedures",
    "Procedure, without its lines and steps",
    text_column("code"),
    whole_column("version"),
    text_column("title"),
    text_column("purpose"),
    text_column("makes"),
    text_column("scaled_by"),
    whole_column("keeps_days"),
    text_column("product_type"),
    text_column("notes"),
    text_column("claims"),
    text_column("label_text"),
    Index("procedures_by_code", "code", "version"),
)
orders = _index_table(
    "orders",
    "Order, its two strengths laid flat",
    text_column("code"),
    text_column("customer"),
    text_column("product"),
    text_column("formula"),
    text_column("extraction"),
    text_column("product_type"),
    text_column("market"),
    whole_column("units"),
    number_column("nominal_ml"),
    *(
        column
        for strength in ("aim", "at_least")
        for column in (
            number_column(f"{strength}_percent"),
            text_column(f"{strength}_of"),
            text_column(f"{strength}_reckoned_as"),
            text_column(f"{strength}_as_written"),
        )
    ),
    text_column("due"),
    number_column("how_sure_percent"),
    text_column("notes"),
    Index("orders_by_code", "code"),
)
plans = _index_table(
    "plans", "PlanMade, without request and answers", text_column("order"), Index("plans_by_order", "order")
)
lots = _index_table(
    "lots",
    "Lot",
    text_column("code"),
    text_column("kind"),
    text_column("substance"),
    text_column("name"),
    text_column("owner"),
    text_column("supplier"),
    text_column("stated"),
    text_column("use_by", optional=True),
    text_column("made_by", optional=True),
    text_column("denatured_with"),
    Index("lots_by_code", "code"),
    Index("lots_by_made_by", "made_by"),
    lines=True,
)
movements = _index_table(
    "movements",
    "Movement",
    text_column("lot"),
    text_column("out_of"),
    text_column("into"),
    whole_column("amount"),
    text_column("counted_in"),
    CheckConstraint("amount > 0", name="movements_move_something"),
    CheckConstraint("counted_in IN ('ug', 'piece')", name="movements_counted_in"),
    CheckConstraint('out_of <> "into"', name="movements_go_somewhere"),
    Index("movements_by_lot_into", "lot", "into", "entry_no", "line"),
    Index("movements_by_lot_out_of", "lot", "out_of", "entry_no", "line"),
    Index("movements_by_into", "into", "lot"),
    Index("movements_by_out_of", "out_of", "lot"),
    lines=True,
)
readings = _index_table(
    "readings",
    "ReadingTaken",
    text_column("subject"),
    text_column("what"),
    number_column("value"),
    text_column("unit"),
    text_column("as_written"),
    text_column("apparatus"),
    text_column("series"),
    number_column("standard_uncertainty", optional=True),
    Index("readings_by_subject", "subject", "what"),
)
results = _index_table(
    "results",
    "ResultReckoned, without its trail",
    text_column("subject"),
    text_column("what"),
    number_column("value"),
    text_column("unit"),
    text_column("basis"),
    number_column("standard_uncertainty", optional=True),
    number_column("coverage_factor", optional=True),
    text_column("method"),
    yes_no_column("counts"),
    text_column("because"),
    Index("results_by_subject", "subject", "what"),
)
readings_used = _index_table(
    "readings_used",
    "Which readings a result or a dose was reckoned from",
    whole_column("reading_no"),
    Index("readings_used_by_reading", "reading_no"),
    lines=True,
)
control_tests = _index_table(
    "control_tests",
    "ControlTestRead",
    text_column("subject"),
    text_column("test"),
    text_column("reagent_lot"),
    text_column("sample"),
    text_column("blank"),
    text_column("positive_control"),
    text_column("outcome"),
    text_column("because"),
    Index("control_tests_by_subject", "subject"),
)
decisions = _index_table(
    "decisions",
    "StatusDecided, without the lists of what is missing and what changed",
    text_column("subject"),
    text_column("to"),
    text_column("meaning"),
    yes_no_column("alone"),
    Index("decisions_by_subject", "subject"),
)
batches = _index_table(
    "batches",
    "BatchBegun, without the plan",
    text_column("code"),
    text_column("procedure"),
    whole_column("version"),
    number_column("scale_g"),
    text_column("order"),
    Index("batches_by_code", "code"),
    Index("batches_by_order", "order"),
)
steps = _index_table(
    "steps",
    "StepDone, without ticks; weighings, movements and lots stand in their own tables",
    text_column("batch"),
    text_column("step"),
    number_column("temperature_c", optional=True),
    text_column("note"),
    yes_no_column("not_done"),
    Index("steps_by_batch", "batch"),
)
weighings = _index_table(
    "weighings",
    "Weighing",
    text_column("weighed"),
    text_column("direction"),
    text_column("lot"),
    number_column("planned_g", optional=True),
    number_column("actual_g"),
    text_column("as_written"),
    text_column("apparatus"),
    Index("weighings_by_lot", "lot"),
    lines=True,
)
ceilings = _index_table(
    "ceilings",
    "CeilingStated",
    text_column("marker"),
    text_column("product_type"),
    text_column("market"),
    number_column("percent", optional=True),
    text_column("as_written"),
    text_column("source"),
    Index("ceilings_by_marker", "marker"),
)
outages = _index_table(
    "outages", "OutageNoted; its batches stand in subjects", text_column("what"), yes_no_column("is_back")
)
conditions = _index_table(
    "conditions",
    "ConditionNoted",
    text_column("what"),
    number_column("value"),
    text_column("unit"),
    text_column("as_written"),
    Index("conditions_by_what", "what"),
)
doses = _index_table(
    "doses",
    "DoseDecided, without its trail",
    text_column("batch"),
    text_column("extract_lot"),
    number_column("bulk_g"),
    number_column("mass_g"),
    Index("doses_by_batch", "batch"),
)
fillings = _index_table(
    "fillings",
    "UnitsFilled, without check weights; the lot stands in lots",
    text_column("batch"),
    whole_column("units"),
    number_column("filled_g"),
    number_column("target_g"),
    number_column("left_over_g"),
    text_column("apparatus"),
    number_column("nominal_ml"),
    Index("fillings_by_batch", "batch"),
)
removals = _index_table(
    "removals",
    "Moved, without its movements",
    text_column("why"),
    text_column("order"),
    Index("removals_by_order", "order"),
)
stock_counts = _index_table(
    "stock_counts",
    "StockCounted",
    text_column("lot"),
    whole_column("found"),
    text_column("counted_in"),
    text_column("as_written"),
    text_column("apparatus"),
    CheckConstraint("found >= 0", name="stock_counts_not_below_zero"),
    Index("stock_counts_by_lot", "lot"),
)
answers_kept = _index_table(
    "answers_kept",
    "AnswerKept, without what was asked and what was left unsaid",
    text_column("question"),
    text_column("title"),
    text_column("order"),
    Index("answers_kept_by_order", "order"),
)
lot_openings, reagents_allowed = reagent_tables(_index_table)
identities, plants_described = plant_tables(_index_table)
batches_given_up, deviations = batch_tables(_index_table)
words, procedure_steps = list_tables(_index_table)
days_planned, bench_notes = day_tables(_index_table)
own_things = own_table(_index_table)
prices, offers, offers_ended, goods_ordered, receipts = offer_tables(_index_table)
house, lines_decided, evidence, certificates, people_told, rehearsals, complaints = release_tables(
    _index_table
)

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
