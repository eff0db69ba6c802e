"""Which way, how strong, for a plant of the book: its own procedures and the starters beside them.

Each way is planned as an order would be: with the lot at hand, the glass, the prices, and what finished batches make of
it. One's own trials are those batches whose plant and extract were both assayed. Writes nothing.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from statistics import median

from stillroom.actions.book.counted_marker import counted_by, counted_in
from stillroom.actions.book.warmth_read import as_it_ran
from stillroom.actions.house.glass_at_hand import OF_KIND, glass_for, told_of
from stillroom.actions.making.what_it_gave import WhatItGave, what_it_gave
from stillroom.actions.orders.remembering import (
    batches_of_plant,
    ended_of_plant,
    own_runs,
    starter_inputs,
)
from stillroom.actions.orders.requesting import request_of
from stillroom.documents.plant_dots import plant_address
from stillroom.errors import BadEntry, NotAllowed, StillroomError, UnknownName, worded
from stillroom.planning.memory import Remembered, with_memory
from stillroom.planning.offering.own_plant import request_of_charge
from stillroom.planning.request import PlanRequest
from stillroom.planning.resemblance import how_of
from stillroom.planning.shelf_inputs import STOCK
from stillroom.planning.trials import OwnTrial, Trials, levers_of, trials
from stillroom.planning.ways import Candidate, WayCompared, compared
from stillroom.questions.compare import (
    DRAWS,
    OF_NOTHING,
    USUAL_CHARGE_G,
    looked_at_of,
    starter_candidate,
)
from stillroom.questions.order import aim_in
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.records.starters import starters
from stillroom.store.reader import Reader
from stillroom.stream.kinds import kind_does
from stillroom.texts.catalogue import t

MOST_OWN = 4
"""Own procedures that are compared, the newest. [1]"""
MOST_TRIALS = 24


@dataclass(frozen=True)
class PlantCompared:
    """The ways of a plant of the book, and picture and next trial of one of them."""

    plant: str
    marker: str
    markers: tuple[str, ...]
    """What else may count in it."""
    plant_g: float
    """Of one charge. [g]"""
    ways: tuple[WayCompared, ...]
    looked_at: WayCompared | None
    trials: Trials | None
    currency: str
    lot: str
    """Whose assay and loss on drying are used; "" for none."""


def ways_of_plant(look: Reader, plant: str, marker: str = "", way: str = "") -> PlantCompared:
    """The ways of a plant side by side.

    Parameters
    ----------
    plant : str
        Its substance.
    marker : str
        What counts; what its newest procedure counts where it is left out.
    way : str
        That picture and next trial are of; the first that can be done where it is left out.

    Raises
    ------
    BadEntry
        Nothing says what counts in the plant.
    UnknownName
        It is no such marker of the plant.
    """
    markers = _markers(look, plant)
    if not markers:
        raise BadEntry(
            worded("Nothing says what counts in {plant}", plant=plant),
            "no procedure of it",
            "Copy a way of extracting for it, or ask under Ask with a marker",
        )
    named = {plant_address(one): one for one in markers}
    if marker and plant_address(marker) not in named:
        raise UnknownName.among(marker, worded("something that counts in {plant}", plant=plant), markers)
    counted = named[plant_address(marker)] if marker else markers[0]
    aim = aim_in(OF_NOTHING, counted, "of")
    gave = [
        one for code in _ended(look, plant) if (one := what_it_gave(look, code, spirit=False)) is not None
    ]
    found = compared(tuple(_candidates(look, plant, aim)), plant_g := _charge_g(gave))
    looked_at = looked_at_of(found, way or _newest_way(gave))
    request = looked_at.way.request if looked_at else None
    made = None
    if request is not None:
        own = tuple(_own_trials(look, request, aim, gave))
        made = trials(request, plant_g, own, _remembering(look))
    some = next((one.way.request for one in found if one.way.request is not None), None)
    return PlantCompared(
        plant, counted, markers, plant_g, found, looked_at, made, some.currency if some else "",
        some.plant_lot if some else "",
    )  # fmt: skip


def _markers(look: Reader, plant: str) -> tuple[str, ...]:
    """What counts in a plant, by its batches and procedures, the newest first."""
    newest = batches_of_plant(look, plant)[-MOST_TRIALS:]
    batches = [counted_in(look, code) for code in reversed(newest)]
    assayed = {one.of for one in batches if one is not None}
    written = [counted_by(one) for one in _own_procedures(look, plant)]
    still = [one for one in written if one is not None and one.of not in assayed]
    return tuple(dict.fromkeys(one.counted for one in (*batches, *still) if one is not None))


def _own_procedures(look: Reader, plant: str) -> list[Procedure]:
    """Procedures that extract a plant, the newest first."""
    found = {one.code: look.procedure(one.code) for one in look.procedures() if one.plant == plant}
    return list(found.values())[::-1]


def _ended(look: Reader, plant: str) -> list[str]:
    return list(ended_of_plant(look, plant)[-MOST_TRIALS:])


def _charge_g(gave: list[WhatItGave]) -> float:
    """What a charge weighs here: the middle of the batches so far."""
    charges = [one.given.plant.answer.value for one in gave if one.given is not None]
    return median(charges) if charges else USUAL_CHARGE_G


def _newest_way(gave: list[WhatItGave]) -> str:
    return gave[-1].procedure.code if gave else ""


def _way_of(procedure: Procedure) -> tuple[str, ...]:
    """What makes two procedures one way: the kinds of step that extract and that clean, in their order."""
    return tuple(
        one.kind
        for one in procedure.steps
        if kind_does(one.kind, "extracts") or kind_does(one.kind, "cleans")
    )


def _candidates(look: Reader, plant: str, aim: StatedStrength) -> Iterator[Candidate]:
    """One's own procedures, and the starters for ways that none of them is of.

    A procedure of one's own that counts something else is told as its starters are where all of that way are refused.
    """
    held, refused = dict[str, tuple[Candidate, Procedure]](), dict[str, str]()
    for way in starters():
        try:
            held[way.name] = starter_candidate(way, plant, aim)
        except NotAllowed as error:
            refused[way.name] = error.must
    holds = {_way_of(way.procedure) for way in starters() if way.name in held}
    why = {_way_of(way.procedure): refused[way.name] for way in starters() if way.name in refused}
    done: set[tuple[str, ...]] = set()
    for one in _own_procedures(look, plant)[:MOST_OWN]:
        done.add(mine := _way_of(one))
        counted = counted_by(one)
        if mine in why and mine not in holds and (counted is None or counted.of != aim.of):
            yield Candidate(one.code, one.code, None, cannot=(why[mine],))
            continue
        yield _planned(look, Candidate(one.code, one.code, None), aim, one)
    for way in starters():
        if _way_of(way.procedure) in done:
            continue
        if way.name in refused:
            yield Candidate(way.name, way.title, None, cannot=(refused[way.name],))
            continue
        yield _planned(look, held[way.name][0], aim, held[way.name][1])


def _planned(look: Reader, way: Candidate, aim: StatedStrength, extraction: Procedure) -> Candidate:
    """A way with its request by everything the book knows."""
    alone = request_of_charge(extraction, aim, "")
    try:
        request = replace(request_of(look, alone.order, extraction, alone.formula), draws=DRAWS)
    except StillroomError as error:
        return replace(way, cannot=(error.sentence,))
    return replace(way, request=request, cannot=tuple(_lacks(look, extraction)))


def _lacks(look: Reader, extraction: Procedure) -> Iterator[str]:
    """Apparatus that a way needs and the laboratory has not; nothing where it noted none of the kind's sort at all."""
    if not any(one.kind in OF_KIND.values() for one in look.apparatus_list()):
        return
    wanted = {told for step in extraction.steps for told in told_of(step)}
    there = glass_for(look, extraction)
    for told, kind in OF_KIND.items():
        if told in wanted and told not in there:
            yield t("No {kind} of a known size is noted under Laboratory.", kind=t(kind))


