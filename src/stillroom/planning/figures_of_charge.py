"""Figures of a charge by itself, whatever becomes of its extract: what ways of extracting are compared by.

They stand in no plan of bottles; whoever compares asks for them by name.
"""

from stillroom.planning import amounts
from stillroom.planning.figure import OIML, PRACTICE, Figure
from stillroom.planning.route import Chain
from stillroom.planning.stages import Asked
from stillroom.planning.totals import charge_totals
from stillroom.stream.components import Array


def only_when_asked(chain: Chain) -> bool:  # noqa: ARG001
    """In no plan."""
    return False


def clock_h(asked: Asked) -> Array:
    """Hands, eyes and waiting, one after the other [h]."""
    found = charge_totals(asked)
    return found.hands_h + found.watch_h + found.free_h


def water_l(asked: Asked) -> Array:
    """Purified water, and cooling water that runs to waste [L]."""
    return amounts.charge_water(asked.only("supply")) / 1000.0 + charge_totals(asked).cooling_l


OF_CHARGE = (
    Figure(
        "charge_active_g", "charge", "Marker in the extract", "g", "supply", amounts.charge_active,
        "{Marker}, in all that the charge gives.", sources=PRACTICE, applies=only_when_asked,
    ),
    Figure(
        "charge_hands_h", "charge", "Hands", "h", "house", lambda a: charge_totals(a).hands_h,
        "Steps of the extraction, one after the other.", applies=only_when_asked,
    ),
    Figure(
        "charge_watch_h", "charge", "Watching", "h", "house", lambda a: charge_totals(a).watch_h,
        "What is boiled or filtered is watched.", sources=("chemicals-1.5.2",), applies=only_when_asked,
    ),
    Figure(
        "charge_clock_h", "charge", "By the clock", "h", "house", clock_h,
        "Hands, watching and waiting, one after the other, nights in.", applies=only_when_asked,
    ),
    Figure(
        "charge_spirit_ml", "charge", "Stock spirit", "mL", "supply",
        lambda a: amounts.stock_ml(amounts.stock_for_extraction(a), a),
        "What is taken from the shelf.", basis="at 20 °C", sources=OIML, applies=only_when_asked,
    ),
    Figure(
        "charge_spirit_lost_ml", "charge", "Of it not back", "mL", "supply", amounts.spirit_not_back,
        "Ethanol poured less what the stills give back, as stock spirit.", basis="at 20 °C",
        sources=OIML, applies=only_when_asked,
    ),
    Figure(
        "charge_water_l", "charge", "Water", "L", "house", water_l,
        "Purified water, and cooling water if it runs to waste.", sources=("chemicals-1.5.2",),
        applies=only_when_asked,
    ),
    Figure(
        "charge_cost", "charge", "Cost", "EUR", "money", lambda a: charge_totals(a).cost,
        "Plant, spirit, reagents, water, electricity and hours at the prices given; nothing is credited for what is "
        "recovered.", applies=only_when_asked,
    ),
    Figure(
        "charge_cost_per_g", "charge", "Cost of a gram of the marker", "EUR", "money",
        lambda a: charge_totals(a).cost / amounts.charge_active(a.only("supply")).clip(1e-12),
        "The cost over the grams of {marker} in the extract.", applies=only_when_asked,
    ),
)  # fmt: skip
