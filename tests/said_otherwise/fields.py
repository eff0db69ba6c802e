"""The fields of each question with a fact for each; a field that has none here fails the test that reads this table."""

from tests.said_otherwise.wordings import (
    Fact,
    by_volume,
    content,
    difference,
    in_units,
    mass,
    one_of_these,
    plus_minus,
    said,
    share,
    temperature,
    volume,
)

NAMES: dict[str, tuple[str, ...]] = {
    "dilute": ("vessel-called",),
    "dose": (),
    "order": ("product", "plant", "due"),
    "offer": ("product", "plant", "due", "customer"),
    "recover": (),
    "blend": tuple(f"stock-{row}{part}" for row in (3, 4, 5, 6) for part in ("", "-amount", "-price")),
    "acid": (),
    "buffer": (),
    "factor": ("titrant", "last-on", *(f"{what}-{row}" for row in (4, 5, 6) for what in ("mass", "titre"))),
    "shake": (),
    "siphon": (),
    "kinetics": ("unit",),
    "strengthen": ("of",),
    "cooling": (),
    "season": (),
    "compare": ("plant", "of"),
}
"""Fields that hold a name or a day, and rows that are read as the rows before them."""

BESIDES: dict[str, dict[str, str]] = {
    "dilute": {},
    "dose": {"matter": "dried", "meets": "at least", "kind": "hair leave-on", "market": "EU"},
    "order": {
        "product": "Tonic", "kind": "hair leave-on", "plant": "rosemary leaf", "way": "maceration",
        "due": "2027-01-31",
    },
    "offer": {
        "product": "Tonic", "kind": "hair leave-on", "plant": "rosemary leaf", "way": "maceration",
        "due": "2027-01-31", "customer": "Invented shop",
    },
    "recover": {"stop-as": "share"},
    "blend": {"stock-2-what": "recovered"},
    "acid": {},
    "buffer": {"pair": "phosphate", "read-by": "meter"},
    "factor": {
        "titrant": "sodium hydroxide", "standard": "potassium hydrogen phthalate", "last-on": "2026-11-04",
    },
    "shake": {"ph-by": "strip"},
    "siphon": {"sample": "10 mL", "siphoned": "60 mL"},
    "strengthen": {"kind": "standardised"},
    "kinetics": {"time-in": "min", "law": "first order"},
    "cooling": {},
    "season": {},
    "compare": {"plant": "rosemary leaf", "of": "rosmarinic acid"},
    "reagent": {},
}  # fmt: skip
"""What is chosen or named beside the facts."""

AS_SHOWN = {"g": 0, "kg": -3, "grams": 0}
"""A weighing doubted by its last figure: "24310 mg" would say more than "24.31 g"."""
BOTTLE = ("bottle-empty", "bottle-water", "bottle-spirit")
DROPS = ("drops-counted", "drops-weigh")
SHOWN = ("shows", "shows-at")

