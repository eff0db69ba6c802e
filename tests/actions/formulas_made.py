"""The formulas of the list made in one laboratory: entered as a file, weighed, filled, brought to the release."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from stillroom.actions.book.laboratory import Laboratory, begin_laboratory
from stillroom.actions.house.equipment_and_people import add_apparatus, join_person
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.stock_movements import keep_back
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.entering import enter_text
from stillroom.actions.products.filling import fill_units
from stillroom.actions.releasing.deciding import release, review_release
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.actions.testing.ph import read_ph
from stillroom.errors import NotAllowed
from stillroom.products.release import Review
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.people import Apparatus, Person
from tests.products.test_eighty_formulas import BASES, LINE

HEAD, HAND, CHECKER = "MA", "TO", "JU"
BULK_G, BOTTLES, BOTTLE_G = 1000.0, 9, 96.0
KEPT = timedelta(days=100)
MORNING = datetime(2026, 11, 16, 8, 0, tzinfo=UTC)
STEPS = """
steps:
  - name: blend
    kind: blend
    says: Weigh every line into the vessel and stir until it is even.
    takes: [{takes}]
    gives: [bulk]
    weighs: [{takes}, bulk]
    hands: 60 min
    settings:
      - {{name: evaporated_share, value: "0.001", origin: chosen, because: little in a cold base}}
      - {{name: film_g, value: 5 g, origin: chosen, because: what stays in the vessel}}
  - name: fill
    kind: fill
    says: Fill each bottle on the scale to its mass.
    takes: [bulk]
    gives: [filled]
    weighs: [bulk, filled]
    hands: 30 min
    settings:
      - {{name: overfill_share, value: "0.010", origin: chosen, because: no bottle below its nominal content}}
      - {{name: filling_loss_share, value: "0.030", origin: chosen, because: what stays in the filler}}
      - {{name: fill_min_per_kg, value: "12", origin: chosen, because: a little over a minute a bottle}}
