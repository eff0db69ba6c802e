"""What the practice laboratory has on its shelves: lots received, looked at, released. All of it is invented."""

from datetime import datetime

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.drying import weigh_drying
from stillroom.actions.testing.identity import decide_identity
from stillroom.actions.testing.precipitate import read_test
from stillroom.actions.testing.titrant_factors import factor_titrant
from stillroom.actions.testing.titration import keep_earlier_portions, titrate
from stillroom.demo.clock import StoryClock
from stillroom.demo.files import practice_rows
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot

SUPPLIER = "Invented Botanicals"
DRAGENDORFF = "dragendorff"
WAGNER = "wagner"

EARLIER_EXTRACTS = (
    ("37.6", "36.2", "38.4", "37.0"),
    ("33.8", "35.6", "34.1", "35.0"),
    ("40.1", "38.3", "39.9", "41.2"),
    ("36.9", "35.0", "36.2", "37.4"),
)
"""Invented portions of four earlier extracts: from them the practice laboratory knows its repeatability."""


def fill_shelves(lab: Laboratory, clock: StoryClock) -> None:
    """Receive everything but the bark, and release it on its papers."""
    for row in practice_rows("shelves.csv"):
        lot = Lot(
            row["code"],
            LotKind(row["kind"]),
            row["substance"],
            row["name"],
            supplier=row["supplier"],
            stated=row["stated"],
            use_by=row["use_by"] or None,
        )
        receive_lot(lab, lot, row["amount"], by="TO", at=clock.at("2026-11-02 09:00"))
        release(
            lab,
            lot.code,
            meaning="papers and label agree, seal whole",
            by="MA",
            at=clock.at("2026-11-02 09:30"),
        )
    keep_earlier_portions(
        lab, "bark-extract", EARLIER_EXTRACTS, carrier="extract", by="MA", at=clock.at("2026-11-02 10:15")
    )


def receive_bark(lab: Laboratory, clock: StoryClock) -> None:
    """Receive the bark; find out what it is, how wet and how strong; release it."""
    bark = Lot("CIN-01", LotKind.PLANT, "cinchona bark", "cinchona bark, whole quills", supplier=SUPPLIER)
    receive_lot(lab, bark, "2000 g", by="TO", at=clock.at("2026-11-03 08:30"), apparatus="SCALE-1")
    decide_identity(
        lab,
        "CIN-01",
        accepted=True,
        voucher="V-2026-07",
        evidence="quills, fracture and section compared with the voucher specimen; foreign matter 1.2 %",
        by="MA",
        at=clock.at("2026-11-03 09:10"),
    )
    weigh_drying(
        lab,
        "CIN-01",
        dish="31.2410 g",
        with_sample="33.2410 g",
        dried=("33.0562 g", "33.0519 g", "33.0510 g"),
        apparatus="SCALE-3",
        method_spread="0.3 %",
        by="TO",
        at=clock.at("2026-11-03 15:40"),
    )
    read_both_tests(lab, "CIN-01", clock.at("2026-11-03 16:20"))
    factor_titrant(
        lab,
        "NAOH-01",
        strength="0.0200 mol/L",
        factor="1.004",
        factor_standard_uncertainty="0.002",
        by="TO",
        at=clock.at("2026-11-04 10:00"),
    )
    titrate(
        lab,
        "CIN-01",
        portions=[("1.0150 g", "8.42 mL")],
        blank="20.06 mL",
        nominal="20.00 mL",
        titrant="NAOH-01",
        scale="SCALE-3",
        burette="BUR-1",
        by="TO",
        at=clock.at("2026-11-04 11:00"),
    )
    release(
        lab,
        "CIN-01",
        meaning="identity accepted, both alkaloid tests positive beside their controls, assayed",
        by="MA",
        at=clock.at("2026-11-04 13:00"),
    )


def read_both_tests(lab: Laboratory, lot: str, at: datetime) -> None:
    """Both alkaloid tests, positive beside their controls."""
    for test, reagent in ((DRAGENDORFF, "DRA-01"), (WAGNER, "WAG-01")):
        read_test(
            lab,
            lot,
            test=test,
            reagent=reagent,
            sample="precipitate",
            blank="clear",
            positive="precipitate",
            by="TO",
            at=at,
        )
