"""What a form asks the book first: who signs, which scales there are, how a lot stands, what comes next."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.product_made import fillings_in_turn, product_of
from stillroom.actions.making.bulk_density import DENSITY
from stillroom.actions.making.steps_in_hand import LineToWeigh, next_step
from stillroom.actions.making.weighing import OFF_BY_TOO_MUCH
from stillroom.actions.products.filling import fill_answer
from stillroom.answers.budget import stated
from stillroom.documents.numbers_shown import number
from stillroom.quantities.content import NO_CONTENT, Content
from stillroom.records.entries import Entry, StepDone, UnitsFilled
from stillroom.records.lots import Status
from stillroom.records.people import Apparatus, Person
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader
from stillroom.stream.kinds import kind_does
from stillroom.texts.catalogue import t

Next: TypeAlias = Literal["step", "dose", "density", "fill", "done"]


@dataclass(frozen=True, slots=True)
class NextUp:
    """Where a batch stands and what to do next."""

    batch: str
    title: str
    order: str
    purpose: str
    """Of its procedure."""
    does: Next
    step: str
    """Name of the next step, "" when all are done."""
    number: int
    of: int
    last_done: str
    """ISO time of the last step, or of the beginning."""
    longest_wait_min: float | None
    """How long what the last step gave may wait. [min]"""
    last_step: str = ""
    """The step written last, "" before the first."""
    last_entry: int | None = None
    """Its entry."""
    given_up: str = ""
    """Why it was given up; "" for a batch that was not."""

    @property
    def href(self) -> str:
        """Page where it is done."""
        return f"/make/{self.batch}" if self.does == "done" else f"/make/{self.batch}/{self.does}"

    @property
    def words(self) -> str:
        """The next thing in a few words."""
        said = {
            "dose": t("decide the dose"),
            "density": t("weigh the density"),
            "done": t("given up") if self.given_up else t("done"),
            "fill": t("fill the bottles"),
        }
        return said.get(self.does, self.step)


def book_id(lab: Laboratory) -> str:
    """Identity of the book, so that an entry meant for another one is told apart."""
    with lab.look() as look:
        return look.book().book_id


def people(lab: Laboratory) -> tuple[Person, ...]:
    """Everybody who may sign."""
    with lab.look() as look:
        return look.people()


def apparatus(lab: Laboratory, kind: str = "scale") -> tuple[Apparatus, ...]:
    """Every apparatus of a kind, the finest first."""
    with lab.look() as look:
        found = (one for one in look.apparatus_list() if one.kind == kind)
        return tuple(sorted(found, key=lambda one: one.smallest_step))


def procedures(lab: Laboratory) -> tuple[Procedure, ...]:
    """The newest version of every procedure."""
    with lab.look() as look:
        return look.procedures()


def order_codes(lab: Laboratory) -> tuple[str, ...]:
    """Codes of every order, the newest last."""
    with lab.look() as look:
        return tuple(one.code for one in look.orders())


def released_by(lab: Laboratory, lot: str) -> str:
    """Code of the person whose release of a lot stands, "" when none does."""
    with lab.look() as look:
        decided = look.decisions(lot)
        return decided[-1].by if decided and decided[-1].body.to is Status.RELEASED else ""


def is_a_lot(lab: Laboratory, code: str) -> bool:
    """Whether a batch has become a lot."""
    with lab.look() as look:
        return look.holds(code)[0]


def is_begun(lab: Laboratory, code: str) -> bool:
    """Whether a batch of that code was begun."""
    with lab.look() as look:
        return look.holds(code)[1]


def entry_in_hand(lab: Laboratory, entry_no: int) -> Entry:
    """An entry to be put right.

    Raises
    ------
    UnknownName
        The book holds no such entry.
    """
    with lab.look() as look:
        return look.entry(entry_no)


def tolerance_g(line: LineToWeigh, scale: Apparatus | None) -> float | None:
    """How far a weighing may be off before it needs a note [g]."""
    if line.planned_g is None or line.direction != "in":
        return None
    return max(OFF_BY_TOO_MUCH * line.planned_g, 2 * scale.smallest_step if scale else 0.0)


def scale_for(scales: Sequence[Apparatus], planned_g: float | None) -> Apparatus | None:
    """The coarsest scale that reads a mass to a hundredth; else the finest that takes it, else the one that takes most.

    Parameters
    ----------
    planned_g : float or None
        [g]
    """
    grams = [one for one in scales if one.unit == "g"]
    if not grams:
        return None
    widest = max(grams, key=lambda one: one.largest or float("inf"))
    if planned_g is None:
        return widest
    takes = [one for one in grams if (one.largest or float("inf")) >= 1.05 * planned_g]
    fit = [one for one in takes if planned_g >= 100 * one.smallest_step]
    if fit:
        return max(fit, key=lambda one: one.smallest_step)
    return min(takes, key=lambda one: one.smallest_step, default=widest)


def next_up(lab: Laboratory, batch: str) -> NextUp:
    """Where a batch stands and what comes next.

    Raises
    ------
    UnknownName
        There is no such batch.
    """
    with lab.look() as look:
        return next_of(look, batch)


def in_hand(look: Reader) -> tuple[str, ...]:
    """Codes of the batches that are not done, in the order in which they were begun."""
    return look.standing("batch", states=("running",), most=None).codes[::-1]


def every_next(lab: Laboratory) -> tuple[NextUp, ...]:
    """What comes next in every batch that is not done."""
    with lab.look() as look:
        codes = in_hand(look)
        next_ahead(look, codes)
        return tuple(next_of(look, code) for code in codes)


@dataclass(frozen=True, slots=True)
class FillingInHand:
    """What the person who fills is told."""

    says: str
    """Mass to fill into each bottle, and how many the bulk can fill."""
    cautions: tuple[str, ...]
    ordered: Content = NO_CONTENT
    """What a bottle holds by the order; nothing where none says it."""


def filling_in_hand(lab: Laboratory, batch: str) -> FillingInHand:
    """What the person who fills is told; without a density, that the mass of a bottle is not known."""
    with lab.look() as look:
        procedure = look.procedure_of(batch)
        step = next((one for one in procedure.steps if kind_does(one.kind, "bottles")), None)
        asked = step.says if step else ""
        product = product_of(look, batch)
        known = _fill_is_known(look, batch, product.each)
        says = (
            asked
            if known
            else " ".join(
                (
                    t(
                        "The density was not weighed, so what a bottle must weigh is not known; what was "
                        "filled can be written all the same."
                    ),
                    asked,
                )
            ).strip()
        )
        if product.each and known:
            each = stated(fill_answer(look, batch))
            says = (
                t(
                    "Fill {grams} g into each, overfill included. {says}",
                    grams=number(each.answer.value, 2),
                    says=asked,
                )
                if product.each.by_mass
                else t(
                    "Fill {grams} g into each, overfill included; by the doubt of the density ± {sure} g (k = {k}). "
                    "{says}",
                    grams=number(each.answer.value, 2),
                    sure=number(each.expanded_uncertainty, 2),
                    k=f"{each.k:.3g}",
                    says=asked,
                )
            )
        if turns := fillings_in_turn(look, batch):
            says = f"{says} {_left_to_fill(look, batch, turns[-1].body, known=known)}"
        cautions = step.cautions if step else ()
        return FillingInHand(says, cautions, product.each if product.order else NO_CONTENT)


def _fill_is_known(look: Reader, batch: str, each: Content) -> bool:
    """Whether what a bottle must weigh follows from what it holds: by the density, or because that is a mass."""
    return each.by_mass or any(one.body.counts for one in look.results(batch, DENSITY))


def is_left_to_fill(lab: Laboratory, batch: str) -> bool:
    """Whether the last filling of a batch left something over."""
    with lab.look() as look:
        turns = fillings_in_turn(look, batch)
        return bool(turns) and turns[-1].body.left_over_g > 0


def lacks_density(lab: Laboratory, batch: str) -> bool:
    """Whether what was filled is sold by volume, and nobody weighed the density of its bulk."""
    with lab.look() as look:
        filled = look.fillings(batch)
        return any(not one.body.each.by_mass for one in filled) and not look.results(batch, DENSITY)


def _left_to_fill(look: Reader, batch: str, last: UnitsFilled, *, known: bool) -> str:
    """What the filling before left over, and what a mL of it weighs."""
    says = t(
        "{lot} left {grams} g over; this filling takes from that.",
        lot=last.lot.code,
        grams=number(last.left_over_g, 2),
    )
    if not known or not any(one.body.counts for one in look.results(batch, DENSITY)):
        return says
    each = number(fill_answer(look, batch, Content(1.0)).value, 4)
    return t("{says} Bottles of another size take {grams} g for each mL.", says=says, grams=each)


def step_names(lab: Laboratory, batch: str) -> tuple[str, ...]:
    """Names of the steps of a batch, in their order."""
    with lab.look() as look:
        return tuple(one.name for one in look.procedure_of(batch).steps)


def next_ahead(look: Reader, batches: Sequence[str]) -> None:
    """What the next step of some batches rests on, known before it is asked of one after another."""
    look.batches_ahead(batches)
    look.doses_ahead(batches)
    look.results_ahead(batches)


def next_of(look: Reader, batch: str) -> NextUp:
    """The same, from a book already open."""
    begun = look.batch(batch)
    procedure = look.procedure_of(batch)
    done: tuple[Entry[StepDone], ...] = look.steps(batch)
    step = next_step(look, batch)
    last = procedure.step(done[-1].body.step) if done else None
    does: Next = "done" if step is None else "step"
    if step is not None:
        dosed = {one.name for one in procedure.lines if one.role == "dosed"}
        if dosed & set(step.weighs) and not look.doses(batch):
            does = "dose"
        elif kind_does(step.kind, "bottles"):
            does = "fill" if _fill_is_known(look, batch, product_of(look, batch).each) else "density"
    ended = look.given_up(batch)
    if ended is not None:
        step, does = None, "done"
    return NextUp(
        batch=batch,
        title=procedure.title,
        order=begun.order,
        purpose=procedure.purpose,
        does=does,
        step=step.name if step else "",
        number=procedure.steps.index(step) + 1 if step else len(procedure.steps),
        of=len(procedure.steps),
        last_done=done[-1].done_at if done else look.begun(batch).done_at,
        longest_wait_min=last.longest_wait_min if last else None,
        last_step=last.name if last else "",
        last_entry=done[-1].entry_no if done and done[-1].body.weighings else None,
        given_up=ended.body.why if ended else "",
    )
