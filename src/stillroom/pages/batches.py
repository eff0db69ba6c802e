"""Batches: the list of them, and one gathered for its sheet."""

from typing import Any

from stillroom.actions.bench.outages import cut_lines
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.book.product_made import fillings_in_turn, product_in
from stillroom.actions.making.batch_mass import mass_of_batch
from stillroom.actions.making.weighing import standing_g
from stillroom.actions.making.what_it_gave import WhatItGave, what_it_gave
from stillroom.actions.orders.amounts_planned import planned
from stillroom.actions.orders.forecasting import bends_now, does_not_fit, expected_now
from stillroom.actions.products.filling import FILL_YIELD
from stillroom.actions.watching.after_the_run import marc_checked
from stillroom.documents.batch_gave import gave_blocks, gave_names
from stillroom.documents.blocks import Block, Empty, Facts, Heading, Link, Mark, Numbers, Page, Points, Table
from stillroom.documents.numbers_shown import reasons, show
from stillroom.documents.plant_dots import plant_href
from stillroom.evidence.trails import from_trail
from stillroom.pages.batch_sheet import BatchFacts, batch_page
from stillroom.pages.entry import _first
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.records.batch_entries import GIVEN_UP
from stillroom.records.entries import BatchBegun, Entry, ReadingTaken, UnitsFilled
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def show_batches(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Batches with where each stands, those in hand first, a page at a time."""
    with lab.look() as look:
        found = look.standing(
            "batch", kinds=wanted.kinds, states=wanted.states, words=wanted.words, first=wanted.first
        )
        coming, ended = look.next_steps(found.codes), look.why_given_up(found.codes)
        rows = tuple(
            (
                Link(one.code, f"/make/{one.code}"),
                coming[one.code][0],
                ended.get(one.code)
                or (t("next: {called}", called=coming[one.code][1]) if one.ahead else one.state),
                Mark(one.state),
            )
            for one in found.rows
        )
        blocks: list[Block] = [
            *finder(
                wanted, "/make", len(rows), found.count, states=("running", "done", GIVEN_UP),
                kinds=tuple(one.code for one in look.procedures()), spellings=found.spellings,
            )
        ]  # fmt: skip
        if rows:
            blocks.append(Table((t("Batch"), "Of", t("Stands at"), t("State")), rows))
        elif not wanted.asks:
            blocks.append(
                Empty(
                    t("Nothing is being made."), t("A batch is begun from an order, once its plan is kept.")
                )
            )
        return Page(t("Make"), "batches", "", tuple(blocks), **facts_of(look), href=wanted.address("/make"))


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
        unfit = (
            *_ordered_otherwise(look, begun),
            *does_not_fit(look, code),
            *((wanted.because,) if wanted.because else ()),
        )
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
                gave=(*(() if gave is None else _gave(code, gave)), *_marc(look, code)),
                gave_names={} if gave is None else gave_names(gave.given),
            ),
            **facts_of(look),
        )


def _ordered_otherwise(look: Reader, begun: Entry[BatchBegun]) -> tuple[str, ...]:
    """That the order of a batch was corrected after it was begun, or its size looked at last; while it is in hand."""
    batch = begun.body
    if not batch.order or not look.next_steps((batch.code,))[batch.code][1]:
        return ()
    order, taken = look.order(batch.order), look.entries(kind="order taken", subject=batch.order)[-1]
    if taken.entry_no < begun.entry_no or not order.is_of_bottles:
        return ()
    return (
        t(
            "{order} was corrected after this batch was begun (entry {entry}): {units} × {size}, {aim}. Correct its "
            "size, in entry {begun}, where it no longer fits.",
            order=order.code, entry=taken.entry_no, units=order.units, size=order.content.words,
            aim=order.aim.printed or "-", begun=begun.entry_no,
        ),
    )  # fmt: skip


def _gave(code: str, gave: WhatItGave) -> tuple[Block, ...]:
    """What it gave, and the way to the other batches of its plant."""
    others = Facts(((t("Beside other batches of"), Link(gave.plant, plant_href(gave.plant))),))
    return (*gave_blocks(code, gave.given, gave.hours, gave.missing), others)


def _marc(look: Reader, code: str) -> tuple[Block, ...]:
    """How much was left in the marc, against what the watch said; nothing where nobody checked."""
    found = marc_checked(look, code)
    if found is None:
        return ()
    figures = [
        show(one, label=label, decimals=1)
        for one, label in (
            (found.left, t("Left in the marc")),
            (found.gone, t("Gone out of the plant, by weight")),
        )
        if one is not None
    ]
    return Heading(t("The marc, checked")), Numbers(tuple(figures)), Points(found.says, "done")


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
    fillings = fillings_in_turn(look, code)
    return tuple(
        fact for one in fillings for fact in _facts_of_filling(look, one.body, alone=len(fillings) == 1)
    )


def _facts_of_filling(look: Reader, body: UnitsFilled, *, alone: bool) -> tuple[tuple[str, str], ...]:
    share = look.results(body.lot.code, FILL_YIELD)
    each = product_in(look, body.lot.code).each
    return (
        *([] if alone else [(t("Lot"), t("{lot}, {size} each", lot=body.lot.code, size=each.words))]),
        (t("How many were filled") if each.by_mass else t("Bottles filled"), str(body.units)),
        *([(t("Into each"), f"{body.target_g:.2f} g")] if body.target_g else []),
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
