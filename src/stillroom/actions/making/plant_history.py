"""What this laboratory knows of a plant: its lots, its finished batches by date, and what is to be expected next."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, log

from stillroom.actions.book.results_kept import DRYING, assays, latest_result
from stillroom.actions.making.what_it_gave import WhatItGave, what_it_gave
from stillroom.actions.orders.remembering import ended_of_plant, ended_of_plants
from stillroom.actions.shelf.plant_described import described, grind_term
from stillroom.documents.plant_dots import plant_address
from stillroom.errors import UnknownName
from stillroom.planning.shelf_inputs import may_be_planned_with
from stillroom.records.entries import Entry, ResultReckoned
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import Lot, grams
from stillroom.records.plant_entries import PlantDescribed
from stillroom.records.procedures import Procedure
from stillroom.science.measuring.prediction import FEWEST, like_none_before, next_result
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.stream.kinds import kind_does
from stillroom.substances.carriers import carrier

OF_PLANT = kinds_that(lambda one: one.carrier == "plant")
MOST_SHOWN = 30
"""Batches of a plant, and lots, that its page shows, the newest. [1]"""
BAND = 0.8
"""Of the next batches that lie within the band. [1]"""


@dataclass(frozen=True, slots=True)
class LotOfPlant:
    """A lot of a plant."""

    lot: Lot
    came_at: str
    """When it was received."""
    drying: Entry[ResultReckoned] | None
    """Its loss on drying. [% w/w]"""
    assays: tuple[Entry[ResultReckoned], ...]
    on_shelf_g: float
    """[g]"""
    like: PlantDescribed


@dataclass(frozen=True, slots=True)
class BatchOfPlant:
    """A finished batch of a plant."""

    gave: WhatItGave
    way: str
    """The kinds of step that extract, in their order."""
    strength: str
    """Of the extracting liquid, as its procedure says it."""
    places: tuple[str, ...]
    """Where its lots came from."""
    came: tuple[str, ...]
    """Months in which its lots were harvested; where nobody said, in which they came."""
    grinds: tuple[str, ...] = ()
    """Terms of the grinds of its lots."""
    ran_in: tuple[str, ...] = ()
    """Codes of the apparatus that its steps were noted to run in."""
    like_none: bool = False
    """Whether it gave what none of the others by the same way would let expect."""

    @property
    def yield_g(self) -> float | None:
        """Extract of 100 g of dry plant; None where it cannot be told [g]."""
        return _per_100_g(self.gave)


@dataclass(frozen=True, slots=True)
class Coming:
    """What the next batch by a way is to be expected to give."""

    way: str
    batches: int
    median_g: float
    """Extract of 100 g of dry plant. [g]"""
    band_g: tuple[float, float] | None
    """The interval that holds it in 80 of 100 cases; None from fewer than three. [g]"""


@dataclass(frozen=True, slots=True)
class PlantHistory:
    """A plant as this laboratory knows it."""

    plant: str
    lots: tuple[LotOfPlant, ...]
    """The newest of them."""
    batches: tuple[BatchOfPlant, ...]
    """The newest of them."""
    coming: tuple[Coming, ...]
    lots_ever: int
    ended_ever: int


def plants_here(look: Reader, words: str = "") -> tuple[str, ...]:
    """Every plant that was received or is extracted by a procedure, in the order of the alphabet.

    Parameters
    ----------
    words : str
        Only those of which a lot or a procedure is found by these words, in any spelling near enough.
    """
    found = look.standing("procedure", kinds=("extraction",), words=words, most=None).codes
    worked = {one.plant for one in look.procedures_of(found)}
    return tuple(sorted({*look.substances_of(OF_PLANT, words), *worked}))


def plant_named(look: Reader, name: str) -> str:
    """The plant behind a name in an address: "rosemary-leaf" or "rosemary leaf".

    Raises
    ------
    UnknownName
        It is no plant of this laboratory; the nearest names are offered.
    """
    known = {plant_address(one): one for one in plants_here(look)}
    found = known.get(plant_address(name))
    if found is None:
        raise UnknownName.among(name, "a plant of this laboratory", known.values())
    return found


def plants_in_short(look: Reader, plants: Sequence[str]) -> list[tuple[int, int, tuple[str, float] | None]]:
    """How many lots of each plant there were, how many batches of it ended, and what the last of them gave.

    The book is asked for the last batch of every plant together; where one cannot be told, for those before it.

    Returns
    -------
    list of tuple
        Lots, batches, and code of the last that can be told with the extract of 100 g of dry plant, if any. [1, 1, g]
    """
    ended = dict(zip(plants, ended_of_plants(look, plants), strict=True))
    told: dict[str, tuple[str, float]] = {}
    for back in range(1, MOST_SHOWN + 1):
        last = {one: codes[-back] for one, codes in ended.items() if one not in told and len(codes) >= back}
        if not last:
            break
        _ahead(look, tuple(last.values()))
        for plant, code in last.items():
            yield_g = _per_100_g(what_it_gave(look, code, spirit=False))
            if yield_g is not None:
                told[plant] = code, yield_g
    lots = look.received_of(OF_PLANT)
    return [(lots.get(one, 0), len(ended[one]), told.get(one)) for one in plants]


def _ahead(look: Reader, batches: Sequence[str], lots: Sequence[str] = ()) -> None:
    """What some batches and lots of plant rest on, known before it is asked of one after another."""
    look.batches_ahead(batches)
    look.orders_of([begun.order for code in batches if (begun := look.batch(code)).order])
    put_in = {
        one.lot for code in batches for step in look.steps(code) for one in step.body.weighings if one.lot
    }
    both = [*lots, *(one for one in sorted(put_in) if one not in lots)]
    look.lots_ahead(both)
    look.received_ahead(both)
    look.described_ahead(both)
    look.results_ahead([*both, *(one for one in batches if one not in both)])


def _per_100_g(gave: WhatItGave | None) -> float | None:
    """Extract of 100 g of dry plant; None where it cannot be told. [g]."""
    value = gave.given.per_100_g.answer.value if gave is not None and gave.given is not None else 0.0
    return value if value > 0 else None


@once
def plant_history(look: Reader, plant: str) -> PlantHistory:
    """What the book tells of a plant.

    Parameters
    ----------
    plant : str
        Its substance, as lots and procedures name it.
    """
    codes, ended = look.newest_of(OF_PLANT, plant, MOST_SHOWN), ended_of_plant(look, plant)
    newest = ended[-MOST_SHOWN:]
    _ahead(look, newest, codes)
    lots = tuple(
        LotOfPlant(
            one,
            look.received_at(one.code),
            latest_result(look, one.code, DRYING),
            tuple(entry for entry in assays(look, one.code) if entry.body.counts),
            grams(look.balance_ug(one.code)),
            described(look, one.code),
        )
        for one in map(look.lot, codes)
    )
    shown = [what_it_gave(look, code, spirit=False) for code in newest]
    batches = [_batch(look, one) for one in shown if one is not None]
    ways = dict.fromkeys(one.way for one in batches)
    told = {one.gave.batch: one for way in ways for one in _compared(way, batches)}
    coming = tuple(found for way in ways if (found := _coming(way, batches)) is not None)
    compared = tuple(told[one.gave.batch] for one in batches)
    return PlantHistory(plant, lots, compared, coming, look.received_of(OF_PLANT).get(plant, 0), len(ended))


def _batch(look: Reader, gave: WhatItGave) -> BatchOfPlant:
    lots = [(look.lot(one), described(look, one)) for one in gave.lots]
    return BatchOfPlant(
        gave,
        _way(gave.procedure),
        _strength(gave.procedure),
        tuple(dict.fromkeys(place for one, said in lots if (place := said.place or one.supplier))),
        tuple(dict.fromkeys(said.harvested or look.received_at(one.code)[:7] for one, said in lots)),
        tuple(dict.fromkeys(term for _, said in lots if (term := grind_term(said)))),
        tuple(dict.fromkeys(code for one in look.steps(gave.batch) for code in one.body.ran_in)),
    )


def _compared(way: str, batches: list[BatchOfPlant]) -> list[BatchOfPlant]:
    """Batches of a way, each beside the others."""
    mine = [one for one in batches if one.way == way]
    told = [one for one in mine if one.yield_g is not None]
    odd = like_none_before([log(one.yield_g or 1.0) for one in told])
    off = {one.gave.batch for one, lies_off in zip(told, odd, strict=True) if lies_off}
    return [replace(one, like_none=one.gave.batch in off) for one in mine]


def _coming(way: str, batches: list[BatchOfPlant]) -> Coming | None:
    logs = sorted(log(one.yield_g) for one in batches if one.way == way and one.yield_g is not None)
    if not logs:
        return None
    middle = 0.5 * (logs[(len(logs) - 1) // 2] + logs[len(logs) // 2])
    if len(logs) < FEWEST:
        return Coming(way, len(logs), exp(middle), None)
    low, _, high = next_result(logs, BAND)
    return Coming(way, len(logs), exp(middle), (exp(low), exp(high)))


def _way(procedure: Procedure) -> str:
    kinds = dict.fromkeys(one.kind for one in procedure.steps if kind_does(one.kind, "extracts"))
    return ", ".join((*kinds, *_other_liquids(procedure))) or procedure.title


def _other_liquids(procedure: Procedure) -> tuple[str, ...]:
    """What the plant stands in beside water and spirit: an oil, glycerol, what no plan can reckon with."""
    return tuple(
        one.substance
        for one in procedure.lines
        if one.name != procedure.scaled_by
        and (carrier(one.substance) or not may_be_planned_with(one.substance))
    )


def _strength(procedure: Procedure) -> str:
    wanted = [
        one.value
        for step in procedure.steps
        if kind_does(step.kind, "brings to strength")
        for one in step.settings
        if one.name == "want_volume_fraction_20c"
    ]
    if wanted:
        return f"{100.0 * wanted[0]:.0f} % v/v"
    if others := _other_liquids(procedure):
        water = [one.substance for one in procedure.lines if one.substance in ("purified water", "water")]
        return ", ".join((*others, *water))
    spirit = next((one.substance for one in procedure.lines if one.substance.startswith("spirit")), "")
    return spirit or "water"
