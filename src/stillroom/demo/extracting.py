"""The practice laboratory extracts 250 g of bark: every weighing as it was written, all of it invented."""

from stillroom.actions.deciding import release
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.making import Weighed, begin_batch, do_step, step_in_hand
from stillroom.actions.receiving import weigh_drying
from stillroom.actions.testing import Titrated, read_test, report_residue, titrate
from stillroom.demo.clock import StoryClock
from stillroom.demo.shelves import DRAGENDORFF, WAGNER

BIG, SMALL = "SCALE-1", "SCALE-2"

STEPS: tuple[tuple[str, str, tuple[Weighed, ...], str], ...] = (
    ("mix spirit", "2026-11-05 08:20", (Weighed("stock spirit", "2944 g", "SPI-01", BIG), Weighed("water", "1484 g", "WAT-01", BIG)), ""),
    ("moisten", "2026-11-05 09:10", (Weighed("bark", "250.00 g", "CIN-01", SMALL),), ""),
    ("percolate", "2026-11-06 15:30", (Weighed("percolate", "4437 g", "", BIG), Weighed("marc", "503.40 g", "", SMALL)), "Dripped for 20 hours; the last drop gave no precipitate beside a blank."),
    ("recover spirit", "2026-11-09 12:40", (Weighed("recovered spirit", "3279 g", "REC-01", BIG), Weighed("bark liquor", "1124 g", "", BIG)), ""),
    ("drive off last spirit", "2026-11-09 14:10", (Weighed("weak runnings", "303 g", "REC-02", BIG), Weighed("watery liquor", "818 g", "", BIG)), ""),
    ("acidify", "2026-11-10 10:30", (Weighed("acid", "100.00 g", "HCL-01", SMALL), Weighed("clear acid liquor", "878 g", "", BIG)), ""),
    ("basify", "2026-11-10 11:20", (Weighed("ammonia", "137.50 g", "AMM-01", SMALL),), ""),
    ("shake out", "2026-11-10 12:40", (Weighed("ethyl acetate", "720 g", "EAC-01", BIG), Weighed("solvent layer", "681 g", "", BIG)), ""),
    ("strip", "2026-11-10 14:30", (Weighed("soft extract", "53.10 g", "", SMALL), Weighed("solvent back", "607 g", "EAC-02", BIG)), ""),
    ("dry", "2026-11-11 09:15", (Weighed("dry extract", "39.70 g", "", SMALL),), ""),
    ("set a sample aside", "2026-11-11 09:30", (Weighed("extract", "39.20 g", "E1", SMALL), Weighed("sample", "0.50 g", "", SMALL)), ""),
)  # fmt: skip


def extract(lab: Laboratory, clock: StoryClock) -> None:
    """Make E1, test it, and have it released by a second person."""
    begin_batch(lab, "E1", "bark-extract", "250 g", order="ORD-1", by="TO", at=clock.at("2026-11-05 08:00"))
    for name, at, weighed, note in STEPS:
        in_hand = step_in_hand(lab, "E1", name)
        ticks = in_hand.step.ticks if in_hand else ()
        temperature = "20.0 °C" if name == "mix spirit" else ""
        do_step(
            lab,
            "E1",
            name,
            weighed,
            ticks=ticks,
            temperature=temperature,
            note=note,
            by="TO",
            at=clock.at(at),
        )
    for test, reagent in ((DRAGENDORFF, "DRA-01"), (WAGNER, "WAG-01")):
        read_test(
            lab, "E1", test, reagent, sample="precipitate", blank="clear", positive_control="precipitate",
            by="TO", at=clock.at("2026-11-11 10:10"),
        )  # fmt: skip
    weigh_drying(
        lab, "E1", dish="30.1120 g", with_sample="32.1120 g", dried=("32.0522 g", "32.0500 g"), apparatus="SCALE-3",
        method_spread="0.1 %", by="TO", at=clock.at("2026-11-11 16:00"),
    )  # fmt: skip
    titrate(
        lab, "E1",
        [Titrated("0.2000 g", "8.42 mL"), Titrated("0.2000 g", "8.16 mL"), Titrated("0.2000 g", "8.23 mL")],
        blank="20.06 mL", nominal="20.00 mL", titrant="NAOH-01", scale="SCALE-3", burette="BUR-1",
        by="TO", at=clock.at("2026-11-12 11:00"),
    )  # fmt: skip
    report_residue(
        lab, "E1", "ethyl acetate", "430 mg/kg", laboratory_report="invented report R-118", standard_uncertainty="40",
        by="MA", at=clock.at("2026-11-13 10:00"),
    )  # fmt: skip
    release(
        lab, "E1", meaning="sheet, tests, assay and residue read against the procedure", by="JU",
        at=clock.at("2026-11-13 11:00"),
    )  # fmt: skip
