"""A plan with 4,096 draws, beside the same worked one draw at a time in plain Python; the ratio of the two.

Run by hand: ``.venv/bin/python benchmarks/plan_4096.py``. The plain way is written from the equations, not
from the code: it knows no array, no kind of step and no account. It shares with the plan only the drawn
inputs, the published tables and the integrated still curve, and a test holds the two together to 1e-9.
"""

import math
import sys
import time
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from stillroom.planning import stages
from stillroom.planning.inputs import all_inputs
from stillroom.planning.lines import asked_of
from stillroom.planning.plan import plan
from stillroom.planning.request import PlanRequest
from stillroom.reference.tables import row, table
from stillroom.science.liquids.distilling import StillCurve
from stillroom.substances.spirits import spirit_still

Drawn = Mapping[str, float]
OIML_A = [
    one.number("value")
    for one in sorted(
        (one for one in table("oiml_r22").rows if one.key.startswith("A")), key=lambda one: int(one.key[1:])
    )
]
QUININE, CINCHONINE = (row("markers", one).number("molar_mass_g_mol") for one in ("quinine", "cinchonine"))
WATER_G_ML = row("liquids", "water").number("density_20c_g_ml")
SOLVENT_G_ML = row("solvents", "ethyl acetate").number("density_20c_g_ml")


def spirit_g_ml(ethanol: float) -> float:
    """Density at 20 °C of spirit from its strength by mass."""
    total = 0.0
    for coefficient in reversed(OIML_A):
        total = total * ethanol + coefficient
    return total / 1000.0


def by_mass(by_volume: float) -> float:
    """Strength by mass from strength by volume at 20 °C, by bisection."""
    low, high, pure = 0.0, 1.0, spirit_g_ml(1.0)
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if middle * spirit_g_ml(middle) / pure < by_volume:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


class Still:
    """Rayleigh's integral, read off the curve one number at a time."""

    def __init__(self, curve: StillCurve) -> None:
        self.top, self.first, self.step = curve.azeotrope_mass_fraction, curve.first_u, curve.step_u
        self.log_mass, self.slope = curve.log_mass.tolist(), curve.log_mass_slope.tolist()
        grid = [self.first + self.step * at for at in range(len(self.log_mass))]
        self.grid = grid
        self.log_ethanol = [
            one + math.log(self.top / (1.0 + math.exp(-u)))
            for one, u in zip(self.log_mass, grid, strict=True)
        ]

    def place(self, ethanol: float) -> float:
        """Where on the curve a strength stands."""
        return math.log(ethanol / (self.top - ethanol))

    def strength(self, u: float) -> float:
        """Strength at a place on the curve."""
        return self.top / (1.0 + math.exp(-u))

    def at(self, u: float) -> float:
        """Rayleigh's integral at a place: a cubic between points, with the known slopes."""
        along = (u - self.first) / self.step
        cell = min(max(int(along), 0), len(self.log_mass) - 2)
        part = along - cell
        rest = 1.0 - part
        leaving, arriving = self.slope[cell] * self.step, self.slope[cell + 1] * self.step
        return (
            self.log_mass[cell] * (1.0 + 2.0 * part) * rest**2
            + self.log_mass[cell + 1] * part**2 * (3.0 - 2.0 * part)
            + part * rest * (leaving * rest - arriving * part)
        )

    def residue(self, mass_g: float, ethanol: float, u: float) -> tuple[float, float]:
        """What stays when the liquid has come down to ``u``: its mass and its ethanol."""
        left_g = mass_g * math.exp(self.at(u) - self.at(self.place(ethanol)))
        return left_g, left_g * self.strength(u)

    def to_share(self, mass_g: float, ethanol: float, share: float) -> tuple[float, float]:
        """Bisect for the place where the share of the ethanol has gone over."""
        wanted = self.at(self.place(ethanol)) + math.log(ethanol) + math.log1p(-share)
        cell = bisect_left(self.log_ethanol, wanted)
        low, high = self.grid[cell - 1], self.grid[cell]
        for _ in range(100):
            middle = 0.5 * (low + high)
            if middle in (low, high):
                break
            if self.at(middle) + math.log(self.strength(middle)) < wanted:
                low = middle
            else:
                high = middle
        return self.residue(mass_g, ethanol, 0.5 * (low + high))


STILL = Still(spirit_still())