FACTS: dict[str, dict[str, Fact]] = {
    "dilute": {
        "have": by_volume(80, 96, doubted=True),
        "have-plus-minus": plus_minus("0.3", "% v/v", tenfold="mL/L", ratio="v/v"),
        "bottle-empty": in_units(24.31, 24.31, 2, AS_SHOWN, bare=True),
        "bottle-water": in_units(74.12, 74.12, 2, AS_SHOWN, bare=True),
        "bottle-spirit": in_units(64.60, 64.62, 2, AS_SHOWN, bare=True),
        "want": by_volume(30, 75),
        "amount": volume(100, 9000),
        "temperature": temperature(10, 30),
        "read-at": temperature(15, 25),
        "division": one_of_these("0.5 % v/v", "0,5 % v/v", "0.5 %", "5 mL/L", "0.5", else_refused=("0.5 % w/w",)),
        "thermometer": difference(0.2, 1.0),
        "drops-counted": one_of_these("20", "20 drops", "20 DROPS", else_refused=("20 mL",)),
        "drops-weigh": in_units(0.95, 1.0, 2, AS_SHOWN, bare=True),
        "shows": one_of_these("45.5 % v/v", "45,5 % v/v", "45.5 %", "45.5", "455 mL/L"),
        "shows-at": temperature(15, 25),
    },
    "dose": {
        "strength": content(30, 45, 1),
        "of": said("rosmarinic acid", "rosmarinic acid as rosmarinic acid"),
        "plus-minus": plus_minus("1.2", "% w/w", tenfold="mg/g", ratio="w/w"),
        "wanted": content(0.05, 0.15),
        "amount": mass(900, 5000, 1),
        "step": mass(0.01, 0.01, 2, bare=True),
        "loss-on-drying": content(2, 6, 1),
        "density": in_units(0.92, 0.99, 3, {"g/mL": 0, "kg/L": 0, "kg/m³": 3, "kg/dm³": 0}, bare=True),
        "at-hand": mass(60, 90, 1, bare=True),
        "next-strength": content(25, 45, 1),
        "usual-share": content(0.4, 0.8),
        "how-sure": one_of_these("90 %", "90", "90 per cent", "900 ‰", else_refused=("0.9",)),
    },
    "order": {
        "bottles": one_of_these(
            "24 × 50 mL", "24 x 50 mL", "24 × 0.05 L", "24 × 0,05 L", "24 bottles of 50 mL", "24 X 50 ml",
            "24 tins of 50 mL", else_refused=("24 × 50", "24 × 50 mL 60 mL"),
        ),
        "strength": content(0.08, 0.12),
        "of": said("rosmarinic acid", "rosmarinic acid as rosmarinic acid"),
    },
    "offer": {
        "bottles": one_of_these(
            "24 × 50 mL", "24 x 50 mL", "24 × 0.05 L", "24 bottles of 50 mL", else_refused=("24 × 50",),
        ),
        "strength": content(0.08, 0.12),
        "of": said("rosmarinic acid", "rosmarinic acid as rosmarinic acid"),
        "margin": share(20, 40),
        "price": one_of_these("450 EUR", "450.00 EUR", "450,00 EUR", else_refused=("450", "€450", "450 CHF")),
        "kept": share(60, 90),
    },
    "recover": {
        "have": by_volume(50, 80, doubted=True),
        "have-plus-minus": plus_minus("0.5", "% v/v", tenfold="mL/L", ratio="v/v"),
        "read-at": temperature(15, 25),
        "amount": volume(2000, 6000),
        "temperature": temperature(15, 25),
        "stop": share(60, 95),
        "power": in_units(300, 900, 0, {"W": 0, "kW": -3}, bare=True),
        "share": share(40, 70),
        "altitude": in_units(0, 1500, 0, {"m": 0, "cm": 2}, bare=True),
        "pressure": in_units(900, 1000, 0, {"hPa": 0, "mbar": 0, "Pa": 2, "kPa": -1, "bar": -3}, bare=True),
        "escapes": share(0.5, 3),
        "distillate-at": temperature(15, 30),
        "bottle-empty": in_units(24.31, 24.31, 2, AS_SHOWN, bare=True),
        "bottle-water": in_units(74.12, 74.12, 2, AS_SHOWN, bare=True),
        "bottle-spirit": in_units(64.60, 64.62, 2, AS_SHOWN, bare=True),
        "thermometer": difference(0.2, 1.0),
    },
    "blend": {
        "stock-1": by_volume(90, 96),
        "stock-1-amount": volume(3000, 5000),
        "stock-1-price": one_of_these("14 EUR/L", "14,0 EUR/L", "14 EUR/l", else_refused=("14 €/L", "EUR 14/L")),
        "stock-2": by_volume(50, 80),
        "stock-2-amount": volume(2000, 3000),
        "stock-2-price": one_of_these("16 EUR/kg", "16.0 EUR/kg", else_refused=("16", "16 EUR")),
        "want": by_volume(60, 75),
        "amount": volume(1000, 1500),
        "temperature": temperature(15, 25),
        "division": one_of_these("0.5 % v/v", "0,5 % v/v", "0.5 %", "5 mL/L", "0.5", else_refused=("0.5 % w/w",)),
        "thermometer": difference(0.2, 1.0),
    },
    "acid": {
        "of": one_of_these(
            "hydrochloric acid 37 %", "HYDROCHLORIC ACID 37 %", "hydrochloric acid 37,0 % w/w",
            "hydrochloric acid 370 mg/g", "hydrochloric acid 37 % w/w", "hydrochloric acid 37",
            else_refused=("hydrochloric acid 37 % v/v", "hydrochloric acid 37 % w/w fuming"),
        ),
        "want": one_of_these(
            "0.5 mol/L", "0,5 mol/L", "500 mmol/L", "0.5 M", "0.5 mol/dm³", "0.5 mol/l", "500 mM", "0.5 N", "N/2",
            else_refused=("0.5 mol",),
        ),
        "amount": volume(200, 2000),
        "have-plus-minus": plus_minus("0.5", "% w/w", tenfold="mg/g", ratio="w/w"),
        "density": in_units(1.184, 1.184, 3, {"g/mL": 0, "kg/m³": 3, "kg/L": 0, "g/cm³": 0}, bare=True),
        "titrated": in_units(12.0, 12.04, 2, {"mol/L": 0, "mmol/L": 3, "M": 0, "N": 0}, bare=True),
        "titrated-plus-minus": plus_minus("0.06", "mol/L", "mol/dm³"),
    },
    "buffer": {
        "ph": one_of_these("7.0", "7,0", "pH 7.0", "PH 7", else_refused=("7 mol/L",)),
        "total": one_of_these(
            "0.05 mol/L", "0,05 mol/L", "50 mmol/L", "50 mM", "0.05 mol/dm³", else_refused=("0.05",)
        ),
        "amount": volume(200, 2000),
        "meter-buffers": one_of_these("4.01, 6.86, 9.18", "4,01; 6,86; 9,18"),
        "scale": mass(0.01, 0.01, 2, bare=True),
        "plus-minus": one_of_these("0.2", "0,2", "± 0.2", "+/- 0.2", "0.2 pH"),
        "at": temperature(15, 35),
        "holds": one_of_these("citric acid 10 mmol/L; sodium 12 mmol/L", "Citric acid 0.01 mol/L; SODIUM 0,012 mol/L"),
    },
    "factor": {
        "strength": one_of_these(
            "0.1 mol/L", "0,1 mol/L", "100 mmol/L", "0.1 mol/dm³", "0.1 N", "0,1 normal", "N/10", else_refused=("0.1",),
        ),
        "mass-1": in_units(0.4085, 0.4085, 4, MASS_G := {"g": 0, "mg": 3, "kg": -3}, bare=True),
        "titre-1": in_units(20.06, 20.08, 2, ML := {"mL": 0, "L": -3, "ml": 0, "µL": 3}, bare=True),
        "mass-2": in_units(0.4120, 0.4120, 4, MASS_G, bare=True),
        "titre-2": in_units(20.22, 20.24, 2, ML, bare=True),
        "mass-3": in_units(0.4061, 0.4061, 4, MASS_G, bare=True),
        "titre-3": in_units(19.93, 19.95, 2, ML, bare=True),
        "blank": in_units(0.03, 0.05, 2, ML, bare=True),
        "at": temperature(18, 32),
        "last-factor": one_of_these("0.998", "0,998"),
        "room": temperature(18, 32),
        "content": one_of_these("99.95 %", "99,95 %", "99.95", "999.5 ‰", else_refused=("0.9995",)),
        "scale-plus-minus": in_units(0.0004, 0.0004, 4, MASS_G, bare=True, sign=True),
        "titre-plus-minus": in_units(0.04, 0.04, 2, ML, bare=True, sign=True),
    },
    "shake": {
        "pka": one_of_these("8.5", "8,5", "8.50", else_refused=("8.5 mol/L",)),
        "partition-ratio": one_of_these(
            "100", "100.0", "1e2", "log P 2", "logKow=2,0", else_refused=("100 %", "log 100 P")
        ),
        "ph": one_of_these("9.5", "9,5", "pH 9.5", else_refused=("9.5 mol/L",)),
        "water": volume(80, 200),
        "solvent": volume(60, 200),
        "portions": one_of_these("3", "3.0", "3,0", else_refused=("2.5", "3 mL")),
    },
    "siphon": {
        "sample": in_units(10, 10, 0, {"mL": 0, "ml": 0, "L": -3, "cm³": 0}),
        "siphoned": in_units(60, 60, 0, {"mL": 0, "ml": 0, "L": -3, "cm³": 0}),
        "residues": one_of_these(
            "412; 251; 156; 94; 58", "412 251 156 94 58 mg", "0.412; 0.251; 0.156; 0.094; 0.058 g",
            "0,412 g; 251 mg; 0,156 g; 94 mg; 58 mg", "412, 251, 156, 94, 58 mg",
            else_refused=("412 mg; 251 mL; 156 mg; 94 mg; 58 mg", "412; 251; x"),
        ),
        "collected": mass(15, 20, 2, bare=True),
        "cycle": one_of_these("15 min", "15", "900 s", "0.25 h", "0,25 h", "15 minutes", else_refused=("15 g",)),
        "remain": share(2, 9),
        "sure": mass(0.001, 0.003, 3, sign=True),
    },
    "strengthen": {
        "lots": one_of_these(
            "E1 36.2 ± 0.8 % 120 g; E2 41.0 ± 0.8 % 60 g", "E1 36.2 ± 0.8 % 120 g\nE2 41.0 ± 0.8 % 60 g",
            "E1, 36.2 ± 0.8 %, 120 g; E2, 41.0 ± 0.8 %, 0.06 kg", "E1: 36,2 ± 0,8 % 120 g; E2: 41,0 ± 0,8 % 60 g",
            "E1 36.2 ± 0.8 % w/w 120 g; E2 41.0 ± 0.8 % w/w 60 g",
            else_refused=("E1 36.2 120 g; E2 41.0 % 60 g", "E1 36.2 % v/v 120 g; E2 41 % 60 g", "E1; E2"),
        ),
        "want": content(37, 40, 1),
        "amount": mass(40, 50, 1, bare=True),
        "carrier": mass(100, 200, 1, bare=True),
        "native": one_of_these("5.2", "5,2", "5.20", "5.2:1", "5,2 : 1", else_refused=("5.2 g", "1:5")),
    },
    "kinetics": {
        "table": one_of_these(
            "0 0; 10 6.32; 20 8.65; 40 9.82; 80 10.0", "0 0\n10 6.32\n20 8.65\n40 9.82\n80 10.0",
            "time,yield\n0,0\n10,6.32\n20,8.65\n40,9.82\n80,10.0", "0\t0\n10\t6,32\n20\t8,65\n40\t9,82\n80\t10,0",
            "min; mg/g\n0; 0\n10; 6,32\n20; 8,65\n40; 9,82\n80; 10",
            else_refused=("0 0 0; 10 6.32; 20 8.65", "10 x; 20 8.65", "0 0; 10 6.32"),
        ),
        "at": one_of_these("90 min", "90", "1.5 h", "5400 s", "1,5 h", else_refused=("90 g",)),
    },
    "season": {
        "month": in_units(2000, 4000, 0, {"g": 0, "kg": -3}),
        "price": one_of_these("40 EUR/kg", "40.00 EUR/kg", else_refused=("40 CHF/kg",)),
        "short": one_of_these("90 EUR/kg", "90,00 EUR/kg", "90"),
        "left": one_of_these("5 EUR/kg", "5"),
        "varies": share(20, 50),
        "loses": share(1, 4),
        "months": one_of_these("12", "12 months"),
        "interest": share(2, 8),
    },
    "compare": {
        "charge": mass(40, 60, 0),
        "extractor": in_units(400, 600, 0, {"mL": 0, "L": -3}),
        "thimble": in_units(300, 400, 0, {"mL": 0, "L": -3}),
        "flask": in_units(500, 2000, 0, {"mL": 0, "L": -3}),
        "heater": in_units(400, 900, 0, {"W": 0, "kW": -3}),
    },
    "cooling": {
        "set-ups": one_of_these(
            "4 × acetone 123.5 W", "4 x acetone 123,5 W", "4 × ACETONE 0.1235 kW", "4 * acetone 123.5 W",
            else_refused=("4 × acetone 123.5", "4 × acetone 123.5 W 3"),
        ),
        "inlet": temperature(15, 30),
        "flow": in_units(0.5, 0.9, 1, {"L/min": 0, "mL/min": 3, "l/min": 0}, bare=True),
        "hours": one_of_these("6 h", "6", "360 min", "6 hours", "6,0 h", else_refused=("6 kg",)),
        "heaters": one_of_these("2 × 300 W; 1000 W", "2 x 0.3 kW; 1 kW", "2 × 300; 1000", "2 × 300 W + 1,0 kW"),
        "breaker": in_units(10, 16, 0, {"A": 0}, bare=True),
        "mains": in_units(220, 240, 0, {"V": 0}, bare=True),
        "bucket": in_units(20, 30, 0, {"L": 0, "mL": 3, "litres": 0}, bare=True),
        "ice": in_units(2, 6, 1, {"kg": 0, "g": 3}, bare=True),
        "pump": in_units(5, 15, 0, {"W": 0, "kW": -3}, bare=True),
        "altitude": in_units(0, 1500, 0, {"m": 0, "cm": 2}, bare=True),
        "share": share(40, 90),
        "margin": difference(10, 25),
        "jacket": in_units(100, 200, 0, {"mL": 0, "L": -3}, bare=True),
        "caught-at": temperature(15, 30),
    },
    "reagent": {
        "amount": in_units(50, 900, 0, {"mL": 0, "L": -3, "ml": 0, "cm³": 0, "litres": -3}),
        "step": in_units(0.01, 0.01, 2, {"g": 0, "mg": 3, "kg": -3}),
    },
}  # fmt: skip

ONLY_THEN: dict[str, tuple[tuple[tuple[str, ...], tuple[str, ...], dict[str, str]], ...]] = {
    "dilute": (((*BOTTLE, "read-at"), ("have", "have-plus-minus"), {}),),
    "recover": (
        (("read-at",), (), {"known-by": "alcoholometer"}),
        (("pressure",), ("altitude",), {}),
        (BOTTLE, ("have", "have-plus-minus"), {}),
    ),
    "acid": ((("titrated", "titrated-plus-minus"), (), {}),),
    "offer": ((("price",), ("margin",), {}),),
    "buffer": ((("holds",), ("ph", "total", "amount", "at", "plus-minus", "meter-buffers"), {}),),
}
"""Fields that are said only where one of them is said otherwise, what is left out then, and what is chosen then."""