def _own_trials(
    look: Reader, request: PlanRequest, aim: StatedStrength, gave: list[WhatItGave]
) -> Iterator[OwnTrial]:
    """Finished batches by the same way whose plant and extract were both assayed."""
    for one in gave:
        recovery = one.given.recovery if one.given is not None else None
        same = _way_of(one.procedure) == _way_of(request.extraction)
        if recovery is None or not same or one.counted != aim.counted:
            continue
        stock = [each for role, each in starter_inputs(look, one.batch).items() if role == STOCK]
        others = tuple(each for each in request.known if each.role != STOCK)
        ran = replace(request, extraction=as_it_ran(look, one.batch, one.procedure), known=(*others, *stock))
        levers = levers_of(ran)
        if levers is not None:
            yield OwnTrial(one.batch, levers.strength_percent, levers.value, recovery.answer.value)


def _remembering(look: Reader) -> Callable[[PlanRequest], PlanRequest]:
    """What one's own runs make of a request; strengths that count as one are looked up once."""
    known: dict[str, Remembered] = {}

    def at_strength(request: PlanRequest) -> PlanRequest:
        alone, how = replace(request, remembered=(), together=()), how_of(request.extraction)
        if how not in known:
            known[how] = own_runs(look, alone)
        return with_memory(alone, known[how])

    return at_strength
