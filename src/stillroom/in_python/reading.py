"""The book of a laboratory, to read: lots, batches, orders, results and plans, with their figures."""

from dataclasses import asdict
from pathlib import Path
from types import TracebackType

from stillroom.actions.book.laboratory import Laboratory as OpenLaboratory
from stillroom.actions.book.laboratory import open_laboratory
from stillroom.actions.day.live import live_day
from stillroom.actions.making.what_it_gave import WhatItGave, what_it_gave
from stillroom.actions.orders.ordering import work_back
from stillroom.documents.day_shown import shown_day
from stillroom.evidence.answer import Answer
from stillroom.evidence.trails import from_trail
from stillroom.in_python.figures import Figures, Rows
from stillroom.pages.batches import show_batch
from stillroom.pages.orders import show_order
from stillroom.pages.plans import kept_plan, show_plan
from stillroom.pages.stock import show_lot
from stillroom.records.lots import SHELF
from stillroom.records.orders import Order


class Laboratory:
    """A laboratory's book, to read.

    Parameters
    ----------
    folder : str or Path

    Examples
    --------
    ``with stillroom.laboratory("stillroom-practice") as lab: print(lab.lot("CIN-01"))``
    """

    def __init__(self, folder: str | Path) -> None:
        self._lab: OpenLaboratory = open_laboratory(Path(folder))

    def __enter__(self) -> "Laboratory":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the book."""
        self._lab.book.close()

    @property
    def lots(self) -> Rows:
        """Every lot with its state and what stands on the shelf. [g, pieces]."""
        with self._lab.look() as look:
            standing = look.all_balances()
            return Rows(
                [
                    asdict(lot)
                    | {
                        "status": look.status(lot.code).value,
                        "shelf_g": standing.get(lot.code, {}).get((SHELF, "ug"), 0) / 1e6,
                        "shelf_pieces": standing.get(lot.code, {}).get((SHELF, "piece"), 0),
                    }
                    for lot in look.lots()
                ]
            )

    @property
    def batches(self) -> Rows:
        """Every batch, the newest last."""
        with self._lab.look() as look:
            return Rows([asdict(one) for one in look.batches()])

    @property
    def orders(self) -> Rows:
        """Every order."""
        with self._lab.look() as look:
            return Rows([asdict(one) for one in look.orders()])

    @property
    def goods(self) -> Rows:
        """Everything that was ordered from a supplier, with what came of it; ``is_here`` once something did."""
        with self._lab.look() as look:
            return Rows(
                [
                    asdict(one.body)
                    | {"is_here": bool(came), "came": " ".join(each.body.lot.code for each in came)}
                    for one in look.goods_ordered()
                    for came in (look.receipts_of(one.body.code),)
                ]
            )

    @property
    def results(self) -> Rows:
        """Every result of every lot and batch that was not corrected since."""
        with self._lab.look() as look:
            subjects = (*(one.code for one in look.lots()), *(one.code for one in look.batches()))
            return Rows(
                [
                    {
                        "of": entry.body.subject,
                        "name": entry.body.what,
                        "value": entry.body.value,
                        "u": entry.body.standard_uncertainty,
                        "unit": entry.body.unit,
                        "basis": entry.body.basis,
                        "counts": entry.body.counts,
                        "entry_no": entry.entry_no,
                        "done_at": entry.done_at,
                    }
                    for code in dict.fromkeys(subjects)
                    for entry in look.results(code)
                ]
            )

    def lot(self, code: str) -> Figures:
        """A lot: its results by name, each the latest, its page and its record."""
        with self._lab.look() as look:
            record = look.lot(code)
        return Figures(self._results(code), show_lot(self._lab, code), code, record)

    def batch(self, code: str) -> Figures:
        """A batch: its results by name, its sheet and its record."""
        page = show_batch(self._lab, code)
        with self._lab.look() as look:
            record = look.batch(code)
            gave = what_it_gave(look, code)
        given = gave.given.figures if gave and gave.given else {}
        return Figures({**self._results(code), **given}, page, code, record)

    @property
    def yields(self) -> Rows:
        """What every finished extraction gave, the newest last."""
        with self._lab.look() as look:
            found = (what_it_gave(look, one.code) for one in look.batches())
            return Rows([_yield_row(one) for one in found if one is not None])

    @property
    def day(self) -> Rows:
        """Every stretch of work that is laid out, moved by what happened since; empty where none is."""
        with self._lab.look() as look:
            found = live_day(look, self._lab.clock())
        if found is None:
            return Rows([])
        return Rows(
            [
                {
                    "job": one.job,
                    "step": one.step,
                    "attention": one.attention,
                    "person": one.person,
                    "begins": found.moment(begins).isoformat(),
                    "ends": found.moment(ends).isoformat(),
                    "is_over": one.is_over,
                }
                for one in shown_day(found.kept.jobs, found.kept.bench, found.schedule, found.over)
                for begins, ends in one.pieces
            ]
        )

    def order(self, code: str) -> Figures:
        """An order: its page and its record."""
        with self._lab.look() as look:
            record = look.order(code)
        return Figures({}, show_order(self._lab, code), code, record)

    def plan(self, order: str) -> Figures:
        """The plan of an order, as it was kept, or worked back now: its lines by name."""
        with self._lab.look() as look:
            kept = kept_plan(look, order)
            record: Order = look.order(order)
        made = kept[0] if kept else work_back(self._lab, order)
        lines = {one.key: one.answer for one in made.lines}
        return Figures(lines, show_plan(self._lab, order), order, record)

    def _results(self, code: str) -> dict[str, Answer]:
        with self._lab.look() as look:
            return {entry.body.what: from_trail(entry.body.trail) for entry in look.results(code)}


def _yield_row(one: WhatItGave) -> dict[str, object]:
    figures = one.given.figures if one.given else {}
    names = ("extract_of_100_g_dry", "drug_extract_ratio", "recovery")
    spirit = ("ethanol_used", "ethanol_back", "ethanol_not_back")
    row: dict[str, object] = {
        "batch": one.batch,
        "plant": one.plant,
        "lots": " ".join(one.lots),
        "ended_at": one.ended_at,
        "hours": one.hours.value,
    }
    for name in (*names, *spirit):
        found = figures[name].answer if name in figures else None
        row[name] = found.value if found else None
        row[f"{name}_u"] = found.standard_uncertainty if found else None
    return row
