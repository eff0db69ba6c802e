"""The book gathered into pages: each function opens the book once and hands records and answers to ``documents``."""

from collections.abc import Callable
from typing import Any

from stillroom.actions.bench.form_choices import next_of
from stillroom.actions.bench.next_of_order import delivered_on, next_of_order
from stillroom.actions.bench.outages import cut_lines
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of, page_facts
from stillroom.actions.lots.spirit_account import show_spirit, spirit_months
from stillroom.actions.lots.spirit_lots import plants_of
from stillroom.actions.making.batch_mass import mass_of_batch
from stillroom.actions.making.weighing import standing_g
from stillroom.actions.orders.amounts_planned import planned
from stillroom.actions.orders.forecasting import bends_now, does_not_fit, expected_now
from stillroom.actions.orders.ordering import work_back
from stillroom.actions.releasing.lot_waits import how_long_it_keeps, waits_for
from stillroom.actions.releasing.tracing import account_of, show_trace
from stillroom.actions.shelf.lot_strength import last_read, strength_of_spirit
from stillroom.documents.blocks import Link, Mark, Numbers, Page, Points, Table
from stillroom.documents.making import BatchFacts, batch_page
from stillroom.documents.numbers_shown import reasons, show
from stillroom.documents.opening import entry_page, why_page
from stillroom.documents.ordering import order_page
from stillroom.documents.stock import LotFacts, lot_page, stock_page
from stillroom.errors import Phrase, UnknownName, worded
from stillroom.evidence.answer import Answer
from stillroom.evidence.trails import from_trail
from stillroom.pages.plans import kept_plan, show_plan
from stillroom.pages.release import show_certificate as show_certificate
from stillroom.pages.release import show_label as show_label
from stillroom.pages.release import show_release as show_release
from stillroom.pages.release import show_whole_certificate as show_whole_certificate
from stillroom.records.batch_entries import GIVEN_UP
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.records.lots import Status
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def show_orders(lab: Laboratory) -> Page:
    """Every order, the next due first."""
    with lab.look() as look:
        rows = tuple(
            (
                Link(one.code, f"/orders/{one.code}"),
                one.product,
                f"{one.units} × {one.nominal_ml:g} mL",
                one.due,
                t("none needed")
                if not one.is_worked_back
                else "planned"
                if look.plans(one.code)
                else t("not planned"),
            )
            for one in sorted(look.orders(), key=lambda one: one.due)
        )
        from stillroom.documents.blocks import Empty

        block = (
            Table(
                (
                    t("Order"),
                    t("Product"),
                    t("Bottles"),
                    t("Due"),
                    t("Plan"),
                ),
                rows,
            )
            if rows
            else Empty(
                t("No order has been taken yet."),
                t("Everything begins with an order of bottles: its plan says how much plant it takes."),
            )
        )
        return Page(t("Orders"), "orders", "", (block,), **facts_of(look), href="/orders")


def show_order(lab: Laboratory, code: str) -> Page:
    """One order: what was asked, planned, made, delivered."""
    with lab.look() as look:
        order = look.order(code)
        batches = []
        for batch in look.batches(order=code):
            procedure = look.procedure(batch.procedure, batch.version)
            done = len({entry.body.step for entry in look.steps(batch.code)})
            stands = (
                t("given up")
                if look.given_up(batch.code)
                else t("step {done} of {steps}", done=done, steps=len(procedure.steps))
            )
            batches.append((batch.code, procedure.title, stands))
        coming = next_of_order(look, order)
        plans = tuple((entry.entry_no, entry.done_at[:10]) for entry in look.plans(code))
        return order_page(
            order,
            batches=tuple(batches),
            plans=plans,
            delivered=delivered_on(look, order),
            coming=Points((coming.says,), "done" if coming.is_done else "missing"),
            **facts_of(look),
        )


def show_stock(lab: Laboratory, *, products: bool = False) -> Page:
    """Every lot on the shelf; products alone when asked."""
    with lab.look() as look:
        accounts = [
            account_of(look, lot.code)
            for lot in look.lots()
            if (made := lot.kind.traits.made_as) != "waste" and (made == "formula") == products
        ]
        title, href = (t("Products"), "/products") if products else (t("Stock"), "/stock")
        return stock_page(accounts, title=title, href=href, **facts_of(look))


