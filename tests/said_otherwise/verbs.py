"""What a bench form or a verb of the book takes: the fields of each act with a fact for each, and the act itself."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.lots.plant_card import describe_plant
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.spirit_read import read_strength
from stillroom.actions.lots.stock_movements import count_stock, keep_back
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.products.filling import fill_units
from stillroom.actions.testing.absorbance import measure_absorbance
from stillroom.actions.testing.drying import weigh_drying
from stillroom.actions.testing.extractive import weigh_extractive
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.actions.testing.ph import read_ph
from stillroom.actions.testing.reagents import make_reagent
from stillroom.actions.testing.residue import report_residue
from stillroom.actions.testing.titrant_factors import factor_titrant, find_factor
from stillroom.actions.testing.titration import titrate
from stillroom.actions.watching.bed_noted import look_in
from stillroom.actions.watching.siphonings_noted import look_at, measure_extractor
from stillroom.quantities.entry import with_unit
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot, Status
from tests.said_otherwise.wordings import (
    Fact,
    by_volume,
    in_units,
    mass,
    one_of_these,
    plus_minus,
    temperature,
)

Said = Mapping[str, str]
BIG, SMALL, FINE = "SCALE-1", "SCALE-2", "SCALE-3"
NOTE = "it happened so"
BURETTE = {"mL": 0, "ml": 0, "L": -3, "cm³": 0}


@dataclass(frozen=True)
class Verb:
    """An act of the book with its facts; ``beside`` is chosen where a field is said only then."""

    does: Callable[[Laboratory, Said], Any]
    facts: Mapping[str, Fact]
    beside: Said = field(default_factory=dict)


def _by_mass(low: float, high: float, decimals: int) -> Fact:
    return mass(low, high, decimals, bare=False)


def _receive(lab: Laboratory, said: Said) -> Any:
    lot = Lot("NEW-1", LotKind.INGREDIENT, "glycerin", "glycerin")
    return receive_lot(lab, lot, said["amount"], by="TO", apparatus=SMALL)


def _receive_spirit(lab: Laboratory, said: Said) -> Any:
    lot = Lot("NEW-1", LotKind.SPIRIT, "spirit 96 %", "spirit", stated=said["stated"])
    return receive_lot(lab, lot, f"{said['amount']} at 20 °C", by="TO")


def _dry(lab: Laboratory, said: Said) -> Any:
    return weigh_drying(
        lab, "CIN-01", dish=said["dish"], with_sample=said["with sample"], dried=(said["dried"], "33.0510 g"),
        method_spread=said["method spread"], apparatus=FINE, by="TO",
    )  # fmt: skip


def _titrate(lab: Laboratory, said: Said) -> Any:
    portions = [(said["mass"], said["titre"]), ("0.2000 g", "8.16 mL")]
    return titrate(
        lab, "E1", portions=portions, blank=said["blank"], nominal=said["nominal"], titrant="NAOH-01", scale=FINE,
        burette="BUR-1", temperature=said["temperature"], by="TO",
    )  # fmt: skip


def _absorb(lab: Laboratory, said: Said) -> Any:
    return measure_absorbance(
        lab, "CIN-01", marker="total phenols", reckoned_as="gallic acid", portions=[(said["mass"], said["absorbance"])],
        standards=[("10 mg/L", "0.120"), (said["standard"], "0.568")], made_up_to=said["volume"],
        diluted=said["diluted"], sure=said["sure"], scale=FINE, by="TO",
    )  # fmt: skip


def _extractive(lab: Laboratory, said: Said) -> Any:
    return weigh_extractive(
        lab, "CIN-01", liquid="water", sample=said["sample"], poured=said["poured"], taken=said["part"],
        dish=said["dish"], with_residue=said["residue"], scale=FINE, by="TO",
    )  # fmt: skip


def _state_factor(lab: Laboratory, said: Said) -> Any:
    return factor_titrant(
        lab, "NAOH-01", strength=said["strength"], factor=said["factor"],
        factor_standard_uncertainty=said["plus minus"], by="TO",
    )  # fmt: skip


def _find_factor(lab: Laboratory, said: Said) -> Any:
    replicates = [
        (said["mass"], said["titre"]),
        ("0.0824 g", "20.22 mL"),
        ("0.0812 g", "19.93 mL"),
    ]
    return find_factor(
        lab, "NAOH-01", replicates, standard="potassium hydrogen phthalate", strength=said["strength"],
        blank=said["blank"], content=said["content"], temperature=said["temperature"], scale=FINE, burette="BUR-1",
        by="TO",
    )  # fmt: skip


def _weigh_density(lab: Laboratory, said: Said) -> Any:
    return weigh_density(
        lab, "T1", empty=said["empty"], water=said["water"], bulk=said["bulk"],
        temperature=said["temperature"], scale=SMALL, thermometer="THERM-1", by="TO",
    )  # fmt: skip


def _do_step(lab: Laboratory, said: Said) -> Any:
    in_hand = step_in_hand(lab, "E8")
    assert in_hand is not None
    with lab.look() as look:
        lots = {lot.substance: lot.code for lot in look.lots(status=Status.RELEASED)}
    weighed = [
        Weighed(one.line, said["mass"], lots.get(one.substance, "") if one.direction == "in" else "", BIG)
        for one in in_hand.lines
    ]
    return do_step(
        lab, "E8", in_hand.step.name, weighed, ticks=in_hand.step.ticks, temperature=said["temperature"],
        note=NOTE, by="TO",
    )  # fmt: skip


def _make_reagent(lab: Laboratory, said: Said) -> Any:
    weighed = [
        Weighed("water", said["water"], "WAT-01", SMALL),
        Weighed("iodine", said["iodine"], "IOD-1", SMALL),
        Weighed("potassium iodide", "2.00 g", "KI-1", SMALL),
    ]
    ticks = ("Hood on, goggles and gloves on", "No ammonia is open in the room")
    return make_reagent(
        lab, "wagner", code="WAG-9", amount=said["amount"], weighed=weighed, ticks=ticks, note=NOTE, by="TO"
    )


def _outside(lab: Laboratory, said: Said) -> Any:
    return enter_outside_result(
        lab, "E1", marker="total alkaloids", found=f"{said['found']} ± 3 % of it (k = 2)", matter="as is",
        laboratory="Invented Assays",
        certificate="IA-7", method="liquid chromatography", reckoned_as="quinine", by="TO",
    )  # fmt: skip


def _fill(lab: Laboratory, said: Said) -> Any:
    return fill_units(
        lab, "T1", 51, left_over=said["left over"], check_weights=(said["check weight"], "96.1 g"),
        packaging={"BOT-01": 51, "CAP-01": 51, "LAB-01": 52}, scale=SMALL, use_by=said["use by"], note=NOTE, by="TO",
    )  # fmt: skip


DAYS = one_of_these(
    "2027-09-30", "2027/09/30", "20270930", "30.9.2027", "30. 9. 2027", "30-9-2027", "30/09/2027", "09/30/2027",
    "30 Sep 2027", "30 September 2027", "30 septembre 2027", "30. September 2027", "30-SEP-2027", "30th Sept. 2027",
    else_refused=("30.9.27", "30 9 2027", "Sep 2027", "30 Ju 2027"),
)  # fmt: skip


VERBS: dict[str, Verb] = {
    "receive": Verb(_receive, {"amount": _by_mass(100, 5000, 2)}),
    "receive spirit": Verb(
        _receive_spirit,
        {
            "amount": in_units(500, 9000, 0, {"mL": 0, "L": -3, "ml": 0, "litres": -3, "dm³": -3}),
            "stated": by_volume(94, 97),
        },
    ),
    "drying": Verb(
        _dry,
        {
            "dish": _by_mass(31.2, 31.3, 4),
            "with sample": _by_mass(33.2, 33.3, 4),
            "dried": _by_mass(33.0515, 33.0525, 4),
            "method spread": one_of_these("0.3 %", "0,3 %", "3 ‰", "0.3%", "0.3"),
        },
    ),
    "titrate": Verb(
        _titrate,
        {
            "mass": _by_mass(0.19, 0.21, 4),
            "titre": in_units(8.1, 8.4, 2, BURETTE),
            "blank": in_units(19.9, 20.1, 2, BURETTE),
            "nominal": in_units(20.0, 20.0, 2, BURETTE),
            "temperature": temperature(18, 26),
        },
    ),
    "absorbance": Verb(
        _absorb,
        {
            "mass": _by_mass(0.19, 0.21, 4),
            "absorbance": one_of_these(
                "0.523", "0,5230", else_refused=(".523", "0,523", "0.523 AU", "52.3 %")
            ),
            "standard": in_units(50, 50, 0, {"mg/L": 0, "µg/mL": 0, "g/L": -3}),
            "volume": in_units(90, 110, 1, BURETTE),
            "diluted": one_of_these("5 mL to 50 mL", "5 ml to 50 ml", "0.005 L to 0.05 L", "10", "10.0"),
            "sure": in_units(1, 3, 1, {"%": 0, "‰": 1}),
        },
    ),
    "extractive": Verb(
        _extractive,
        {
            "sample": _by_mass(4.9, 5.1, 3),
            "poured": in_units(90, 110, 1, BURETTE),
            "part": in_units(19, 21, 1, BURETTE),
            "dish": _by_mass(31.2, 31.3, 4),
            "residue": _by_mass(31.4, 31.5, 4),
        },
    ),
    "state a factor": Verb(
        _state_factor,
        {
            "strength": in_units(0.02, 0.02, 4, {"mol/L": 0, "mmol/L": 3, "mol/l": 0, "mmol/mL": 0}),
            "factor": one_of_these(
                "1.004", " 1.004", else_refused=("1,004", "1,004 ", "100.4 %", "1.004 mol/L")
            ),
            "plus minus": one_of_these("0.002", "0,0020", else_refused=("0.2 %", "0,002", "± 0.002")),
        },
    ),
    "find a factor": Verb(
        _find_factor,
        {
            "mass": _by_mass(0.0815, 0.0818, 4),
            "titre": in_units(20.05, 20.07, 2, BURETTE),
            "blank": in_units(0.03, 0.05, 2, BURETTE),
            "strength": in_units(0.02, 0.02, 4, {"mol/L": 0, "mmol/L": 3}),
            "content": one_of_these(
                "99.9 %", "99,9 %", "999 mg/g", "99.9 % w/w", else_refused=("99.9", "0.999")
            ),
            "temperature": temperature(18, 26),
        },
    ),
    "density": Verb(
        _weigh_density,
        {
            "empty": _by_mass(38.40, 38.42, 2),
            "water": _by_mass(138.13, 138.15, 2),
            "bulk": _by_mass(133.11, 133.13, 2),
            "temperature": temperature(19, 24),
        },
    ),
    "read a strength": Verb(
        lambda lab, said: read_strength(lab, "SPI-01", {**said, "known-by": "label"}, by="TO"),
        {
            "have": by_volume(90, 96, doubted=True),
            "temperature": temperature(18, 22),
            "have-plus-minus": plus_minus("0.3", "% v/v", tenfold="mL/L", ratio="v/v"),
        },
    ),
    "look at a siphoning": Verb(
        lambda lab, said: look_at(
            lab, "E1", residue=said["residue"], volume=said["volume"], refractometer=said["read"], by="TO"
        ),
        {
            "residue": in_units(12, 60, 1, {"mg": 0, "g": -3, "µg": 3}),
            "volume": in_units(5, 20, 1, {"mL": 0, "L": -3, "ml": 0, "cm³": 0}),
            "read": one_of_these("1.4", "1,4", "1.4 %", "1.40", else_refused=("one", "1.4.")),
        },
    ),
    "look at a bed": Verb(
        lambda lab, said: look_in(
            lab, "E1", residue=said["residue"], volume=said["volume"], collected=said["collected"], by="TO"
        ),
        {
            "residue": in_units(12, 60, 1, {"mg": 0, "g": -3, "µg": 3}),
            "volume": in_units(5, 20, 1, {"mL": 0, "L": -3, "ml": 0, "cm³": 0}),
            "collected": in_units(200, 900, 0, {"mL": 0, "L": -3, "ml": 0, "cm³": 0}),
        },
    ),
    "a plant's card": Verb(
        lambda lab, said: describe_plant(
            lab,
            "CIN-01",
            moisture=said["moisture"],
            moisture_sure=said["plus minus"],
            sample=said["sample"],
            coarser_sieve=said["coarser"],
            on_coarser=said["on coarser"],
            finer_sieve="0.25 mm",
            on_finer="34 g",
            by="TO",
        ),
        {
            "moisture": in_units(8, 12, 1, {"%": 0, "‰": 1, "% w/w": 0}),
            "plus minus": in_units(2, 3, 1, {"%": 0, "‰": 1}),
            "sample": mass(50, 60, 1),
            "coarser": in_units(0.6, 0.9, 2, {"mm": 0, "µm": 3, "um": 3, "cm": -1}),
            "on coarser": mass(6, 9, 1),
        },
    ),
    "crest and heel": Verb(
        lambda lab, said: measure_extractor(lab, "E1", crest=said["crest"], heel=said["heel"], by="TO"),
        {
            "crest": in_units(60, 90, 1, {"mL": 0, "L": -3, "ml": 0, "cm³": 0}),
            "heel": in_units(15, 30, 1, {"mL": 0, "L": -3, "ml": 0, "cm³": 0}),
        },
    ),
    "a step": Verb(_do_step, {"mass": _by_mass(100, 400, 1), "temperature": temperature(18, 26)}),
    "make a reagent": Verb(
        _make_reagent,
        {
            "amount": in_units(100, 100, 1, {"mL": 0, "L": -3, "ml": 0, "cm³": 0}),
            "water": _by_mass(97, 99, 1),
            "iodine": _by_mass(1.25, 1.29, 2),
        },
    ),
    "a residue": Verb(
        lambda lab, said: report_residue(
            lab,
            "E1",
            solvent="ethyl acetate",
            found=said["found"],
            report="IA-8",
            uncertainty=said["plus minus"],
            by="TO",
        ),
        {
            "found": in_units(12, 60, 1, {"mg/kg": 0, "µg/g": 0, "g/kg": -3}),
            "plus minus": in_units(2, 4, 1, {"mg/kg": 0, "µg/g": 0, "g/kg": -3}),
        },
    ),
    "an outside result": Verb(
        _outside, {"found": in_units(36, 40, 1, {"% w/w": 0, "mg/g": 1, "g/kg": 1, "% by mass": 0})}
    ),
    "count the shelf": Verb(
        lambda lab, said: count_stock(lab, "E1", found=said["found"], by="TO", scale=SMALL),
        {"found": _by_mass(5.5, 5.9, 2)},
    ),
    "keep back": Verb(
        lambda lab, said: keep_back(lab, "T1", amount=said["units"], by="TO"),
        {
            "units": one_of_these(
                "2 bottles", "2 bottle", else_refused=("2", "2 x", "two bottles", "2 Bottles")
            )
        },
    ),
    "begin": Verb(
        lambda lab, said: begin_batch(lab, "E9", "bark-extract", said["scale"], order="ORD-1", by="TO"),
        {"scale": _by_mass(90, 260, 1)},
    ),
    "fill": Verb(
        _fill, {"left over": _by_mass(86, 87, 2), "check weight": _by_mass(95.7, 96.1, 1), "use by": DAYS}
    ),
    "pH": Verb(
        lambda lab, said: read_ph(
            lab, "T1", ph=said["ph"], read_by="meter", meter_buffers=said["buffers"], by="TO"
        ),
        {
            "ph": one_of_these("5.4", "5,4", "pH 5.4", "5.40", else_refused=("pH5.4", "5.4 pH")),
            "buffers": one_of_these(
                "4.01, 6.86", "4.01; 6.86", "4,01; 6,86", else_refused=("4,01, 6,86", "4.01 6.86")
            ),
        },
    ),
    "the room": Verb(
        lambda lab, said: note_condition(
            lab, "room temperature", with_unit(said["temperature"], "°C"), by="TO"
        ),
        {"temperature": temperature(15, 35)},
    ),
    "the altitude": Verb(
        lambda lab, said: note_condition(lab, "altitude", said["altitude"], by="TO"),
        {"altitude": in_units(0, 1500, 0, {"m": 0, "cm": 2})},
    ),
}
