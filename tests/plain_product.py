"""A plain rinse with no dosed active, made in the practice laboratory for tests. Invented, not for sale."""

from datetime import UTC, datetime
from pathlib import Path

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.lots.stock_movements import keep_back
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.products.filling import fill_units
from stillroom.records.from_yaml import procedure_from_yaml
from stillroom.records.procedures import Procedure
from tests.practice import copied, extracted_folder, opened

FILLED = """  - name: fill
    kind: fill
    says: Fill each one on the scale to its mass.
    takes: [bulk]
    gives: [filled]
    weighs: [bulk, filled]
    settings:
      - {name: overfill_share, value: "0.010", origin: chosen}
      - {name: filling_loss_share, value: "0.030", origin: chosen}
      - {name: fill_min_per_kg, value: "12", origin: chosen}
"""
"""The last step of a formula in a test: filled on the scale."""

RINSE = (
    """procedure: plain-rinse
version: 1
title: Plain rinse
purpose: formula
makes: rinse
scaled by: bulk
product type: hair rinse-off
keeps: 120 d
lines:
  - {name: spirit, substance: spirit 96 %, percent: "35.5", label name: Alcohol}
  - {name: glycerin, substance: glycerin, percent: "1.0", label name: Glycerin}
  - {name: water, substance: purified water, role: q.s., label name: Aqua}
steps:
  - name: blend
    kind: blend
    says: Stir the spirit and the glycerin into the water.
    takes: [spirit, glycerin, water]
    gives: [bulk]
    weighs: [spirit, glycerin, water, bulk]
    settings:
      - {name: evaporated_share, value: "0.002", origin: chosen}
      - {name: film_g, value: 10 g, origin: chosen}
"""
    + FILLED
)


def at(text: str) -> datetime:
    """A moment of the story [UTC]."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def rinse(words: str = "", version: int = 1) -> Procedure:
    """The formula, with further keys of its file."""
    written = RINSE.replace("version: 1\n", f"version: {version}\n").replace("lines:\n", f"{words}lines:\n")
    return procedure_from_yaml(written)


def with_formula(tmp_path: Path, words: str = "") -> Laboratory:
    """The practice laboratory with the formula in its book; to be closed."""
    lab = opened(copied(tmp_path, of=extracted_folder))
    write_procedure(lab, rinse(words), by="MA", at=at("2026-11-19 08:00"))
    return lab


def make_rinse(lab: Laboratory, code: str = "R1", *, order: str = "") -> None:
    """A kilogram made and filled into nine bottles, two of them kept back."""
    begin_batch(lab, code, "plain-rinse", "1.000 kg", order=order, by="TO", at=at("2026-11-20 08:00"))
    lines = (
        Weighed("spirit", "355 g", "SPI-01", "SCALE-1"),
        Weighed("glycerin", "10.00 g", "GLY-01", "SCALE-2"),
        Weighed("water", "635 g", "WAT-01", "SCALE-1"),
        Weighed("bulk", "985 g", "", "SCALE-1"),
    )
    do_step(lab, code, "blend", lines, by="TO", at=at("2026-11-20 10:00"))
    weigh_density(
        lab, code, empty="38.41 g", water="138.14 g", bulk="133.12 g", temperature="20.0 °C",
        scale="SCALE-2", thermometer="THERM-1", by="MA", at=at("2026-11-20 14:00"),
    )  # fmt: skip
    fill_units(
        lab, code, 9, left_over="100.0 g", check_weights=("95.9 g", "96.0 g", "95.8 g"),
        packaging={"BOT-01": 9, "CAP-01": 9, "LAB-01": 9}, scale="SCALE-2", use_by="2027-03-10", by="TO",
        nominal="" if order else "100 mL", at=at("2026-11-20 17:00"),
    )  # fmt: skip
    keep_back(lab, code, amount="2 bottles", by="TO", at=at("2026-11-20 17:10"))