"""


@dataclass
class Workshop:
    """One laboratory in which every formula is made, a batch of a kilogram each."""

    lab: Laboratory
    now: list[datetime]
    lots: dict[tuple[str, str], str] = field(default_factory=dict)
    said: str = ""

    @classmethod
    def begun(cls, folder: Path) -> "Workshop":
        """A laboratory with who works, who releases, a scale and a thermometer."""
        now = [MORNING]
        lab = begin_laboratory(folder, "formulas", Person(HEAD, "Mira Anselm", True), clock=lambda: now[0])
        join_person(lab, Person(HAND, "Tove Ostrand", False), by=HEAD)
        join_person(lab, Person(CHECKER, "Juno Ullrich", True), by=HEAD)
        for code, kind, unit, step in (("SCALE", "scale", "g", 0.0001), ("THERM", "thermometer", "°C", 0.1)):
            add_apparatus(lab, Apparatus(code, kind, code, step, unit, step), by=HEAD)
        return cls(lab, now)

    def make(self, code: str, row: dict[str, str]) -> Review:
        """Enter, receive, weigh, measure and fill one formula; its release list the morning after."""
        lines = _lines_of(row)
        entered = enter_text(self.lab, _text_of(code, row, lines).encode(), f"{code}.yaml", by=HEAD)
        self.said = entered.says
        batch = code.upper()
        begin_batch(self.lab, batch, code, f"{BULK_G:g} g", by=HAND)
        self._blend(batch, lines)
        if row["ph"]:
            buffers = "4.01, 6.86" if float(row["ph"]) < 8.0 else "9.18, 12.45"
            read_ph(self.lab, batch, ph=row["ph"], read_by="meter", meter_buffers=buffers, by=HAND)
        weigh_density(
            self.lab,
            batch,
            empty="38.41 g",
            water="138.14 g",
            bulk="133.15 g",
            temperature="20.0 °C",
            scale="SCALE",
            thermometer="THERM",
            by=HAND,
        )
        fill_units(
            self.lab,
            batch,
            BOTTLES,
            left_over="125 g",
            check_weights=[f"{BOTTLE_G:g} g"] * 4,
            packaging={},
            scale="SCALE",
            use_by=f"{self.now[0] + KEPT:%Y-%m-%d}",
            nominal="100 mL",
            by=HAND,
        )
        keep_back(self.lab, batch, amount="2 bottles", by=HAND)
        self.now[0] += timedelta(days=1)
        return review_release(self.lab, batch, by=CHECKER)

    def release(self, batch: str, decisions: dict[str, str]) -> str:
        """Release a batch; what the book says of it."""
        return release(
            self.lab, batch, meaning="sheet, fill check and list read", decisions=decisions, by=CHECKER
        ).says

    def refusal(self, batch: str, decisions: dict[str, str]) -> str:
        """Why a release is refused; a release that is not is a finding."""
        try:
            self.release(batch, decisions)
        except NotAllowed as refused:
            return refused.sentence
        raise AssertionError(f"{batch} was released")

    def _blend(self, batch: str, lines: list[tuple[str, str, str]]) -> None:
        in_hand = step_in_hand(self.lab, batch)
        planned = {one.line: one.planned_g for one in in_hand.lines}
        weighed = [
            Weighed(name, f"{planned[name]:.6f} g", self._lot(name, holds), "SCALE")
            for name, _, holds in lines
        ]
        bulk = Weighed("bulk", f"{planned['bulk']:.6f} g", "", "SCALE")
        do_step(self.lab, batch, in_hand.step.name, [*weighed, bulk], by=HAND)

    def _lot(self, substance: str, holds: str) -> str:
        """A released lot of it; received where there is none yet."""
        if (substance, holds) not in self.lots:
            code = f"LOT-{len(self.lots) + 1}"
            kind = LotKind.INGREDIENT
            if substance.startswith("spirit"):
                kind = LotKind.SPIRIT
            stated = "96 % v/v" if kind is LotKind.SPIRIT else ""
            lot = Lot(code, kind, substance, substance, supplier="Invented Goods", stated=stated)
            receive_lot(self.lab, lot, "300 kg", by=HAND)
            if holds:
                counted, _, percent = holds.rpartition(" ")
                marker, _, compound = counted.partition(" as ")
                enter_outside_result(
                    self.lab,
                    code,
                    marker=marker,
                    found=f"{percent} % w/w ± 0.1 (k = 2)",
                    matter="as is",
                    laboratory="Invented Analysis",
                    certificate=f"C-{code}",
                    method="chromatography",
                    reckoned_as=compound,
                    by=HAND,
                )
            release(self.lab, code, meaning="papers and label agree, seal whole", by=HEAD)
            self.lots[substance, holds] = code
        return self.lots[substance, holds]


def _lines_of(row: dict[str, str]) -> list[tuple[str, str, str]]:
    """Name, share ("" fills up) and what it is certified to hold, of every line."""
    base = [(name, "" if percent is None else f"{percent:g}", "") for name, percent in BASES[row["base"]]]
    found = [LINE.fullmatch(one) for one in row["lines"].split("; ")]
    return [
        *base,
        *((one["name"], one["percent"], f"{one['of']} {one['holds']}" if one["of"] else "") for one in found),
    ]


def _text_of(code: str, row: dict[str, str], lines: list[tuple[str, str, str]]) -> str:
    """The file a person writes."""
    title = row["words"] or f"Formula {code}"
    written = [
        f"procedure: {code}",
        "version: 1",
        f'title: "{title}"',
        "purpose: formula",
        f'makes: "{title}"',
    ]
    written += ["scaled by: bulk", f'product type: "{row["kind"]}"', "keeps: 180 d", "", "lines:"]
    substance, _, purpose = row["purpose"].partition("=")
    for name, percent, _ in lines:
        share = f'percent: "{percent}"' if percent else "role: q.s."
        serves = f", serves: {purpose}" if name == substance else ""
        written.append(f'  - {{name: "{name}", substance: "{name}", {share}{serves}}}')
    takes = ", ".join(f'"{name}"' for name, _, _ in lines)
    return "\n".join(written) + STEPS.format(takes=takes)