def show_lot(lab: Laboratory, code: str) -> Page:
    """One lot with everything written about it."""
    with lab.look() as look:
        account = account_of(look, code)
        return lot_page(
            LotFacts(
                account,
                look.entries(subject=code, corrected=True),
                look.results(code),
                look.tests(code),
                waits_for(look, code),
                plants_of(look, code) if account.lot.kind.traits.spirit == "recovered" else (),
                how_long_it_keeps(look, code),
                strength_of_spirit(look, account.lot).says if last_read(look, code) else "",
            ),
            **facts_of(look),
        )


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
            ),
            **facts_of(look),
        )


def show_entry(lab: Laboratory, entry_no: int) -> Page:
    """One entry, corrected or not."""
    with lab.look() as look:
        return entry_page(look.entry(entry_no), **facts_of(look))


def show_why(lab: Laboratory, what: str) -> Page:
    """The reason of a number.

    Parameters
    ----------
    what : str
        "plan/ORD-1/plant_g" for a line of a plan, or the number of the entry that holds a result or a dose.

    Raises
    ------
    UnknownName
        There is no such line or entry with a reason.
    """
    answer, title = find_answer(lab, what)
    return why_page(answer, title=title, **page_facts(lab), href=f"/why/{what}", code=what)


def find_answer(lab: Laboratory, what: str) -> tuple[Answer, str]:
    """The answer behind an address, and its title."""
    parts = what.strip("/").split("/")
    if parts[0] == "plan" and len(parts) >= 3:
        with lab.look() as look:
            kept = kept_plan(look, parts[1])
        made = kept[0] if kept else work_back(lab, parts[1])
        key = "/".join(parts[2:])
        line = next((one for one in made.lines if one.key == key), None)
        if line is None:
            raise UnknownName.among(key, "a line of the plan", (one.key for one in made.lines))
        return line.answer, t("Why {label}", label=line.label)
    with lab.look() as look:
        if not (parts[0].isascii() and parts[0].isdecimal()):
            return _result_named(look, parts[0], "/".join(parts[1:]))
        entry = look.entry(int(parts[0]))
        found = getattr(entry.body, "trail", None)
        if not found:
            raise UnknownName(
                worded(
                    "Entry {what} is a {kind}: it was read, not calculated",
                    what=Phrase(what),
                    kind=entry.kind,
                ),
                do=worded("See entry {what} itself", what=Phrase(what)),
            )
        answer = from_trail(found)
        return answer, t("Why {answer_name}", answer_name=answer.name)


def _result_named(look: Reader, code: str, name: str) -> tuple[Answer, str]:
    """The last result of a lot or batch by its name, or the first words of it."""
    if code not in {*look.lot_codes(), *(one.code for one in look.batches())}:
        raise UnknownName(
            worded("{code!r} is not a number that opens", code=code),
            do="Write plan/<order>/<line>, <lot>/<result>, or the number of the entry of a result",
        )
    results = look.results(code)
    found = [entry for entry in results if entry.body.what == name] or [
        entry for entry in results if name and entry.body.what.startswith(name)
    ]
    if not found:
        raise UnknownName.among(name, f"a result of {code}", (entry.body.what for entry in results))
    answer = from_trail(found[-1].body.trail)
    return answer, t("Why {what} of {code}", what=found[-1].body.what, code=code)


def documents_of(lab: Laboratory) -> dict[str, Callable[[], Page]]:
    """Every document the book can print now, by file name."""
    made: dict[str, Callable[[], Page]] = {}
    with lab.look() as look:
        for order in look.orders():
            made[f"plan-{order.code}"] = _later(show_plan, lab, order.code)
        for batch in look.batches():
            made[f"batch-sheet-{batch.code}"] = _later(show_batch, lab, batch.code)
        for lot in look.lots():
            papers = lot.kind.traits.papers
            if "certificate" in papers and (
                look.certificates(lot.code) or look.status(lot.code) is Status.RELEASED
            ):
                made[f"certificate-{lot.code}"] = _later(show_certificate, lab, lot.code)
                made[f"certificate-{lot.code}-whole"] = _later(show_whole_certificate, lab, lot.code)
            if "label" in papers:
                made[f"label-{lot.code}"] = _later(show_label, lab, lot.code)
            if "trace" in papers:
                made[f"trace-{lot.code}"] = _later(show_trace, lab, lot.code)
        for month in spirit_months(look):
            made[f"spirit-{month}"] = _later(show_spirit, lab, month)
    return made


def _first(look: Reader, entry: Entry[Any]) -> Entry[Any]:
    """The entry as it was written first, before anybody corrected it."""
    while entry.corrects is not None:
        entry = look.entry(entry.corrects)
    return entry


def _later(builder: Callable[[Laboratory, str], Page], lab: Laboratory, code: str) -> Callable[[], Page]:
    return lambda: builder(lab, code)


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
