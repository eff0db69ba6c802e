"""What a finished extraction gave, read off its weighings and the results of its lots: nothing is typed twice.

An entry that is corrected moves it. What cannot be told says what is missing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from stillroom.actions.book.counted_marker import counted_in
from stillroom.actions.book.results_kept import DRYING, latest_result, strength_of
from stillroom.actions.lots.ethanol_known import EthanolKnown
from stillroom.actions.orders.remembering import ended_at
from stillroom.actions.shelf.lot_strength import strength_of_spirit
from stillroom.answers.batch_given import BatchGiven, Portion, batch_given, dry_plant, ethanol_in
from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer, assumed, leaves, reading
from stillroom.evidence.trails import from_trail
from stillroom.planning.assumptions import assumed_for
from stillroom.records.entries import Entry, StepDone, Weighing
from stillroom.records.orders import StatedStrength
from stillroom.records.procedures import Procedure
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.stream.kind import Does
from stillroom.stream.kinds import kind_does
from stillroom.substances.carriers import GLYCEROL, carrier
from stillroom.texts.catalogue import t

SET_ASIDE = "set aside"
TAKES_OFF: tuple[Does, ...] = ("recovers", "strips", "dries")
SECONDS_PER_HOUR = 3600.0
UNREAD_PART = 0.05
"""Standard uncertainty of a strength that the stream says and nobody read, as a part of it (no source). [1]"""


@dataclass(frozen=True, slots=True)
class WhatItGave:
    """A finished extraction.

    ``begun_at``, ``ended_at``: when its first and its last entry were done.
    """

    batch: str
    procedure: Procedure
    plant: str
    """Substance that was extracted."""
    lots: tuple[str, ...]
    """Of the plant weighed in."""
    counted: str
    """What an assay of it counts; "" where nothing says."""
    begun_at: str
    ended_at: str
    given: BatchGiven | None
    """None where plant or extract was not weighed."""
    hours: Answer
    """From its beginning to its last step. [h]"""
    missing: tuple[str, ...]
    """What would have to be known for the figures that are not there, in sentences."""


@once
def what_it_gave(look: Reader, batch: str, *, spirit: bool = True) -> WhatItGave | None:
    """What a batch gave; None for one that is no extraction, that was given up, or that has not ended.

    Parameters
    ----------
    spirit : bool
        Whether its spirit is told too, which takes a run of its stream.
    """
    if not ended_at(look, batch):
        return None
    begun, steps = look.begun(batch), look.steps(batch)
    procedure = look.procedure(begun.body.procedure, begun.body.version)
    plant = procedure.plant
    last = max(steps, key=lambda one: (datetime.fromisoformat(one.done_at), one.entry_no))
    took = datetime.fromisoformat(last.done_at) - datetime.fromisoformat(begun.done_at)
    hours = reading(
        t("from beginning to end"),
        took.total_seconds() / SECONDS_PER_HOUR,
        "h",
        t("entries {first} and {last}", first=begun.entry_no, last=last.entry_no),
        entry_no=last.entry_no,
    )
    weighed_in = [
        (entry, one) for entry, one in _weighings(steps, "in") if one.line == procedure.scaled_by and one.lot
    ]
    lots = tuple(dict.fromkeys(one.lot for _, one in weighed_in))
    counted = counted_in(look, batch)
    given, missing = _given(look, batch, procedure, steps, weighed_in, counted, spirit=spirit)
    return WhatItGave(
        batch,
        procedure,
        plant,
        lots,
        counted.counted if counted else "",
        begun.done_at,
        last.done_at,
        given,
        hours,
        missing,
    )


def _given(
    look: Reader,
    batch: str,
    procedure: Procedure,
    steps: tuple[Entry[StepDone], ...],
    weighed_in: list[tuple[Entry[StepDone], Weighing]],
    counted: StatedStrength | None,
    *,
    spirit: bool,
) -> tuple[BatchGiven | None, tuple[str, ...]]:
    missing: list[str] = []
    last = procedure.steps[-1]
    names = last.gives if last.kind == SET_ASIDE else last.gives[:1]
    extract = {
        one.line: _mass(look, entry, one)
        for entry in steps
        if entry.body.step == last.name
        for one in entry.body.weighings
        if one.line in names
    }
    if not weighed_in or names[0] not in extract or not extract[names[0]].value > 0:
        what = procedure.scaled_by if not weighed_in else names[0]
        return None, (t("What it gave cannot be told: no weighing of {what} is written.", what=what),)
    content = _content(look, batch, counted, missing)
    portions: dict[str, Portion] = {}
    for entry, one in weighed_in:
        name = f"{one.lot}, entry {entry.entry_no}"
        held = _content(look, one.lot, counted, missing)
        portions[name] = Portion(_mass(look, entry, one), _drying(look, one.lot, procedure, missing), held)
    if not spirit:
        return batch_given(portions, extract, content, stays=stays_in(procedure)), tuple(
            dict.fromkeys(missing)
        )
    known = EthanolKnown(look)
    poured = _ethanol(known, [*_weighings(steps, "in")], missing)
    caught = _ethanol(known, [*_weighings(steps, "out")], missing)
    given = batch_given(portions, extract, content, poured, caught, stays_in(procedure))
    return given, tuple(dict.fromkeys(missing))


def stays_in(procedure: Procedure) -> tuple[str, ...]:
    """Liquids that a procedure pours on the plant and never takes off again: glycerol, an oil, spirit of a tincture.

    Parameters
    ----------
    procedure : Procedure
        Of an extraction. [record]
    """
    carriers = tuple(one.substance for one in procedure.lines if carrier(one.substance))
    water = tuple(one.substance for one in procedure.lines if one.substance in ("water", "purified water"))
    if carriers and any(found and found.component == GLYCEROL for found in map(carrier, carriers)):
        return *carriers, *water
    if carriers or any(kind_does(step.kind, gone) for step in procedure.steps for gone in TAKES_OFF):
        return carriers
    spirit = tuple(one.substance for one in procedure.lines if one.substance.startswith("spirit"))
    return (*spirit, *water) if spirit else ()


def dry_plant_weighed_in(look: Reader, batch: str) -> Answer | None:
    """Plant of a batch without its water, by its weighings and its loss on drying; None where none was weighed [g]."""
    procedure = look.procedure_of(batch)
    weighed_in = [
        (entry, one)
        for entry, one in _weighings(look.steps(batch), "in")
        if one.line == procedure.scaled_by and one.lot
    ]
    if procedure.purpose != "extraction" or not weighed_in:
        return None
    return dry_plant({
        f"{one.lot}, entry {entry.entry_no}": Portion(_mass(look, entry, one), _drying(look, one.lot, procedure, []))
        for entry, one in weighed_in
    })  # fmt: skip


def _weighings(
    steps: tuple[Entry[StepDone], ...], direction: str
) -> Iterator[tuple[Entry[StepDone], Weighing]]:
    for entry in steps:
        for one in entry.body.weighings:
            if one.direction == direction and one.actual_g > 0:
                yield entry, one


def _mass(look: Reader, entry: Entry[StepDone], one: Weighing) -> Answer:
    scale = look.apparatus(one.apparatus) if one.apparatus else None
    return reading(
        one.line,
        one.actual_g,
        "g",
        f"entry {entry.entry_no}, {one.apparatus or t('scale not stated')}",
        entry_no=entry.entry_no,
        standard_uncertainty=scale.standard_uncertainty if scale else None,
    )


def _drying(look: Reader, lot: str, procedure: Procedure, missing: list[str]) -> Answer:
    found = latest_result(look, lot, DRYING)
    if found is not None:
        return from_trail(found.body.trail)
    taken = assumed_for(look.lot(lot).substance, _OF_NOTHING, procedure, "as is")["loss on drying"]
    missing.append(
        t(
            "{lot} was not dried: {percent:g} % of water is assumed. Weigh a loss on drying.",
            lot=lot,
            percent=taken.value,
        )
    )
    return assumed(
        f"loss on drying of {lot}",
        taken.value,
        "%",
        taken.because,
        standard_uncertainty=taken.uncertainty_in_unit,
        basis=taken.basis,
    )


def _content(look: Reader, lot: str, counted: StatedStrength | None, missing: list[str]) -> Answer | None:
    if counted is None:
        missing.append(t("The recovery needs a marker: neither its order nor its procedure names one."))
        return None
    try:
        return strength_of(look, lot, counted)
    except StillroomError:
        missing.append(
            t(
                "The recovery needs an assay of {lot} that counts {counted}.",
                lot=lot,
                counted=counted.counted,
            )
        )
        return None


def _ethanol(
    known: EthanolKnown, weighings: list[tuple[Entry[StepDone], Weighing]], missing: list[str]
) -> dict[str, Answer] | None:
    """Ethanol of each weighing of spirit; None where the strength of one is not known."""
    look, found = known.look, {}
    for entry, one in weighings:
        if not one.lot or not look.lot(one.lot).kind.traits.is_clear:
            continue
        lot = look.lot(one.lot)
        strength = strength_of_spirit(look, lot).answer
        if strength is None:
            share = known.share(lot.code)
            if share.by_mass is None:
                missing.append(share.says)
                return None
            missing.append(t("{lot} was not read: its strength is by {says}.", lot=lot.code, says=share.says))
            strength = assumed(
                f"ethanol by mass of {lot.code}",
                share.by_mass,
                "g/g",
                share.says,
                standard_uncertainty=UNREAD_PART * share.by_mass or None,
            )
        else:
            read = max((part.leaf.entry_no or 0 for part in leaves(strength) if part.leaf), default=0)
            strength = reading(
                f"strength of {lot.code}",
                strength.value,
                "%",
                f"strength of {lot.code}, entry {read}",
                entry_no=read or None,
                standard_uncertainty=strength.standard_uncertainty,
                basis=strength.basis,
            )
        found[f"{one.line}, entry {entry.entry_no}"] = ethanol_in(lot.code, _mass(look, entry, one), strength)
    return found


_OF_NOTHING = StatedStrength(0.0, "marker", "marker", "")
