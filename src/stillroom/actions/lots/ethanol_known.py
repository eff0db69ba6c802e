"""How much ethanol is in a lot, and how it is known: what was read, its label, or the batch that made it.

Promises a share of the mass with one sentence, or None with the sentence that says what is missing: never a guess.
What a batch gave is told by the stream of its extraction, moved by what was weighed; the same stream that forecasts it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from stillroom.actions.orders.forecasting import ethanol_of_course
from stillroom.actions.shelf.lot_strength import last_read, strength_of_spirit
from stillroom.errors import StillroomError
from stillroom.records.lots import Lot
from stillroom.store.reader import Reader
from stillroom.stream.account import Account, StepAccount
from stillroom.stream.components import ETHANOL, Grams, made_of, whole_mass
from stillroom.stream.kind import Work
from stillroom.stream.kinds import KINDS, kind_does

LEAST_SHARE = 1e-4


@dataclass(frozen=True, slots=True)
class EthanolShare:
    """Ethanol in a lot."""

    by_mass: float | None
    """None where nothing says. [g/g]"""
    says: str
    """How it is known, or what is missing."""


@dataclass(slots=True)
class EthanolKnown:
    """What one look at the book knows of ethanol; a share is told once."""

    look: Reader
    _shares: dict[str, EthanolShare] = field(default_factory=dict)

    def share(self, code: str) -> EthanolShare:
        """Ethanol by mass in a lot. [1]."""
        if code not in self._shares:
            self._shares[code] = self._share(self.look.lot(code))
        return self._shares[code]

    def account(self, batch: str) -> Account | None:
        """The middle of the stream of an extraction with what was weighed; None where the book cannot tell it."""
        return ethanol_of_course(self.look, batch)

    def step_of_formula(self, batch: str, step: str) -> StepAccount | None:
        """A blending step with what was really weighed in; None for another kind of step."""
        known = self.look.procedure_of(batch).step(step)
        entry = next((one for one in self.look.steps(batch) if one.body.step == step), None)
        if not kind_does(known.kind, "blends") or entry is None:
            return None
        taken: dict[str, Grams] = {}
        for one in entry.body.weighings:
            if one.direction == "in":
                ethanol = (self.share(one.lot).by_mass or 0.0) if one.lot else 0.0
                makeup = {"ethanol": ethanol, "formula ingredients": 1.0 - ethanol}
                taken[one.line] = made_of(makeup, one.actual_g, 1)
        if not taken:
            return None
        kind = KINDS[known.kind]
        done = kind.works(tuple(taken.values()), {one.name: one.value for one in known.settings})
        given = dict(zip(known.gives, done.outlets, strict=True))
        return StepAccount(step, known.kind, taken, given, done.losses, Work())

    def _share(self, lot: Lot) -> EthanolShare:
        traits = lot.kind.traits
        if traits.is_clear or last_read(self.look, lot.code):
            known = strength_of_spirit(self.look, lot)
            if known.answer is not None or traits.spirit == "stock":
                return EthanolShare(known.ethanol_mass_fraction, known.says)
        if lot.made_by and traits.spirit:
            return self._made(lot, lot.made_by)
        if traits.spirit == "recovered":
            return EthanolShare(None, f"{lot.code} says neither its strength nor the batch it came from")
        return EthanolShare(0.0, "not counted as spirit")

    def _made(self, lot: Lot, batch: str) -> EthanolShare:
        if not self._took_spirit(batch):
            return EthanolShare(0.0, f"batch {batch} took no spirit")
        account = self.account(batch)
        procedure = self.look.procedure_of(batch)
        if account is None:
            what = f"How strong {lot.code} is nobody says: batch {batch} was made for no order, its stream is not known"
            return EthanolShare(None, what)
        line = procedure.steps[-1].gives[0] if lot.kind.traits.is_wanted else lot.substance
        try:
            stream = account.given(line)
        except StillroomError:
            return EthanolShare(None, f"{lot.code} is not in the stream of batch {batch}")
        fraction = ethanol_of_middle_g(stream) / max(whole_mass(stream).item(), 1e-30)
        return EthanolShare(
            fraction if fraction > LEAST_SHARE else 0.0,
            f"the stream of batch {batch}, moved by what was weighed",
        )

    def _took_spirit(self, batch: str) -> bool:
        return any(
            one.direction == "in" and one.lot and self.look.lot(one.lot).kind.traits.holds_spirit
            for entry in self.look.steps(batch)
            for one in entry.body.weighings
        )


def courses_ahead(look: Reader, lots: Sequence[str], batches: Sequence[str]) -> None:
    """What the ethanol of some lots and batches rests on, known before it is asked of one after another."""
    look.batches_ahead(batches)
    look.orders_of(list(dict.fromkeys(begun.order for one in batches if (begun := look.batch(one)).order)))
    put_in = (one.lot for code in batches for step in look.steps(code) for one in step.body.weighings)
    every = list(dict.fromkeys((*lots, *(one for one in put_in if one))))
    look.lots_ahead(every)
    look.results_ahead(every)
    look.described_ahead(every)
    look.readings_ahead([*every, *batches])
    look.fillings_ahead(batches)


def ethanol_of_middle_g(stream: Grams) -> float:
    """Ethanol of a stream of which the middle alone is kept. [g].

    Parameters
    ----------
    stream : array
        Grams of components by one draw. [g]
    """
    return float(stream[ETHANOL].item())
