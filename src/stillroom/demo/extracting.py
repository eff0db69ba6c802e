"""The practice laboratory extracts 250 g of bark: every weighing as it was written, all of it invented."""

from itertools import groupby

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.describing import describe_house
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.drying import weigh_drying
from stillroom.actions.testing.residue import report_residue
from stillroom.actions.testing.titration import titrate
from stillroom.demo.clock import StoryClock
from stillroom.demo.files import practice_rows
from stillroom.demo.shelves import read_both_tests


def extract(lab: Laboratory, clock: StoryClock) -> None:
    """Make E1, test it, and have it released by a second person."""
    begin_batch(lab, "E1", "bark-extract", "250 g", order="ORD-1", by="TO", at=clock.at("2026-11-05 08:00"))
    for (name, at), rows in groupby(
        practice_rows("extraction.csv"), key=lambda row: (row["step"], row["done_at"])
    ):
        lines = list(rows)
        weighed = [Weighed(row["line"], row["mass"], row["lot"], row["scale"]) for row in lines]
        note = lines[0]["note"]
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
    read_both_tests(lab, "E1", clock.at("2026-11-11 10:10"))
    weigh_drying(
        lab,
        "E1",
        dish="30.1120 g",
        with_sample="32.1120 g",
        dried=("32.0522 g", "32.0500 g"),
        apparatus="SCALE-3",
        method_spread="0.1 %",
        by="TO",
        at=clock.at("2026-11-11 16:00"),
    )
    titrate(
        lab,
        "E1",
        portions=[("0.2000 g", "8.42 mL"), ("0.2000 g", "8.16 mL"), ("0.2000 g", "8.23 mL")],
        blank="20.06 mL",
        nominal="20.00 mL",
        titrant="NAOH-01",
        scale="SCALE-3",
        burette="BUR-1",
        by="TO",
        at=clock.at("2026-11-11 17:00"),
    )
    report_residue(
        lab,
        "E1",
        solvent="ethyl acetate",
        found="430 mg/kg",
        report="invented report R-118",
        uncertainty="40",
        by="MA",
        at=clock.at("2026-11-13 10:00"),
    )
    describe_house(
        lab,
        {
            "address": "4 Invented Lane, Nowhere",
            "responsible person": "Mira Anselm",
            "currency": "EUR",
            "email": "practice@invented.example",
        },
        by="MA",
        at=clock.at("2026-11-13 10:30"),
    )
    release(
        lab,
        "E1",
        meaning="sheet, tests, assay and residue read against the procedure",
        by="JU",
        at=clock.at("2026-11-13 11:00"),
    )
