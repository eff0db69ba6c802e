"""Work the practice laboratory has left on its bench: a maceration, a Soxhlet, a reagent near its end. All invented.

Told after the story, for whoever opens the bench of the demo: it then has something to show. Nothing of the story rests
on it.
"""

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.day.planning import plan_day, tap
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.identity import decide_identity
from stillroom.demo.clock import StoryClock
from stillroom.demo.shelves import SUPPLIER, WAGNER
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot

NOON = "2026-11-24 12:00"
LEAVES = (
    ("ROS-01", "rosemary leaf", "rosemary leaf, cut", "900 g"),
    ("SAG-01", "sage leaf", "sage leaf, cut", "600 g"),
)
MARKER = "rosmarinic acid"


def leave_work(lab: Laboratory, clock: StoryClock) -> None:
    """Leave a maceration on its third day, a Soxhlet half way and a reagent near its end; the day is laid out.

    Parameters
    ----------
    lab : Laboratory
        Told to its end.
    clock : StoryClock
        Its clock; it stands at noon of that day afterwards.
    """
    clock.at(NOON)
    for code, plant, called, amount in LEAVES:
        came = clock.earlier("2026-11-20 09:00")
        leaf = Lot(code, LotKind.PLANT, plant, called, supplier=SUPPLIER)
        receive_lot(lab, leaf, amount, by="TO", at=came, apparatus="SCALE-1")
        decide_identity(
            lab,
            code,
            accepted=True,
            evidence="leaf, hairs and smell compared with an authentic sample",
            by="MA",
            at=clock.earlier("2026-11-20 10:00"),
        )
        release(lab, code, meaning="identity accepted", by="MA", at=clock.earlier("2026-11-20 11:00"))
    _maceration(lab, clock)
    _soxhlet(lab, clock)
    wagner = Lot(
        "WAG-00", LotKind.REAGENT, WAGNER, "Wagner reagent", supplier="made here", use_by="2026-11-27"
    )
    receive_lot(lab, wagner, "12 g", by="TO", at=clock.earlier("2026-11-24 09:30"))
    for batch, step, began in (("M1", "macerate", "2026-11-22 10:15"), ("S1", "siphon", "2026-11-24 09:50")):
        tap(lab, batch, step, "begun", by="TO", at=clock.earlier(began))
    plan_day(lab, by="MA", at=clock.at(NOON))


def _maceration(lab: Laboratory, clock: StoryClock) -> None:
    begun = clock.earlier("2026-11-22 09:00")
    copy_procedure(lab, "maceration", "rosemary leaf", MARKER, "rosemary-extract", by="MA", at=begun)
    begin_batch(lab, "M1", "rosemary-extract", "120 g", by="TO", at=begun)
    do_step(
        lab,
        "M1",
        "mix spirit",
        (
            Weighed("stock spirit", "606 g", "SPI-01", "SCALE-1"),
            Weighed("water", "486 g", "WAT-01", "SCALE-1"),
        ),
        ticks=("No flame and no open element in the room",),
        by="TO",
        at=clock.earlier("2026-11-22 10:00"),
    )


def _soxhlet(lab: Laboratory, clock: StoryClock) -> None:
    begun = clock.earlier("2026-11-24 10:00")
    copy_procedure(lab, "soxhlet", "sage leaf", MARKER, "sage-extract", by="MA", at=begun)
    begin_batch(lab, "S1", "sage-extract", "50 g", by="TO", at=begun)
