"""Batches: the list of them, and one gathered for its sheet."""

from typing import Any

from stillroom.actions.bench.form_choices import next_of
from stillroom.actions.bench.outages import cut_lines
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.making.batch_mass import mass_of_batch
from stillroom.actions.making.weighing import standing_g
from stillroom.actions.making.what_it_gave import what_it_gave
from stillroom.actions.orders.amounts_planned import planned
from stillroom.actions.orders.forecasting import bends_now, does_not_fit, expected_now
from stillroom.documents.batch_gave import gave_blocks, gave_names
from stillroom.documents.blocks import Link, Mark, Numbers, Page, Table
from stillroom.documents.numbers_shown import reasons, show
from stillroom.evidence.trails import from_trail
from stillroom.pages.batch_sheet import BatchFacts, batch_page
from stillroom.pages.entry import _first
from stillroom.records.batch_entries import GIVEN_UP
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def show_batches(lab: Laboratory) -> Page:
    """Every batch with where it stands."""
    from stillroom.documents.blocks import Empty

    with lab.look() as look:
        rows = []
        for batch in look.batches():
            procedure = look.procedure(batch.procedure, batch.version)
            coming = next_of(look, batch.code)
            state = GIVEN_UP if coming.given_up else "done" if coming.does == "done" else "running"
            stands = coming.given_up or (
                state if state == "done" else t("next: {called}", called=coming.step)
            )
            rows.append(
                (
                    Link(batch.code, f"/make/{batch.code}"),
                    procedure.title,
                    stands,
                    Mark(state),
                )
            )
        block = (
            Table((t("Batch"), "Of", t("Stands at"), t("State")), tuple(rows))
            if rows
            else Empty(
                t("Nothing is being made."), t("A batch is begun from an order, once its plan is kept.")
            )
        )
        return Page(t("Make"), "batches", "", (block,), **facts_of(look), href="/make")


def show_batch(lab: Laboratory, code: str) -> Page:
    """The sheet of a batch."""
    with lab.look() as look:
        batch = look.batch(code)
        begun = look.begun(code)
        steps = look.steps(code, corrected=True)
        mass = mass_of_batch(look, code)
        doses = look.doses(code)
        dose_block, notes, why = _dose_blocks(look, code) if doses else (None, (), None)
        wanted = planned(look, code)
        gave = what_it_gave(look, code)
        unfit = (*does_not_fit(look, code), *((wanted.because,) if wanted.because else ()))
        return batch_page(
            BatchFacts(
                begun=begun,
                begun_by=_first(look, begun).by,
                procedure=look.procedure(batch.procedure, batch.version),
                planned_g=wanted.grams,
                taken_with=wanted.taken_with,
                steps=steps,
                deviations=look.deviations(code),
                mass_in_g=mass.in_g,
                mass_out_g=mass.out_g,
                mass_closes=mass.closes,
                standing_g=standing_g(look, code),
                readings_put_right=_put_right(look, code),
                dose=dose_block,
                dose_notes=notes,
                filling=_filling(look, code),
                filled_in=tuple(one.entry_no for one in look.fillings(code)),
                reasons=why,
                expected=expected_now(look, code),
                bends=bends_now(look, code),
                does_not_fit=tuple(dict.fromkeys(unfit)),
                given_up=look.given_up(code),
                cuts=cut_lines(look, code),
                runs=wanted.runs,
                gave=() if gave is None else gave_blocks(gave.given, gave.hours, gave.missing),
                gave_names={} if gave is None else gave_names(gave.given),
            ),
            **facts_of(look),
        )


def _dose_blocks(look: Reader, code: str) -> tuple[Numbers, tuple[str, ...], Any]:
    entry = look.doses(code)[-1]
    answer = from_trail(entry.body.trail)
    shown = show(answer, label=t("Content it gives"), href=f"/why/{entry.entry_no}")
    notes = (
        t(
            "{mass_g:g} g of {extract_lot} for {bulk_g:g} g of bulk, by {by}.",
            mass_g=entry.body.mass_g,
            extract_lot=entry.body.extract_lot,
            bulk_g=entry.body.bulk_g,
            by=entry.by,
        ),
    )
    return Numbers((shown,)), notes, reasons(answer)


def _put_right(look: Reader, code: str) -> tuple[tuple[Entry[ReadingTaken], Entry[ReadingTaken]], ...]:
    every = {entry.entry_no: entry for entry in look.readings(code, corrected=True)}
    return tuple((old, every[old.corrected_by]) for old in every.values() if old.corrected_by in every)


def _filling(look: Reader, code: str) -> tuple[tuple[str, str], ...]:
    fillings = look.fillings(code)
    if not fillings:
        return ()
    body = fillings[-1].body
    share = look.results(code, "fill yield")
    return (
        (t("Bottles filled"), str(body.units)),
        (t("Into each"), f"{body.target_g:.2f} g"),
        (t("Left over, weighed"), f"{body.left_over_g:.2f} g"),
        (t("Check weights"), ", ".join(f"{one:.2f} g" for one in body.check_weights_g) or "none"),
        *(
            (
                (
                    t("Fill yield"),
                    t("{percent:.1f} % of what the bulk could fill", percent=share[-1].body.value),
                ),
            )
            if share
            else ()
        ),
    )
