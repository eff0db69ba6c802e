"""The practice laboratory doses, makes, fills, releases and delivers two tonics. All of it is invented."""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_weighing
from stillroom.actions.lots.stock_movements import count_stock, deliver, keep_back
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.products.filling import fill_units
from stillroom.actions.releasing.deciding import release
from stillroom.demo.clock import StoryClock

BIG, SMALL = "SCALE-1", "SCALE-2"
LABEL = "paper/label check"


@dataclass(frozen=True, slots=True)
class Tonic:
    """One invented batch of the tonic."""

    code: str
    order: str
    bulk: str
    day: str
    weighed: tuple[Weighed, ...]
    units: int
    left_over: str
    check_weights: Sequence[str]
    delivered: str
    wrong_glycerin: str = ""


T1 = Tonic(
    "T1",
    "ORD-1",
    "5.000 kg",
    "2026-11-16",
    (
        Weighed("spirit", "1775 g", "SPI-01", BIG),
        Weighed("glycerin", "50.00 g", "GLY-01", SMALL),
        Weighed("panthenol", "25.00 g", "PAN-01", SMALL),
        Weighed("extract", "13.02 g", "E1", SMALL),
        Weighed("water", "3137 g", "WAT-01", BIG),
        Weighed("bulk", "4985 g", "", BIG),
    ),
    51,
    "86.20 g",
    ("95.9 g", "96.1 g", "95.8 g", "96.0 g", "95.9 g", "96.2 g", "95.7 g", "96.0 g"),
    "31 bottles",
    wrong_glycerin="50.90 g",
)
T2 = Tonic(
    "T2",
    "ORD-2",
    "7.680 kg",
    "2026-11-18",
    (
        Weighed("spirit", "2726 g", "SPI-01", BIG),
        Weighed("glycerin", "76.80 g", "GLY-01", SMALL),
        Weighed("panthenol", "38.40 g", "PAN-01", SMALL),
        Weighed("extract", "20.00 g", "E1", SMALL),
        Weighed("water", "4819 g", "WAT-01", BIG),
        Weighed("bulk", "7661 g", "", BIG),
    ),
    78,
    "171.5 g",
    ("96.0 g", "95.8 g", "96.1 g", "95.9 g", "96.0 g", "95.8 g", "96.2 g", "95.9 g"),
    "44 bottles",
)


def bottle(lab: Laboratory, clock: StoryClock) -> None:
    """Make both tonics, deliver part of them, and count what is left of the extract."""
    for tonic in (T1, T2):
        make_tonic(lab, clock, tonic)
    count_stock(lab, "E1", found="5.84 g", by="TO", at=clock.at("2026-11-24 09:00"), scale=SMALL)


def make_tonic(lab: Laboratory, clock: StoryClock, tonic: Tonic) -> None:
    """One batch from dose to delivery."""
    code, day = tonic.code, tonic.day
    begin_batch(lab, code, "hair-tonic", tonic.bulk, order=tonic.order, by="TO", at=clock.at(f"{day} 08:00"))
    decide_dose(lab, code, "E1", scale=SMALL, by="MA", at=clock.at(f"{day} 08:20"))
    in_hand = step_in_hand(lab, code, "blend")
    ticks = in_hand.step.ticks if in_hand else ()
    entered = [
        Weighed(one.line, tonic.wrong_glycerin, one.lot, one.apparatus)
        if tonic.wrong_glycerin and one.line == "glycerin"
        else one
        for one in tonic.weighed
    ]
    done = do_step(
        lab, code, "blend", entered, ticks=ticks, temperature="20.5 °C", by="TO", at=clock.at(f"{day} 10:30")
    )
    if tonic.wrong_glycerin:
        correct_weighing(
            lab,
            done.entries[0],
            "glycerin",
            "50.00 g",
            why="read the display of the scale with the spoon on it",
            by="TO",
            at=clock.at(f"{day} 10:45"),
        )
    weigh_density(
        lab,
        code,
        empty="38.41 g",
        water="138.14 g",
        bulk="133.12 g",
        temperature="20.0 °C",
        scale=SMALL,
        thermometer="THERM-1",
        by="TO",
        at=clock.at(f"{day} 15:00"),
    )
    fill_units(
        lab,
        code,
        tonic.units,
        left_over=tonic.left_over,
        check_weights=tonic.check_weights,
        packaging={"BOT-01": tonic.units, "CAP-01": tonic.units, "LAB-01": tonic.units + 1},
        scale=SMALL,
        use_by="2027-09-30",
        by="TO",
        at=clock.at(f"{day} 17:30"),
    )
    keep_back(lab, code, amount="2 bottles", by="TO", at=clock.at(f"{day} 17:45"))
    next_day = f"{day[:-2]}{int(day[-2:]) + 1:02d}"
    release(
        lab,
        code,
        meaning="sheet, dose, fill check and label read against the order",
        decisions={LABEL: "read against the list of ingredients and the order, one bottle of each box"},
        by="JU",
        at=clock.at(f"{next_day} 09:30"),
    )
    deliver(lab, tonic.order, {code: tonic.delivered}, by="MA", at=clock.at(f"{next_day} 14:00"))
