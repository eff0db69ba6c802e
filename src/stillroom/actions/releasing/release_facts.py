"""Everything a release looks at, gathered from the book."""

from collections.abc import Iterator
from dataclasses import replace

from stillroom.actions.bench.outages import outages_of
from stillroom.actions.book.counted_marker import made_to_its_order
from stillroom.actions.book.results_kept import DRYING, RESIDUE, assays
from stillroom.actions.making.batch_mass import bulk_found
from stillroom.actions.products.batch_content import content_declared, content_made, content_unknown
from stillroom.actions.products.filling import FILL_YIELD, check_of, told_of_check, yield_of
from stillroom.actions.testing.kinds import kinds_of_test
from stillroom.answers.reckon_again import superseded
from stillroom.answers.solvent_residue import Residue, by_outside_laboratory, not_tested
from stillroom.evidence.answer import reading
from stillroom.evidence.trails import from_trail
from stillroom.products.filling import FillCheck
from stillroom.products.release_record import Decided, LotFact, ReleaseFacts, ResultFact
from stillroom.records.entries import (
    ControlTestRead,
    DoseDecided,
    Entry,
    ReadingTaken,
    ResultReckoned,
    StepDone,
    UnitsFilled,
)
from stillroom.records.lots import RETAINED, RETAINED_UNITS, Lot, Status, batch_account
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader
from stillroom.stream.kinds import takes_reagent
from stillroom.substances.ingredients import is_called_water

DID = {
    StepDone: "weighed",
    DoseDecided: "dosed",
    UnitsFilled: "filled",
    ReadingTaken: "read",
    ResultReckoned: "tested",
    ControlTestRead: "tested",
}


def facts_for(look: Reader, lot: str) -> ReleaseFacts:
    """What the release of a lot made here looks at.

    Parameters
    ----------
    lot : str
        An extract or product; its batch has the same code.
    """
    known = look.lot(lot)
    batch = known.made_by or lot
    procedure = look.procedure_of(batch)
    own = [entry for entry in look.entries(subject=batch) if type(entry.body) in DID]
    worked: dict[str, str] = {}
    for entry in own:
        worked.setdefault(entry.by, DID[type(entry.body)])
    done = {entry.body.step for entry in look.steps(batch)}
    product = known.kind.traits.made_as == "formula"
    made = content_made(look, batch) if product else None
    return ReleaseFacts(
        subject=lot,
        worked=worked,
        last_work_at=max((entry.done_at for entry in own), default=look.received_at(lot)),
        lots=tuple(lots_in(look, batch)),
        results=tuple(_results(look, lot)),
        needed=(*_needed(look, known), *((FILL_YIELD,) if product else ())),
        strength_by_name=not product and not made_to_its_order(look, batch),
        residue=residue_of(look, lot),
        residue_needed=_uses_solvent(look, procedure, batch),
        content=made.content.answer if made else None,
        content_because=content_unknown(look, batch) if product else "",
        declared=content_declared(look, batch) if product else None,
        judged=made.judged if made else None,
        fill=fill_of(look, lot) if product else None,
        fill_needed=product,
        steps_open=tuple(step.name for step in procedure.steps if step.name not in done),
        deviations_open=(
            *(one.body.what for one in look.deviations(batch) if not one.body.closed),
            *(f"{one.what} off, not noted as back" for one in outages_of(look, batch) if one.back_at is None),
            *(f"given up: {ended.body.why}" for ended in (look.given_up(batch),) if ended),
        ),
        retained_units=look.balance_pieces(lot, RETAINED),
        retained_needed=RETAINED_UNITS if product else 0,
        names={code: look.person(code).name for code in worked},
        decided={
            one.body.key: Decided(
                one.by, look.person(one.by).name, one.done_at, one.body.says, one.body.reason
            )
            for one in look.lines_decided(lot)
        },
    )


def lots_in(look: Reader, batch: str) -> list[LotFact]:
    """The lots that went into a batch, as a release sees them; behind a hydrosol, which has no list, its own."""
    used: dict[str, str] = {}
    for moving in look.movements(account=batch_account(batch)):
        if moving.movement.into == batch_account(batch):
            used[moving.movement.lot] = max(used.get(moving.movement.lot, ""), moving.done_at)
    found = []
    for code, when in used.items():
        lot = look.lot(code)
        plant = lot.kind.traits.released_on == "identity"
        decided = look.identities(code) if plant else ()
        last = decided[-1].body if decided else None
        status = look.status(code)
        found.append(
            LotFact(
                code,
                status is Status.RELEASED,
                plant,
                last.accepted if last else None,
                lot.use_by,
                when[:10],
                last.evidence if last else None,
                status.value,
            )
        )
        if lot.made_by and is_called_water(lot.substance):
            there = {one.code for one in found}
            found += [
                replace(one, use_by=None) for one in lots_in(look, lot.made_by) if one.code not in there
            ]
    return found


