"""Two more products of the practice laboratory: a gel from infused tea, a mist from distilled lavender. All invented.

Told after the story of the bark, with times before its end: nothing of that story rests on them. Of each plant two
charges were made, so that the next plan has something of its own to go by.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.book.ceilings import state_ceiling
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.stock_movements import deliver, keep_back
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.orders.ordering import keep_plan
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.products.filling import fill_units
from stillroom.actions.releasing.deciding import release
from stillroom.actions.testing.drying import weigh_drying
from stillroom.actions.testing.identity import decide_identity
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.actions.testing.ph import read_ph
from stillroom.demo.clock import StoryClock
from stillroom.demo.files import practice_file, practice_rows
from stillroom.demo.shelves import SUPPLIER
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot

BIG, SMALL, FINE = "SCALE-1", "SCALE-2", "SCALE-3"
MOST_ON_SMALL_G = 500.0
CHARGES = {"TE1": "300 g", "TE2": "700 g", "LO1": "1200 g", "LO2": "1200 g"}


@dataclass(frozen=True, slots=True)
class Leaf:
    """A plant that came for one of the two, what its procedure is copied from, and what was found in it."""

    code: str
    plant: str
    amount: str
    way: str
    procedure: str
    marker: str
    evidence: str
    dried: tuple[str, ...]
    found: str
    matter: str
    method: str
    counted_as: str = ""


@dataclass(frozen=True, slots=True)
class Product:
    """One invented batch of a product."""

    code: str
    order: str
    formula: str
    bulk: str
    day: str
    extract: str
    weighed: Mapping[str, tuple[str, str]]
    ph: str
    density: tuple[str, str, str]
    units: int
    left_over: str
    each: tuple[str, ...]
    packaging: str
    keeps_until: str
    delivered: str


TEA = Leaf(
    "TEA-01", "green tea leaf", "1200 g", "infusion", "tea-extract", "total phenols",
    "leaf, tip and smell of the infusion compared with an authentic sample",
    ("30.1040 g", "32.1040 g", "31.9700 g", "31.9682 g"), "22.4 % w/w ± 0.8 (k = 2)", "dried", "Folin, 765 nm",
    "gallic acid",
)  # fmt: skip
LAVENDER = Leaf(
    "LAV-01", "lavender flower", "2600 g", "hydrodistillation", "lavender-oil", "linalool",
    "calyx, colour and smell compared with an authentic sample; foreign matter 0.8 %", (), "0.62 % w/w ± 0.05 (k = 2)",
    "as is", "gas chromatography",
)  # fmt: skip
EXTRACTS = {
    "TE1": ("total phenols", "gallic acid", "45.1 % w/w ± 1.2 (k = 2)", "Folin, 765 nm"),
    "TE2": ("total phenols", "gallic acid", "44.3 % w/w ± 1.2 (k = 2)", "Folin, 765 nm"),
    "LO1": ("linalool", "", "33.1 % w/w ± 0.9 (k = 2)", "gas chromatography"),
    "LO2": ("linalool", "", "34.2 % w/w ± 0.9 (k = 2)", "gas chromatography"),
}
"""What the invented laboratory found in each, of the whole as it is."""
OPINIONS = {
    "ORD-3": ("total phenols as gallic acid", "skin body leave-on"),
    "ORD-4": ("linalool", "skin face leave-on spray"),
}
DECISIONS: dict[str, str] = {
    "paper/microbial count": "invented report M-7: below 10 CFU/g after seven days, the three named organisms absent",
    "paper/challenge test": "invented report M-3 of this formula; repeated when a line changes",
    "paper/label check": "read against the list of ingredients and the order, one of each box",
}
"""Decided by name on the list of each; a report from outside is decided so."""
SPRAYED: dict[str, str] = {
    "keeps/HYD-02": "invented report M-8: below 10 CFU/mL after four months at 30 °C",
    "inhalation": "invented opinion of an assessor: coarse drops, each ingredient weighed for what is breathed in",
}
GEL = Product(
    "GEL1", "ORD-3", "after-sun-gel", "5.700 kg", "2026-11-17", "TE2",
    {
        "glycerin": ("171.0 g", "GLY-02"), "xanthan gum": ("57.00 g", "XAN-01"), "chelator": ("5.70 g", "CHE-01"),
        "sodium benzoate": ("22.80 g", "BEN-01"), "potassium sorbate": ("11.40 g", "SOR-01"),
        "citric acid": ("19.95 g", "CIT-01"), "extract": ("38.60 g", "TE2"), "water": ("5369 g", "WAT-02"),
        "bulk": ("5660 g", ""),
    },
    "4.6", ("38.41 g", "138.14 g", "139.35 g"), 54, "62.5 g",
    ("102.0 g", "102.2 g", "101.9 g", "102.1 g", "102.0 g"), "TUB-01", "2027-05-15", "50 tubes",
)  # fmt: skip
MIST = Product(
    "MIST1", "ORD-4", "face-mist", "6.200 kg", "2026-11-18", "LO2",
    {
        "hydrosol": ("3720 g", "HYD-02"), "glycerin": ("124.0 g", "GLY-02"), "solubiliser": ("37.20 g", "SOL-01"),
        "sodium benzoate": ("24.80 g", "BEN-01"), "potassium sorbate": ("12.40 g", "SOR-01"),
        "citric acid": ("18.60 g", "CIT-01"), "oil": ("6.16 g", "LO2"), "water": ("2257 g", "WAT-02"),
        "bulk": ("6184 g", ""),
    },
    "4.5", ("38.41 g", "138.14 g", "138.60 g"), 60, "94.0 g",
    ("101.4 g", "101.3 g", "101.5 g", "101.4 g", "101.3 g"), "SPR-01", "2027-03-15", "55 bottles",
)  # fmt: skip


def make_both(lab: Laboratory, clock: StoryClock) -> None:
    """Make the gel and the mist, each from the plant of its own; what is not yet known of them is left open.

    Parameters
    ----------
    lab : Laboratory
        Told to the end of the bark's story.
    clock : StoryClock
        Its clock, left where it stands.
    """
    for leaf in (TEA, LAVENDER):
        _receive(lab, clock, leaf)
    _fill_shelves(lab, clock)
    for name in ("after-sun-gel.yaml", "face-mist.yaml", "ORD-3.yaml", "ORD-4.yaml"):
        enter_text(lab, practice_file(name), name, by="MA", at=clock.earlier("2026-11-09 12:00"))
    for order, (marker, product_type) in OPINIONS.items():
        state_ceiling(
            lab, marker, product_type, "EU", "none", f"an invented opinion of an assessor on {order}", by="MA",
            at=clock.earlier("2026-11-09 12:30"),
        )  # fmt: skip
    _extract(lab, clock)
    for product in (GEL, MIST):
        keep_plan(lab, product.order, by="MA", at=clock.earlier("2026-11-16 09:00"))
        _make(lab, clock, product)


def _receive(lab: Laboratory, clock: StoryClock, leaf: Leaf) -> None:
    came = Lot(leaf.code, LotKind.PLANT, leaf.plant, f"{leaf.plant}, dried", supplier=SUPPLIER)
    receive_lot(lab, came, leaf.amount, by="TO", at=clock.earlier("2026-11-09 09:00"), apparatus=BIG)
    decide_identity(
        lab, leaf.code, accepted=True, evidence=leaf.evidence, by="MA", at=clock.earlier("2026-11-09 09:30")
    )
    if leaf.dried:
        dish, with_sample, *dried = leaf.dried
        weigh_drying(
            lab, leaf.code, dish=dish, with_sample=with_sample, dried=dried, apparatus=FINE, method_spread="0.3 %",
            by="TO", at=clock.earlier("2026-11-09 15:00"),
        )  # fmt: skip
    _found_outside(
        lab, clock, leaf.code, (leaf.marker, leaf.counted_as, leaf.found, leaf.method), leaf.matter
    )
    release(
        lab,
        leaf.code,
        meaning="identity accepted, certificate read",
        by="MA",
        at=clock.earlier("2026-11-09 16:00"),
    )
    copy_procedure(
        lab, leaf.way, leaf.plant, leaf.marker, leaf.procedure, by="MA", at=clock.earlier("2026-11-09 16:10")
    )


def _found_outside(
    lab: Laboratory, clock: StoryClock, lot: str, found: tuple[str, str, str, str], matter: str = "as is"
) -> None:
    marker, counted_as, percent, method = found
    enter_outside_result(
        lab, lot, marker=marker, reckoned_as=counted_as, found=percent, matter=matter, method=method,
        laboratory="Invented Analysis", certificate=f"invented certificate of {lot}", by="TO",
        at=clock.earlier("2026-11-15 10:00" if lot in CHARGES else "2026-11-09 15:30"),
    )  # fmt: skip


def _fill_shelves(lab: Laboratory, clock: StoryClock) -> None:
    for row in practice_rows("more-shelves.csv"):
        lot = Lot(
            row["code"], LotKind(row["kind"]), row["substance"], row["name"], supplier=row["supplier"],
            stated=row["stated"], use_by=row["use_by"] or None,
        )  # fmt: skip
        receive_lot(lab, lot, row["amount"], by="TO", at=clock.earlier("2026-11-09 10:00"))
        release(
            lab,
            lot.code,
            meaning="papers and label agree, seal whole",
            by="MA",
            at=clock.earlier("2026-11-09 10:30"),
        )


def _extract(lab: Laboratory, clock: StoryClock) -> None:
    rows = practice_rows("tea-and-lavender.csv")
    for code, of_batch in groupby(rows, key=lambda row: row["batch"]):
        lines = list(of_batch)
        leaf = TEA if code.startswith("TE") else LAVENDER
        begun = clock.earlier(f"{lines[0]['done_at'][:10]} 08:30")
        begin_batch(lab, code, leaf.procedure, CHARGES[code], by="TO", at=begun)
        for (name, at), of_step in groupby(lines, key=lambda row: (row["step"], row["done_at"])):
            in_hand = step_in_hand(lab, code, name)
            weighed = [Weighed(row["line"], row["mass"], row["lot"], row["scale"]) for row in of_step]
            ticks = in_hand.step.ticks if in_hand else ()
            do_step(lab, code, name, weighed, ticks=ticks, by="TO", at=clock.earlier(at))
        _found_outside(lab, clock, code, EXTRACTS[code])
        release(
            lab, code, meaning="sheet and certificate read", by="JU", at=clock.earlier("2026-11-15 16:00")
        )
    plates = (
        "invented report M-6: below 10 CFU/mL on the day it was drawn off and after three days; kept at 5 °C"
    )
    for code in ("HYD-01", "HYD-02"):
        release(lab, code, meaning=plates, by="JU", at=clock.earlier("2026-11-17 16:00"))


def _make(lab: Laboratory, clock: StoryClock, product: Product) -> None:
    code, day = product.code, product.day
    begin_batch(
        lab,
        code,
        product.formula,
        product.bulk,
        order=product.order,
        by="TO",
        at=clock.earlier(f"{day} 08:00"),
    )
    decide_dose(lab, code, product.extract, scale=SMALL, by="MA", at=clock.earlier(f"{day} 08:20"))
    in_hand = step_in_hand(lab, code, "blend")
    weighed = [
        Weighed(line, mass, lot, BIG if float(mass.split()[0]) > MOST_ON_SMALL_G else SMALL)
        for line, (mass, lot) in product.weighed.items()
    ]
    do_step(
        lab, code, "blend", weighed, ticks=in_hand.step.ticks if in_hand else (), temperature="20.5 °C", by="TO",
        at=clock.earlier(f"{day} 10:30"),
    )  # fmt: skip
    read_ph(
        lab, code, ph=product.ph, read_by="meter", meter_buffers="4.01, 6.86", by="TO",
        at=clock.earlier(f"{day} 14:00"),
    )  # fmt: skip
    empty, water, bulk = product.density
    weigh_density(
        lab, code, empty=empty, water=water, bulk=bulk, temperature="20.0 °C", scale=SMALL, thermometer="THERM-1",
        by="TO", at=clock.earlier(f"{day} 15:00"),
    )  # fmt: skip
    fill_units(
        lab, code, product.units, left_over=product.left_over, check_weights=product.each,
        packaging={product.packaging: product.units, "LAB-02": product.units + 1}, scale=SMALL,
        use_by=product.keeps_until, by="TO", at=clock.earlier(f"{day} 17:30"),
    )  # fmt: skip
    keep_back(lab, code, amount="2 bottles", by="TO", at=clock.earlier(f"{day} 17:45"))
    decisions = DECISIONS | (SPRAYED if product is MIST else {})
    release(
        lab, code, meaning="sheet, dose, fill check, plates and label read against the order", decisions=decisions,
        by="JU", at=clock.earlier("2026-11-23 09:30"),
    )  # fmt: skip
    deliver(lab, product.order, {code: product.delivered}, by="MA", at=clock.earlier("2026-11-23 14:00"))