def bulk_of(drawn: Drawn) -> float:
    """Bulk that just fills every bottle of one draw [g]."""
    stock = by_mass(drawn["strength of the stock spirit"] / 100.0)
    spirit, rest = drawn["formula/spirit/percent"] / 100.0, 0.0
    for line in ("glycerin", "panthenol"):
        rest += drawn[f"formula/{line}/percent"] / 100.0
    evaporated = spirit * stock * drawn["formula/blend/evaporated_share"]
    ethanol = spirit * stock - evaporated
    water = spirit * (1.0 - stock) + 1.0 - spirit - rest
    density = spirit_g_ml(ethanol / (ethanol + water)) * (1.0 + drawn["density allowance"] / 100.0)
    fill_g = drawn["order/nominal content"] * density * (1.0 + drawn["formula/fill/overfill_share"])
    filled_g = (drawn["order/bottles"] + drawn["kept back"]) * fill_g
    before_filter = filled_g / (1.0 - drawn["formula/fill/filling_loss_share"])
    return (before_filter + drawn["formula/blend/film_g"]) / (1.0 - evaporated)


def extract_of(drawn: Drawn, plant_g: float) -> tuple[float, float]:
    """Grams of extract and of alkaloids in it that one draw gives from a mass of plant."""
    x = {role.removeprefix("extraction/"): value for role, value in drawn.items()}
    dry = 1.0 - drawn["loss on drying"] / 100.0
    role = next(one for one in drawn if one.startswith("assay of the plant"))
    alkaloids = plant_g * drawn[role] / 100.0
    if "mean of" in role:
        alkaloids *= QUININE / (0.5 * (QUININE + CINCHONINE))
    if role.endswith("dried"):
        alkaloids *= dry
    others = plant_g * drawn["other extractables"] / 100.0 * dry

    wanted = by_mass(x["mix spirit/want_volume_fraction_20c"])
    spirit_g = plant_g * x["mix spirit/spirit_ml_per_g"] * spirit_g_ml(wanted)
    ethanol = spirit_g * wanted * (1.0 - x["mix spirit/evaporated_share"])
    water = spirit_g * (1.0 - wanted) + plant_g * (1.0 - dry)

    drug_g = plant_g * dry
    volume_ml = (ethanol + water) / spirit_g_ml(ethanol / (ethanol + water))
    kept_ml = drug_g * x["percolate/retention_ml_per_g"]
    kept = kept_ml / volume_ml
    beds = (volume_ml - kept_ml) / (x["percolate/washing_capacity_ml_per_g"] * drug_g)
    washed = 1.0 - math.exp(-beds)
    alkaloids *= x["percolate/marker_within_reach_share"] * washed
    others *= x["percolate/others_within_reach_share"] * washed
    pushed = x["percolate/pushed_out_share"]
    pushing_g = plant_g * x["percolate/water_ml_per_g"] * WATER_G_ML
    through_g = max(pushing_g - kept_ml * pushed * WATER_G_ML, 0.0)
    water = water * (1.0 - kept + kept * pushed) + through_g
    ethanol = ethanol * (1.0 - kept + kept * pushed) * (1.0 - x["percolate/evaporated_share"])

    mass_g = ethanol + water
    mass_g, ethanol = STILL.to_share(mass_g, ethanol / mass_g, x["recover spirit/ethanol_share"])
    end = min(x["drive off last spirit/residue_ethanol_mass_fraction"], ethanol / mass_g)
    mass_g, ethanol = STILL.residue(mass_g, ethanol / mass_g, STILL.place(end))
    water = mass_g - ethanol

    acid_g = plant_g * x["acidify/acid_g_per_g"]
    water += acid_g * (1.0 - drawn["strength of the acid"] / 100.0)
    clear = 1.0 - x["acidify/liquor_in_filter_share"]
    alkaloids *= (1.0 - x["acidify/marker_in_resin_share"]) * clear
    others *= (1.0 - x["acidify/resin_share"]) * clear
    water, ethanol = water * clear, ethanol * clear
    water += plant_g * x["basify/ammonia_g_per_g"] * (1.0 - drawn["strength of the ammonia"] / 100.0)

    solvent = plant_g * x["shake out/ethyl_acetate_ml_per_g"] * SOLVENT_G_ML
    water_ml = (water + ethanol) / spirit_g_ml(ethanol / (water + ethanol))
    shakes = round(x["shake out/shakes"])
    portion_ml = solvent / SOLVENT_G_ML / shakes
    ratio = x["shake out/partition_ratio"] / (1.0 + 10.0 ** (x["shake out/pka"] - x["shake out/ph"]))
    left_a, left_o = 1.0, 1.0
    for _ in range(shakes):
        left_a *= water_ml / (water_ml + ratio * portion_ml)
        left_o *= water_ml / (water_ml + x["shake out/others_distribution_ratio"] * portion_ml)
    layer = 1.0 - x["shake out/interface_share"]
    solvent -= water * x["shake out/solvent_in_water_g_per_g"]
    wet = min(solvent * x["shake out/water_in_solvent_g_per_g"], water) * layer
    solvent *= layer
    alkaloids *= (1.0 - left_a) * layer
    others *= (1.0 - left_o) * layer

    solids = alkaloids + others
    liquid = solids * (1.0 / x["strip/soft_extract_solids_mass_fraction"] - 1.0)
    solvent = min(liquid * x["strip/solvent_in_liquid_share"], solvent)
    wet = min(liquid - solvent, wet)
    water_share, solvent_share = x["dry/water_mass_fraction"], x["dry/solvent_left_mg_per_kg"] * 1e-6
    dry_g = solids / (1.0 - water_share - solvent_share)
    extract = solids + min(dry_g * water_share, wet) + min(dry_g * solvent_share, solvent)
    strength = alkaloids / extract
    extract -= min(x["dry/film_g"], extract)
    extract -= min(x["set a sample aside/sample_g"], extract)
    return extract, extract * strength