def residue_of(look: Reader, lot: str) -> Residue | None:
    """What the book says about the residue of the clean-up solvent, for an extract or for what was made from it."""
    known = look.lot(lot)
    if known.kind.traits.made_as == "formula":
        for fact in lots_in(look, known.made_by or lot):
            if look.lot(fact.code).kind.traits.made_as == "extraction" and _solvent_of(look, fact.code):
                return residue_of(look, fact.code)
        return None
    solvent = _solvent_of(look, lot)
    if solvent is None:
        return None
    said = [entry for entry in look.tests(lot) if entry.body.test == RESIDUE]
    read = look.readings(lot, RESIDUE)
    if read:
        body, number = read[-1].body, read[-1].entry_no
        answer = reading(
            f"{solvent} in {lot}",
            body.value,
            "mg/kg",
            f"entry {number}, report {body.apparatus}",
            entry_no=number,
            standard_uncertainty=body.standard_uncertainty,
        )
        return by_outside_laboratory(solvent, answer, below=body.series.endswith("below"))
    return not_tested(solvent) if said else None


def fill_of(look: Reader, lot: str) -> FillCheck | None:
    """The check of the filling of a lot, reckoned again from its weights."""
    own = _filled(look, lot)
    return check_of(look, own.body, own.entry_no) if own else None


def _filled(look: Reader, lot: str) -> Entry[UnitsFilled] | None:
    """The filling a lot of bottles came from."""
    found = look.fillings(look.lot(lot).made_by or lot)
    return next((one for one in found if one.body.lot.code == lot), None)


def _results(look: Reader, lot: str) -> list[ResultFact]:
    corrected = look.corrections()
    known = look.lot(lot)
    bulk = (known.made_by if known.kind.traits.made_as == "formula" else None) or lot
    found = []
    names = [entry.body.what for entry in assays(look, lot)]
    judged = (what for one in kinds_of_test() for what in one.judged)
    for what in dict.fromkeys((*names, *judged, FILL_YIELD)):
        entries = look.results(lot, what) or (look.results(bulk, what) if what != FILL_YIELD else ())
        if not entries:
            continue
        last: Entry[ResultReckoned] = entries[-1]
        if what == DRYING:  # a dish that was not dried to the end says nothing beside one that was
            last = next((one for one in reversed(entries) if one.body.counts), last)
        answer, because = from_trail(last.body.trail), last.body.because
        changed = superseded(answer, corrected)
        found.append(ResultFact(what, last.body.counts, because, answer, True, changed, asked=what != DRYING))
    if all(one.name != FILL_YIELD for one in found):
        found += _yield_reckoned_now(look, lot)
    tests = [entry for entry in look.tests(lot) if entry.body.test != RESIDUE]
    told = {entry.body.test for entry in tests if entry.body.outcome != "no result"}
    for entry in tests:
        counts = entry.body.outcome != "no result"
        if counts or entry.body.test not in told:  # one without a result says nothing beside one that has it
            found.append(
                ResultFact(
                    entry.body.test,
                    counts,
                    entry.body.because,
                    None,
                    entry.body.outcome == "present" or not counts,
                )
            )
    return found


def _yield_reckoned_now(look: Reader, lot: str) -> Iterator[ResultFact]:
    """The yield of a filling that was written before the density of its bulk was known."""
    if entry := _filled(look, lot):
        body = entry.body
        bulk = bulk_found(look, body.batch, lot, entry.done_at)
        if share := yield_of(look, body, bulk, entry.entry_no):
            because = told_of_check(check_of(look, entry.body, entry.entry_no), entry.body)
            yield ResultFact(FILL_YIELD, True, because, share)


def _needed(look: Reader, lot: Lot) -> tuple[str, ...]:
    """Results without which a lot is not released."""
    return tuple(what for one in kinds_of_test() if one.needed for what in one.needed(look, lot))


def _uses_solvent(look: Reader, procedure: Procedure, batch: str) -> bool:
    if procedure.purpose == "extraction":
        return any(takes_reagent(step.kind, "clean-up solvent") for step in procedure.steps)
    return any(
        _solvent_of(look, fact.code) is not None
        for fact in lots_in(look, batch)
        if look.lot(fact.code).kind.traits.made_as == "extraction"
    )


def _solvent_of(look: Reader, extract: str) -> str | None:
    made_by = look.lot(extract).made_by
    if made_by is None:
        return None
    procedure = look.procedure_of(made_by)
    lines = {line.name: line.substance for line in procedure.lines}
    for step in procedure.steps:
        if takes_reagent(step.kind, "clean-up solvent"):
            return next((lines[name] for name in step.takes if name in lines), None)
    return None
