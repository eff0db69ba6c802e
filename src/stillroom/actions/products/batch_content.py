"""What a product made here holds: reckoned from the extract actually weighed in, not from the dose that was decided."""

import math
from dataclasses import dataclass

from stillroom.actions.book.ceilings import ceiling_for
from stillroom.actions.book.counted_marker import counted_in
from stillroom.actions.book.product_made import product_of
from stillroom.actions.book.results_kept import as_assayed, assay_for, strength_of
from stillroom.answers.bounds import chance_above
from stillroom.answers.budget import Stated, spread_leaf, stated
from stillroom.answers.plain_sums import sum_of
from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer, reading, reckoned
from stillroom.products.dose_option import worst_of
from stillroom.products.dosing import content_of_bulk_percent
from stillroom.products.limits import Judged, judge
from stillroom.records.entries import Entry, StepDone, Weighing
from stillroom.records.orders import Order, StatedStrength
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

_Part = tuple[Answer, str]


@dataclass(frozen=True, slots=True)
class ContentMade:
    """Content of a batch as it was weighed.

    ``aim``, ``declared``: [% w/w]
    ``chance_of_aim``, ``chance_of_declared``: that the content is at least that much. [%]
    """

    content: Stated
    """[% w/w]"""
    judged: Judged
    """Its worst bound against the ceiling."""
    aim: Answer
    declared: Answer
    chance_of_aim: Answer
    chance_of_declared: Answer
    order: Order

    @property
    def meets(self) -> tuple[str, ...]:
        """Both readings of "meets it", in sentences."""
        value = self.content.answer.value
        aim = (
            f"Aim {self.order.aim.printed}: found {value:.4f} %; the chance that this batch holds "
            f"at least the aim is {self.chance_of_aim.value:.0f} in 100."
        )
        declared = (
            f"Declared at least {self.order.at_least.printed}: the chance that this batch holds it is "
            f"{self.chance_of_declared.value:.1f} in 100."
        )
        return (aim, declared, self.judged.says)


def content_declared(look: Reader, batch: str) -> Answer | None:
    """What the order of a product batch declares of its active; None where it counts none. [% w/w].

    Parameters
    ----------
    batch : str
        Batch of a formula.
    """
    order = product_of(look, batch).order
    if order is None or order.aim.percent <= 0:
        return None
    return _of_order("declared", order.at_least, _ordered(look, order))


def content_unknown(look: Reader, batch: str) -> str:
    """Why the content of a product batch cannot be calculated though something was weighed in as its extract; or "".

    Parameters
    ----------
    batch : str
        Batch of a formula.
    """
    order = product_of(look, batch).order
    if order is None or order.aim.percent <= 0:
        return ""
    strengths = [_strength(look, one, order) for _, one in _weighed_extracts(look, batch, order)]
    return next((one for one in strengths if isinstance(one, str)), "")


def content_made(look: Reader, batch: str) -> ContentMade | None:
    """The content of a product batch; None until an extract whose strength is known is weighed in.

    Parameters
    ----------
    batch : str
        Batch of a formula.
    """
    order = product_of(look, batch).order
    if order is None or order.aim.percent <= 0:
        return None
    parts = []
    for entry, extract in _weighed_extracts(look, batch, order):
        strength = _strength(look, extract, order)
        if isinstance(strength, str):
            return None
        parts.append(_content(look, batch, entry, extract, strength, order.aim))
    if not parts:
        return None
    found = _together(parts, order.aim)
    ordered = _ordered(look, order)
    aim, declared = (
        _of_order("aim", order.aim, ordered),
        _of_order("declared", order.at_least, ordered),
    )
    limit = ceiling_for(look, order)
    return ContentMade(
        found,
        judge(worst_of(found), limit),
        aim,
        declared,
        chance_above(found.answer, aim),
        chance_above(found.answer, declared),
        order,
    )


def never_assayed(look: Reader, batch: str) -> tuple[tuple[str, str], ...]:
    """Lots that may bring the active of the order beside what is dosed and were never assayed by it, and that active.

    Parameters
    ----------
    batch : str
        Batch of a formula.
    """
    order, dosed = product_of(look, batch).order, _dosed_lines(look, batch)
    if order is None or order.aim.percent <= 0:
        return ()
    found = {
        one.lot: order.aim.of
        for entry in look.steps(batch)
        for one in entry.body.weighings
        if one.line not in dosed and one.actual_g > 0
        and (counted := _counted_by(look, one)) is not None
        and counted.of == order.aim.of and assay_for(look, one.lot, order.aim) is None
    }  # fmt: skip
    return tuple(found.items())


