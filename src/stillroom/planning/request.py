"""What a plan is asked for: the order, the two procedures, what is known, and the seed.

A request is frozen and turns into JSON and back without loss, so that a kept plan can be run again. What was
not given is assumed, and says so (``assumptions``). Promises nothing about whether the order is lawful: see
``lawful``.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, TypeAlias

from stillroom.errors import BadEntry, UnknownName, worded
from stillroom.planning.assumptions import ASSUMED, assumed_for, spirits_named
from stillroom.planning.plan_inputs import GRIND, Known
from stillroom.quantities.money import EURO
from stillroom.records.lots import RETAINED_UNITS
from stillroom.records.orders import Order
from stillroom.records.procedures import Procedure
from stillroom.stream.kinds.fits_the_glass import GLASS

PRICE_OF = "price of "
ACTIVE_AT_HAND = "active at hand"
"""Role of the active in extract that stands on the shelf and serves the order."""
WHERE_THERE_IS_ONE = ("ceiling", ACTIVE_AT_HAND, GRIND, *GLASS)
"""What a plan knows only where somebody said or holds it."""
Matter: TypeAlias = Literal["as is", "dried"]


@dataclass(frozen=True, slots=True)
class Held:
    """What stands on the shelf already, or is under way to it."""

    item: str
    """Key of a line of the buying list ("plant_g")."""
    amount: float
    """In the unit of that line."""
    comes: str = ""
    """ISO date it is expected on, where it was ordered and is not here yet; "" for what stands there."""


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """Everything a plan is reckoned from.

    ``order_entry_no``, ``extraction_entry_no``, ``formula_entry_no``: entries of the book the order and the
    procedures stand in.
    """

    order: Order
    extraction: Procedure
    formula: Procedure
    known: tuple[Known, ...] = ()
    """What is measured, published or assumed, one for each role; the rest is taken from ``ASSUMED``."""
    assay_reckoned_as: str = ""
    """What the assay of the plant counts the marker as: a compound, or "mean of" two; the compound of the aim
    where it is left empty."""
    assay_matter: Matter = "as is"
    """What plant the assay is a share of."""
    kept_back_units: int = RETAINED_UNITS
    """Bottles made beside the order: retained sample and tests. [1]"""
    spares_percent: float = 5.0
    """Bottles, caps and labels beyond those filled. [%]"""
    stock: tuple[Held, ...] = ()
    seed: int = 7
    draws: int = 4096
    order_entry_no: int | None = None
    extraction_entry_no: int | None = None
    formula_entry_no: int | None = None
    left_out: tuple[str, ...] = ()
    """What the book holds and the plan could not use, in sentences that say what is missing."""
    plant_lot: str = ""
    """The lot whose assay and loss on drying are used; empty where there is none."""
    currency: str = EURO
    """What money is counted in. An assumed price is in euro: in another currency what has no price is left out."""
    remembered: tuple[Known, ...] = ()
    """What finished batches make of assumptions, one for each role of ``inputs.all_inputs``."""
    together: tuple[tuple[float, ...], ...] = ()
    """How these go with each other: correlations, in their order. [1]"""

    def __post_init__(self) -> None:
        roles = [one.role for one in self.known]
        for role in roles:
            if role not in ASSUMED and role not in WHERE_THERE_IS_ONE:
                raise UnknownName.among(role, "something a plan uses", (*ASSUMED, *WHERE_THERE_IS_ONE))
            if roles.count(role) > 1:
                raise BadEntry(
                    "Each thing may be known once", worded("{role} twice", role=role), "Keep the better one"
                )

    @property
    def used(self) -> tuple[Known, ...]:
        """What the plan works with: what was given, and an assumption for everything else."""
        given = {one.role: one for one in self.known}
        taken = assumed_for(self.plant, self.order.aim, self.extraction, self.assay_matter)
        taken |= spirits_named((self.extraction, self.formula))
        used = tuple(given.get(role, assumed) for role, assumed in taken.items())
        priced = tuple(one for one in used if self._counts(one))
        return priced + tuple(one for one in self.known if one.role in WHERE_THERE_IS_ONE)

    def _counts(self, one: Known) -> bool:
        """Whether an input may be added up: everything but a price in another currency."""
        return not one.role.startswith(PRICE_OF) or one.unit.partition("/")[0] == self.currency

    @property
    def plant(self) -> str:
        """Substance of the line that the extraction is scaled by; "" where there is no such line."""
        names = (one.substance for one in self.extraction.lines if one.name == self.extraction.scaled_by)
        return next(names, "")

    @property
    def assay_as(self) -> str:
        """What the assay of the plant counts the marker as."""
        return self.assay_reckoned_as or self.order.aim.reckoned_as

    def to_json(self) -> dict[str, Any]:
        """The request as JSON content."""
        dumped = _adapter().dump_python(self, mode="json")
        if not isinstance(dumped, dict):
            raise BadEntry("A request must be a table", type(dumped).__name__)
        return dumped

    @classmethod
    def from_json(cls, content: Mapping[str, Any]) -> "PlanRequest":
        """The request that JSON content was made from.

        Raises
        ------
        BadEntry
            The content does not have the shape of a request.
        """
        from pydantic import ValidationError

        try:
            request: PlanRequest = _adapter().validate_python(dict(content))
        except ValidationError as trouble:
            raise BadEntry("A plan's request must have its shape", str(trouble)) from trouble
        return request


@cache
def _adapter() -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(PlanRequest)
