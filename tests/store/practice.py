"""An invented laboratory for the tests of the book: people, lots, one whole making, and a way to tamper."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from pathlib import Path

import psycopg

from stillroom.records.entries import (
    AnswerKept,
    ApparatusAdded,
    BatchBegun,
    BatchGivenUp,
    BenchNoted,
    Body,
    BookBegun,
    BookRestored,
    CeilingStated,
    CertificateIssued,
    ComplaintHeard,
    ConditionNoted,
    ControlTestRead,
    DayPlanned,
    DeviationNoted,
    DoseDecided,
    DutiesGiven,
    EvidenceShown,
    GoodsOrdered,
    HouseDescribed,
    IdentityDecided,
    IngredientStated,
    LeftUnsaid,
    LineDecided,
    LotOpened,
    LotReceived,
    MarkerStated,
    Moved,
    OfferEnded,
    OfferMade,
    OrderTaken,
    OutageNoted,
    PeopleTold,
    PersonJoined,
    PlanMade,
    PlantDescribed,
    PlantStated,
    PriceNoted,
    ProcedureWritten,
    ReadingTaken,
    ReagentAllowed,
    RecallRehearsed,
    ResultReckoned,
    StatusDecided,
    StepDone,
    StockCounted,
    UnitsFilled,
    Weighing,
)
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, Movement, Status, micrograms
from stillroom.records.orders import Order, StatedStrength
from stillroom.records.people import Apparatus, Person
from stillroom.records.procedures import Line, Procedure, Setting, Step
from stillroom.store import Book
from stillroom.substances.own import OwnContent, OwnIngredient, OwnMarker, OwnPlant

AT = "2026-05-12T09:00:00+02:00"
LATER = "2026-05-12T18:30:00+02:00"
FIRST = BookBegun("book-of-the-tests", 1, "Invented laboratory", practice=True, altitude_m=420.0)
MARA = Person("MA", "Mara Invented", may_release=True)
JON = Person("JO", "Jon Invented")


def begun(where: str | Path, files: Path | None = None) -> Book:
    """A book with two people in it."""
    book = Book.begin(where, FIRST, by="MA", at=AT, files=files)
    write(book, PersonJoined(MARA), PersonJoined(JON))
    return book


def write(book: Book, *bodies: Body, by: str = "MA") -> list[int]:
    """Write bodies in one request and return their numbers."""
    with book.pen(by=by, at=AT, entered_at=LATER) as pen:
        return [pen.enter(one) for one in bodies]


def moved(lot: str, out_of: str, into: str, mass_g: float) -> Movement:
    return Movement(lot, out_of, into, micrograms(mass_g))


def received(code: str, mass_g: float, kind: LotKind = LotKind.PLANT) -> LotReceived:
    lot = Lot(code, kind, "cinchona bark", f"jar {code}", supplier="Invented supplier", use_by="2027-05-01")
    return LotReceived(lot, (moved(code, "outside/supplier", "shelf", mass_g),), f"{mass_g} g", "SCALE-2")


SCALE = Apparatus("SCALE-2", "scale", "kitchen scale", 0.01, "g", 0.006, 2000.0)
PROCEDURE = Procedure(
    "bark-extract",
    1,
    "Extract of bark",
    "extraction",
    "bark extract",
    "bark",
    (Line("bark", "cinchona bark"), Line("spirit", "spirit 70")),
    (
        Step("percolate", "percolation", "Let the spirit run through.", ("bark", "spirit"), ("extract",),
             (Setting("liquid_ml_per_g", 5.0, "mL/g", "lognormal", 0.05, "assumed", "no table"),)),
    ),
    ("total alkaloids",),
    180,
)  # fmt: skip
_STRENGTH = StatedStrength(0.1, "total alkaloids", "quinine", "0.100 % w/w as quinine")
ORDER = Order(
    "O-1", "CUST-1", "tonic", "hair-tonic", "bark-extract", "hair leave-on", "EU", 50, 100.0,
    _STRENGTH, replace(_STRENGTH, percent=0.095, as_written="0.095 % w/w as quinine"), "2026-06-01",
)  # fmt: skip


def whole_story(book: Book) -> None:
    """One entry of every kind: bark in, bottles out, some sold; a file, a request key, a correction."""
    _bark_comes_in(book)
    _bark_is_tested(book)
    _tonic_is_made(book)
    seal = book.attach(b"photograph of a jar")
    with book.pen(by="JO", at=AT, entered_at=LATER, request_key="key-0", asked="count again") as pen:
        counted = pen.look.stock_counts("E1")[0].entry_no
        pen.enter(
            StockCounted("E1", micrograms(25.5), "ug", "25.50", "SCALE-2"),
            corrects=counted,
            why="the lid was on",
            attachments=(seal,),
        )
        pen.enter(BookRestored(FIRST.book_id, 2, pen.look.head.digest))


def _bark_comes_in(book: Book) -> None:
    write(
        book,
        ApparatusAdded(SCALE),
        ProcedureWritten(PROCEDURE),
        OrderTaken(ORDER),
        PlanMade("O-1", {"seed": 7, "draws": 4096}, {"bark": {"value": 210.5}}),
        received("CIN-01", 500.0),
        received("SPI-01", 3000.0, LotKind.SPIRIT),
        received("REA-01", 50.0, LotKind.REAGENT),
        received("BASE-01", 9000.0, LotKind.INGREDIENT),
        IdentityDecided("CIN-01", accepted=True, evidence="fracture and taste", voucher="V-7"),
        ReadingTaken("CIN-01", "loss on drying", 1.25, "g", "1.250", "SCALE-2", "drying/1", 0.006),
    )


def _bark_is_tested(book: Book) -> None:
    write(
        book,
        ResultReckoned("CIN-01", "loss on drying", 9.5, "%", "as is", 0.3, 2.0, "to constant mass", True, "",
                       {"top": "k", "rows": {"k": {"value": 9.5}}}, (13,)),
        ControlTestRead("CIN-01", "alkaloids", "REA-01", "cloudy", "clear", "cloudy", "present", "they hold"),
        StatusDecided("CIN-01", Status.RELEASED, "identity and loss on drying hold", alone=True),
        BatchBegun("E1", "bark-extract", 1, 200.0, "O-1", {"bark_g": 200.0}),
    )  # fmt: skip


def _tonic_is_made(book: Book) -> None:
    write(
        book,
        StepDone(
            "E1", "percolate",
            (Weighing("bark", "in", "CIN-01", 200.0, 200.4, "200.40", "SCALE-2"),
             Weighing("extract", "out", "E1", 40.0, 39.2, "39.20", "SCALE-2")),
            (moved("CIN-01", "shelf", "batch/E1", 205.0), moved("CIN-01", "batch/E1", "shelf", 4.6),
             moved("SPI-01", "shelf", "batch/E1", 1000.0), moved("E1", "batch/E1", "shelf", 39.2)),
            ticks=("no flame",), temperature_c=21.5, note="slow",
            lots_made=(Lot("E1", LotKind.EXTRACT, "bark extract", "extract", made_by="E1"),),
        ),
        DeviationNoted("E1", "percolate", "power was off for 10 min", "waited"),
        OutageNoted("power", False, ("E1",), ("percolate",)),
        CeilingStated("linalool", "skin leave-on", "EU", None, "none", "an invented opinion, page 3"),
        ConditionNoted("room temperature", 31.0, "°C", "31 °C"),
        PriceNoted("cinchona bark", "38.00", "EUR", "kg", "38.00 EUR/kg"),
        BatchBegun("T1", "bark-extract", 1, 5000.0, "O-1"),
        DoseDecided("T1", "E1", 5000.0, 13.02, {"top": "k", "rows": {}}, (13,)),
        StepDone("T1", "mix", (), (moved("E1", "shelf", "batch/T1", 13.02),
                                   moved("BASE-01", "shelf", "batch/T1", 4987.0))),
        UnitsFilled(
            "T1", Lot("T1", LotKind.PRODUCT, "hair tonic", "tonic", made_by="T1"), 51, 4947.0,
            97.0, 40.0, (Movement("T1", "batch/T1", "shelf", 51, "piece"),
                         Movement("T1", "shelf", "retained", 2, "piece")), (97.1, 96.9), "SCALE-2",
        ),
        Moved((Movement("T1", "shelf", "customer/O-1", 31, "piece"),), "sold", "O-1"),
        StockCounted("E1", micrograms(26.0), "ug", "26.00", "SCALE-2"),
        BatchGivenUp("T1", "the last bottles were spilled"),
        LotOpened("REA-01", "first use"),
        ReagentAllowed("mayer", True, "asked for by a customer; the mercury jar stands ready"),
        AnswerKept("dilute", "5 L of 70 %", {"have": "96 % v/v"},
                   (LeftUnsaid("strength", "as the label says", "nobody measured it", "± 0.3 %", "known-by"),)),
        MarkerStated(OwnMarker("scopoletin", ("chrysatropic acid",), 192.17, "none", 1.0, (7.4,), "hot water")),
        PlantStated(OwnPlant("nettle root", "root", "Urtica dioica", (), (OwnContent("scopoletin", 0.002, 0.01),))),
        IngredientStated(OwnIngredient("marula oil", "Sclerocarya Birrea Seed Oil", density_g_ml=0.91)),
        HouseDescribed("Invented Lane 4, Nowhere", "Mira Anselm", currency="EUR", email="invented@example"),
        LineDecided("T1", "paper/label check", "Label check", "nobody has read it", "read against the order"),
        EvidenceShown("bark-extract", "stability", "passes", "no change", "invented ST-1", "2026-05-01", 730),
        CertificateIssued("T1", 1, "everything was read", (), {"customer": {"title": "Certificate"}}),
        PeopleTold("T1", "CUST-1", "by telephone", "stops selling", "O-1"),
        ComplaintHeard("T1", "CUST-1", "smells of vinegar", "O-1", True),
        OfferMade("OFF-1", "product", "Invented shop", "24 bottles", {"bottles": "24 × 50 mL"}, {"days_promised": 12}),
        OfferEnded("OFF-1", "accepted", "by letter", "O-1"),
        GoodsOrdered("BUY-1", "cinchona bark", "2.5 kg", "an invented grower", "2027-03-04", "38.00 EUR/kg", "O-1"),
        RecallRehearsed("T1", 12.5, "every bottle found", 51, 51),
        DayPlanned("2026-11-24T00:00:00+00:00", 20160, {"jobs": [], "schedule": {"end_min": 0}}),
        DutiesGiven("MA", True, True, True),
        BenchNoted("late", "TO", minutes=30.0, why="the bus"),
        PlantDescribed("CIN-01", "dry", 9.5, 0.5, "coarse", None, None, "an invented valley", "2026-09", "dry, coarse"),
    )  # fmt: skip


@contextmanager
def behind_its_back(book: Book) -> Iterator[sqlite3.Connection | psycopg.Connection]:
    """A connection on which no trigger answers; the triggers are there again afterwards."""
    if book.place.path is not None:
        with closing(sqlite3.connect(book.place.path)) as connection, connection:
            guards = connection.execute(
                "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
            ).fetchall()
            for name, _ in guards:
                connection.execute(f"DROP TRIGGER {name}")
            yield connection
            for _, sql in guards:
                connection.execute(sql)
        return
    with psycopg.connect(plain(book)) as server:
        server.execute("SET session_replication_role = replica")
        yield server


def address(book: Book) -> str:
    return str(book.place.path or book.place.url.render_as_string(hide_password=False))


def plain(book: Book) -> str:
    return book.place.url.set(drivername="postgresql").render_as_string(hide_password=False)
