"""What the book knows and a plan would otherwise assume: drying loss, assay, strengths, ceiling, scale.

Promises that each stands with the entry it comes from, and with its doubt.
"""

from collections.abc import Iterable
from dataclasses import replace

from stillroom.actions.book.ceilings import ceiling_for
from stillroom.actions.book.results_kept import DRYING, latest_result
from stillroom.actions.shelf.lot_strength import (
    lots_at_hand,
    strength_of_acid,
    strength_of_spirit,
    weighed_in,
)
from stillroom.actions.shelf.plant_described import RACK, known_of_description
from stillroom.evidence.answer import Answer, leaves
from stillroom.evidence.trails import from_trail
from stillroom.planning.assumptions import ASSUMED
from stillroom.planning.plan_inputs import Known
from stillroom.planning.route import is_spirit
from stillroom.planning.shelf_inputs import STOCK, of_other_spirits
from stillroom.records.entries import Entry, ResultReckoned
from stillroom.records.lots import Lot
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure
from stillroom.store.reader import Reader

ACIDS = {"strength of the acid": "hydrochloric acid", "strength of the ammonia": "ammonia"}
"""What a plan asks about an acid or alkali, and how its substance begins."""


def known_of_plant(look: Reader, lot: str) -> list[Known]:
    """The loss on drying of a lot of plant, as it was found last or else described, and its grind.

    What was weighed before the lot lay on the racks says nothing of it now.
    """
    told = known_of_description(look, lot)
    drying = latest_result(look, lot, DRYING)
    racked = look.readings(lot, RACK)
    if drying is None or (racked and racked[-1].entry_no > drying.entry_no):
        return told
    weighed = known_of_result("loss on drying", f"lot {lot}/loss on drying", drying)
    return [weighed, *(one for one in told if one.role != weighed.role)]


def _lot_for(look: Reader, substances: frozenset[str], batch: str, *, spirit: bool = False) -> Lot | None:
    """The lot that was weighed into a batch; where none was, or for no batch, our newest released one."""
    weighed = weighed_in(look, batch, substances) if batch else None
    if weighed is not None:
        return weighed
    ours = [one for one in lots_at_hand(look, substances) if one.owner == "ours"]
    found = [one for one in ours if not spirit or one.kind.traits.spirit == "stock"]
    return found[-1] if found else None


def known_of_spirit(look: Reader, extraction: Procedure, batch: str = "") -> list[Known]:
    """The strength of the stock spirit, of a batch or at hand, as it was read or as its label says."""
    others = {one.removeprefix(f"{STOCK}, ") for one in of_other_spirits((extraction,))}
    substances = frozenset(line.substance for line in extraction.lines if is_spirit(line)) - others
    return _known_strength(look, STOCK, _lot_for(look, substances, batch, spirit=True))


def known_of_other_spirits(look: Reader, procedures: Iterable[Procedure], batch: str = "") -> list[Known]:
    """The strength of spirits that are named as another than the stock, of a batch or at hand."""
    found: list[Known] = []
    for role in of_other_spirits(procedures):
        substances = frozenset({role.removeprefix(f"{STOCK}, ")})
        found += _known_strength(look, role, _lot_for(look, substances, batch, spirit=True))
    return found


def _known_strength(look: Reader, role: str, lot: Lot | None) -> list[Known]:
    answer = strength_of_spirit(look, lot).answer if lot is not None else None
    if lot is None or answer is None:
        return []
    entry_no = max((one.leaf.entry_no or 0 for one in leaves(answer) if one.leaf), default=0)
    return [_known(role, f"lot {lot.code}/strength", answer, entry_no, f"strength of {lot.code}")]


def known_of_acids(look: Reader, extraction: Procedure, batch: str = "") -> list[Known]:
    """How strong the acid and the ammonia are, of a batch or at hand: titrated or labelled, within what is assumed."""
    found = []
    for role, start in ACIDS.items():
        substances = frozenset(one.substance for one in extraction.lines if one.substance.startswith(start))
        lot = _lot_for(look, substances, batch)
        answer = strength_of_acid(look, lot).answer if lot is not None else None
        if lot is None or answer is None or answer.leaf is None or answer.leaf.entry_no is None:
            continue
        doubt = answer.standard_uncertainty or ASSUMED[role].standard_uncertainty
        sure = replace(answer, standard_uncertainty=doubt)
        name = f"lot {lot.code}/strength"
        found.append(_known(role, name, sure, answer.leaf.entry_no, f"strength of {lot.code}"))
    return found


def known_of_result(role: str, name: str, entry: Entry[ResultReckoned]) -> Known:
    """What a result of the book tells a plan."""
    answer = from_trail(entry.body.trail)
    return _known(role, name, answer, entry.entry_no, f"{entry.body.what} of {entry.body.subject}")


def known_of_ceiling(look: Reader, order: Order) -> list[Known]:
    """The ceiling that somebody stated, where the law's table has none."""
    found = ceiling_for(look, order)
    if found.limit is None or found.limit.leaf is None or found.limit.leaf.kind != "reading":
        return []
    leaf = found.limit.leaf
    return [
        Known(
            "ceiling",
            f"{leaf.where}/ceiling",
            found.limit.value,
            "%",
            origin="reading",
            because=leaf.where,
            entry_no=leaf.entry_no,
            basis=found.limit.basis,
        )
    ]


def _known(role: str, name: str, answer: Answer, entry_no: int, because: str) -> Known:
    return Known(
        role=role,
        name=name,
        value=answer.value,
        unit=answer.unit,
        standard_uncertainty=answer.standard_uncertainty or 0.0,
        spread="normal" if answer.standard_uncertainty else "fixed",
        origin="reading",
        because=f"{because}, entry {entry_no}",
        entry_no=entry_no,
        basis=answer.basis,
    )


def known_of_scale(look: Reader) -> list[Known]:
    """The finest scale of the laboratory: its step, and how surely it weighs."""
    scales = [one for one in look.apparatus_list() if one.kind == "scale" and one.unit == "g"]
    if not scales:
        return []
    finest = min(scales, key=lambda one: one.smallest_step)
    entry = look.latest("apparatus added", finest.code)
    entry_no = entry.entry_no if entry else None
    return [
        Known(
            "scale step",
            f"scale {finest.code}/step",
            finest.smallest_step,
            "g",
            origin="reading",
            because=f"{finest.code}, entry {entry_no}",
            entry_no=entry_no,
        ),
        Known(
            "weighing of the dose",
            f"scale {finest.code}/uncertainty",
            0.0,
            "g",
            finest.standard_uncertainty,
            "normal",
            origin="reading",
            because=f"{finest.code}, entry {entry_no}",
            entry_no=entry_no,
        ),
    ]