def plant_of(drawn: Drawn, bulk_g: float) -> float:
    """Plant of one draw whose extract is just enough for the bulk, by secants [g]."""
    active_g = bulk_g * drawn["order/aim"] / 100.0
    read = drawn["assay to be taken"] / 100.0

    def surplus(plant_g: float) -> float:
        extract, alkaloids = extract_of(drawn, plant_g)
        return extract - active_g * extract / alkaloids / read

    before, plant_g = 50.0, 100.0
    gave, gives = surplus(before), surplus(plant_g)
    for _ in range(60):
        if gives == gave or abs(plant_g - before) < 1e-13 * plant_g:
            break
        before, gave, plant_g = plant_g, gives, plant_g - gives * (plant_g - before) / (gives - gave)
        gives = surplus(plant_g)
    return plant_g


def one_by_one(
    drawn: Mapping[str, list[float]], bulk_g: float, draws: int
) -> tuple[list[float], list[float]]:
    """Bulk and plant of every draw."""
    bulks, plants = [], []
    for at in range(draws):
        one = {role: values[at] for role, values in drawn.items()}
        bulks.append(bulk_of(one))
        plants.append(plant_of(one, bulk_g))
    return bulks, plants


def drawn_lists(request: PlanRequest) -> tuple[dict[str, list[float]], stages.Supply]:
    """Every input of every draw as a list, and the plan's own supply."""
    found = stages.supply(asked_of(request, all_inputs(request)).only("supply"))
    lists = {}
    for role, value in found.drawn.values.items():
        lists[role] = value.tolist() if hasattr(value, "tolist") else [float(value)] * request.draws
    return lists, found


def main() -> None:
    """Time the three ways and print them."""
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
    from tests.planning.practice import practice_request

    request = practice_request()
    plan(replace(request, seed=1))  # imports, tables and the still curve, once
    began = time.perf_counter()
    asked = asked_of(request, all_inputs(request))
    stages.supply(asked.only("supply"))
    solved = time.perf_counter() - began
    plan(request)
    whole = time.perf_counter() - began

    lists, found = drawn_lists(request)
    began = time.perf_counter()
    _, plants = one_by_one(lists, found.filling.bulk.value, request.draws)
    plain = time.perf_counter() - began
    rank = found.plant_limit.rank
    apart = max(abs(one - other) / other for one, other in zip(plants, found.plant_each_g, strict=True))

    print(f"draws                                     {request.draws:>10,}")
    print(f"bulk and plant, every draw at its scale   {1000 * solved:>10.1f} ms")
    print(f"the whole plan, every line with its trail {1000 * whole:>10.1f} ms")
    print(f"bulk and plant, plain loop                {1000 * plain:>10.1f} ms")
    print(f"plain loop over arrays                    {plain / solved:>10.1f} times")
    print(f"plant by arrays                           {found.plant_limit.value:>10.6f} g")
    print(f"plant by the loop                         {sorted(plants)[rank - 1]:>10.6f} g")
    print(f"widest difference of any draw             {apart:>10.1e}")


if __name__ == "__main__":
    main()
