"""What a lot of plant is like, as it was described last, and what a plan is told of it."""

import math

from stillroom.planning.plan_inputs import GRIND, Known
from stillroom.planning.resemblance import DRYING
from stillroom.records.plant_entries import PlantDescribed
from stillroom.reference.tables import row, table
from stillroom.science.extraction.grinding import Grind, named_grind
from stillroom.store.looking import once
from stillroom.store.reader import Reader

RACK = "rack"
"""Reading of a marked rack of plant as it dries."""
FRESH_PERCENT, FRESH_DOUBT_PERCENT = 75.0, 7.0
"""Water of a fresh plant that nobody dried a sample of: leaf and flower 70 to 85, root 60 to 80 (from memory). [%]"""
FRESH_BECAUSE = "a fresh plant, 60 to 90 % water: from memory; dry a sample of it"


@once
def described(look: Reader, lot: str) -> PlantDescribed:
    """What a lot of plant is like; an empty description where nobody said."""
    found = look.plants_described(lot) if lot else ()
    return found[-1].body if found else PlantDescribed(lot)


def grind_of(one: PlantDescribed) -> Grind | None:
    """How fine it is: as sieved, else by its term; None where no sieve stands behind it."""
    if one.particle_mm is not None:
        return Grind(one.particle_mm, one.particle_log_sd or 0.0)
    if one.grind in {known.key for known in table("powder_terms").rows}:
        term = row("powder_terms", one.grind)
        sieves = ("all_pass_um", "not_more_than_40_percent_pass_um")
        return named_grind(*(term.number(each) / 1000.0 for each in sieves))
    return None


def grind_term(one: PlantDescribed) -> str:
    """The term of its grind, of a sieved one the nearest; "" where nobody said."""
    if one.particle_mm is None:
        return one.grind
    terms = {key.key: grind_of(PlantDescribed("", grind=key.key)) for key in table("powder_terms").rows}  # type: ignore[arg-type]
    return min(terms, key=lambda term: abs(math.log(one.particle_mm / terms[term].median_mm)))  # type: ignore[union-attr,operator]


def known_of_description(look: Reader, lot: str) -> list[Known]:
    """The moisture and the grind of a lot, as inputs of a plan."""
    entries = look.plants_described(lot) if lot else ()
    if not entries:
        return []
    one, entry_no = entries[-1].body, entries[-1].entry_no
    found = [*_moisture(one, entry_no)]
    grind = grind_of(one)
    if grind is not None:
        sieved = one.particle_mm is not None
        found.append(
            Known(
                GRIND, f"lot {lot}/grind", grind.median_mm, "mm", math.sqrt(math.expm1(grind.log_sd**2)), "lognormal",
                "reading", f"{'sieved' if sieved else one.grind}, entry {entry_no}", entry_no,
                () if sieved else (row("powder_terms", one.grind).words("source"),),
            )
        )  # fmt: skip
    return found


def _moisture(one: PlantDescribed, entry_no: int) -> list[Known]:
    role, name, basis = DRYING, f"lot {one.lot}/moisture", "w/w as is"
    if one.moisture_percent is not None:
        doubt = one.moisture_standard_uncertainty_percent or 0.0
        return [
            Known(
                role, name, one.moisture_percent, "%", doubt, "normal" if doubt else "fixed", "reading",
                f"moisture of {one.lot}, entry {entry_no}", entry_no, basis=basis,
            )
        ]  # fmt: skip
    if one.state == "fresh":
        return [
            Known(
                role, name, FRESH_PERCENT, "%", FRESH_DOUBT_PERCENT, "normal", "assumed",
                f"{FRESH_BECAUSE}; {one.lot} is fresh, entry {entry_no}", basis=basis,
            )
        ]  # fmt: skip
    return []
