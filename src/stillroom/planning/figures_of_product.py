"""Figures of the product and the house: bottles, bulk, content, packaging, water, hours, money."""

from stillroom.planning import amounts
from stillroom.planning.figure import OIML, Figure
from stillroom.planning.route import Chain, water_lines
from stillroom.planning.stages import content, filling, supply
from stillroom.planning.totals import packaging, totals


def _by_volume(chain: Chain) -> bool:
    return not chain.by_mass


OF_PRODUCT = (
    Figure(
        "fill_g",
        "bottles",
        "Fill for each bottle",
        "g",
        "filling",
        lambda a: filling(a).fill_g,
        "Nominal content at 20 °C times the density of the product at 20 °C, and the overfill.",
        sources=OIML,
    ),
    Figure(
        "density_g_ml",
        "bottles",
        "Density of the product at 20 °C",
        "g/mL",
        "filling",
        lambda a: filling(a).density_g_ml,
        "From the ethanol and water of the formula by OIML R 22, with an allowance for what is dissolved. "
        "Weigh a flask to better it.",
        sources=OIML,
        applies=_by_volume,
    ),
    Figure(
        "bulk_g",
        "bulk",
        "Bulk to make",
        "g",
        "filling",
        lambda a: filling(a).bulk_each_g,
        "Enough to fill every bottle, after what stays in vessel, filter and filler, in as many of 100 "
        "batches as was asked.",
        at="upper limit",
        sources=OIML,
    ),
    Figure(
        "active_g",
        "active",
        "Active in the bulk",
        "g",
        "supply",
        lambda a: amounts.constant(a, supply(a).active_g),
        "Bulk times the aim.",
        basis="{marker}",
    ),
    Figure(
        "extract_g",
        "active",
        "Extract for the bulk",
        "g",
        "supply",
        lambda a: supply(a).dose_g,
        "Active over the strength the assay will read.",
    ),
    Figure(
        "bottles",
        "packaging",
        "Bottles",
        "pieces",
        "packaging",
        packaging,
        "Ordered and kept back, with spares, whole pieces.",
    ),
    Figure(
        "caps", "packaging", "Caps", "pieces", "packaging", packaging, "One for each bottle, with spares."
    ),
    Figure(
        "labels", "packaging", "Labels", "pieces", "packaging", packaging, "One for each bottle, with spares."
    ),
    Figure(
        "process_water_g",
        "water",
        "Purified water",
        "g",
        "supply",
        amounts.water,
        "For the extraction and the product.",
        applies=lambda chain: bool(water_lines(chain.extraction) or water_lines(chain.formula)),
    ),
    Figure(
        "cooling_water_l",
        "water",
        "Cooling water",
        "L",
        "house",
        lambda a: totals(a).cooling_l,
        "The heat of condensing over what the water may warm by, if it runs to waste.",
        sources=("chemicals-1.5.2",),
    ),
    Figure(
        "hours_hands",
        "hours",
        "Hours of hands",
        "h",
        "house",
        lambda a: totals(a).hands_h,
        "Steps of both procedures, one after the other.",
    ),
    Figure(
        "hours_watch",
        "hours",
        "Hours of watching",
        "h",
        "house",
        lambda a: totals(a).watch_h,
        "What is boiled or filtered is watched.",
        sources=("chemicals-1.5.2",),
    ),
    Figure(
        "hours_free",
        "hours",
        "Hours that pass by themselves",
        "h",
        "house",
        lambda a: totals(a).free_h,
        "What stands, drips or dries without anybody.",
    ),
    Figure(
        "electricity_kwh",
        "hours",
        "Electricity for heating",
        "kWh",
        "house",
        lambda a: totals(a).heat_kwh,
        "Heat of the distillations over the share that reaches the flask.",
        sources=("chemicals-1.5.2",),
    ),
    Figure(
        "cost",
        "money",
        "Cost of the batch",
        "EUR",
        "money",
        lambda a: totals(a).cost,
        "Materials, packaging, water, electricity and hours at the prices given. "
        "Nothing is credited for what is recovered.",
    ),
    Figure(
        "content_percent",
        "content",
        "Strength of the product",
        "%",
        "content",
        lambda a: content(a).percent,
        "Once dosed by the assay then taken, on the scale used.",
        basis="w/w {marker}, of product",
    ),
    Figure(
        "share_within_percent",
        "content",
        "How sure it lies within declared and ceiling",
        "%",
        "content",
        lambda a: 100.0 * content(a).inside,
        "Share of the draws whose strength lies within both.",
        at="mean",
    ),
)