def contents_beside(look: Reader, batch: str) -> tuple[tuple[str, Stated], ...]:
    """What a product holds of its other extracts made here, by their own assays: what is counted, and how much [% w/w].

    Parameters
    ----------
    batch : str
        Batch of a formula.

    Notes
    -----
    What is not assayed, what the order counts, and what two weighings brought together is not among them.
    """
    order = product_of(look, batch).order
    dosed = _dosed_lines(look, batch)
    found: dict[str, list[Stated]] = {}
    for entry in look.steps(batch):
        for one in entry.body.weighings:
            counted = _counted_by(look, one)
            if counted is None or one.line in dosed or not one.actual_g > 0:
                continue
            counted = as_assayed(look, one.lot, counted)
            if assay_for(look, one.lot, counted) is None or (order and counted.of == order.aim.of):
                continue
            try:
                strength = strength_of(look, one.lot, counted)
            except StillroomError:
                continue
            content = _together([_content(look, batch, entry, one, strength, counted)], counted)
            found.setdefault(counted.counted, []).append(content)
    return tuple((counted, each[0]) for counted, each in found.items() if len(each) == 1)


def _content(
    look: Reader,
    batch: str,
    entry: Entry[StepDone],
    extract: Weighing,
    strength: Answer,
    counted: StatedStrength,
) -> _Part:
    """What one weighing of an extract gives the bulk of, and the key of the mass that is held."""
    taken = reading(
        f"{extract.lot} weighed in",
        extract.actual_g,
        "g",
        f"entry {entry.entry_no}",
        entry_no=entry.entry_no,
        standard_uncertainty=None,
    )
    step_g = look.apparatus(extract.apparatus).smallest_step if extract.apparatus else 0.0
    weigher = look.latest("apparatus added", extract.apparatus) if extract.apparatus else None
    scale = spread_leaf(
        "one reading of the scale",
        0.0,
        "g",
        f"half a step either way: {extract.apparatus or 'scale not stated'}",
        standard_uncertainty=step_g / math.sqrt(12),
        entry_no=weigher.entry_no if weigher else entry.entry_no,
    )
    bulk_g = sum(
        one.actual_g for step in look.steps(batch) for one in step.body.weighings if one.direction == "in"
    )
    bulk = reading(
        "bulk, sum of what was weighed in", bulk_g, "g", f"entry {entry.entry_no}", entry_no=entry.entry_no
    )
    answer = reckoned(
        "content of the product",
        content_of_bulk_percent,
        unit="%",
        basis=counted.basis("product"),
        inputs={
            "mass_g": taken,
            "strength_percent": strength,
            "bulk_mass_g": bulk,
            "weighing_difference_g": scale,
        },
        says="what was weighed in, times the assay of its lot, over the bulk",
    )
    return answer, taken.key


def _together(parts: list[_Part], counted: StatedStrength) -> Stated:
    """What all extracts of one active give the bulk of."""
    taken = tuple(key for _, key in parts)
    if len(parts) == 1:
        return stated(parts[0][0], held=taken)
    each = {f"part {number}": answer for number, (answer, _) in enumerate(parts, start=1)}
    says = "the sum of what each weighing of an extract gives"
    answer = reckoned(
        "content of the product", sum_of, unit="%", basis=counted.basis("product"), inputs=each, says=says
    )
    return stated(answer, held=taken)


def _dosed_lines(look: Reader, batch: str) -> frozenset[str]:
    lines = look.procedure_of(batch).lines
    return frozenset(line.name for line in lines if line.role == "dosed")


def _counted_by(look: Reader, weighed: Weighing) -> StatedStrength | None:
    """What an extract made here that was weighed in is counted by; None of anything else."""
    made_by = look.lot(weighed.lot).made_by if weighed.lot and weighed.direction == "in" else None
    return counted_in(look, made_by) if made_by else None


def _weighed_extracts(look: Reader, batch: str, order: Order) -> list[tuple[Entry[StepDone], Weighing]]:
    """Every weighing that brings the active of the order: of the dosed line, and of others assayed by it.

    Empty until the dosed line is weighed in.
    """
    dosed = _dosed_lines(look, batch)
    found, is_dosed = [], False
    for entry in look.steps(batch):
        for one in entry.body.weighings:
            if one.line in dosed and one.direction == "in":
                is_dosed = True
            elif (counted := _counted_by(look, one)) is None or counted.of != order.aim.of:
                continue
            elif assay_for(look, one.lot, order.aim) is None:
                continue  # told by ``never_assayed``
            found.append((entry, one))
    weighed = [each for each in found if each[1].actual_g > 0]
    return (weighed or found) if is_dosed else []


def _strength(look: Reader, extract: Weighing, order: Order) -> Answer | str:
    """How strong what was weighed in as the extract is; or why nobody knows."""
    if not extract.actual_g > 0:
        return t("Nothing was weighed in as the extract.")
    try:
        found = strength_of(look, extract.lot, order.aim)
    except StillroomError as trouble:
        return trouble.sentence
    if not found.standard_uncertainty and not extract.apparatus:
        return t(
            "How sure the assay of {lot} is was not said, nor by which scale it was weighed in.",
            lot=extract.lot,
        )
    return found


def _ordered(look: Reader, order: Order) -> int:
    return look.entries(kind="order taken", subject=order.code)[-1].entry_no


def _of_order(name: str, strength: StatedStrength, entry_no: int) -> Answer:
    where = f"customer's order, entry {entry_no}"
    basis = strength.basis("product")
    return reading(name, strength.percent, "%", where, entry_no=entry_no, basis=basis)
