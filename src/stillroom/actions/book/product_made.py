"""What a batch of a formula is made as, for an order or of its procedure alone; and how its bulk was filled.

Fillings follow one another: what was filled is a sum, what is left over is what the last one left.
"""

from dataclasses import dataclass, replace

from stillroom.errors import BadEntry, worded
from stillroom.quantities.content import NO_CONTENT, Content
from stillroom.records.entries import Entry, UnitsFilled
from stillroom.records.orders import Order
from stillroom.store.reader import Reader

HOME_MARKET = "EU"


@dataclass(frozen=True, slots=True)
class ProductMade:
    """What is in the bottles, apart from its figures."""

    name: str
    """As it stands on the label."""
    formula: str
    """Code of its procedure."""
    product_type: str
    market: str
    each: Content
    """What a bottle holds; nothing while nobody said."""
    order: Order | None
    entry_no: int
    """Entry the content of a bottle stands in; 0 while nobody said."""

    @property
    def is_dosed(self) -> bool:
        """Whether an order asks for an active by its strength."""
        return self.order is not None and self.order.aim.percent > 0


def product_of(look: Reader, batch: str) -> ProductMade:
    """What a batch is made as.

    Parameters
    ----------
    batch : str
        Of a formula.
    """
    begun = look.batch(batch)
    procedure = look.procedure_of(batch)
    if begun.order:
        order = look.order(begun.order)
        ordered = look.entries(kind="order taken", subject=order.code)[-1].entry_no
        return ProductMade(
            order.product, order.formula, order.product_type, order.market, order.content, order, ordered
        )
    filled = look.fillings(batch)
    return ProductMade(
        procedure.title,
        procedure.code,
        procedure.product_type,
        HOME_MARKET,
        filled[-1].body.each if filled else NO_CONTENT,
        None,
        filled[-1].entry_no if filled else 0,
    )


def product_in(look: Reader, lot: str) -> ProductMade:
    """What a lot of bottles is made as: as its batch, each bottle of the size that its own filling says.

    Parameters
    ----------
    lot : str
        Of bottles; the batch may have filled others.
    """
    batch = look.lot(lot).made_by or lot
    made = product_of(look, batch)
    own = [one for one in look.fillings(batch) if one.body.lot.code == lot and one.body.each]
    return replace(made, each=own[-1].body.each, entry_no=own[-1].entry_no) if own else made


def content_needed(made: ProductMade, batch: str) -> Content:
    """The content of one bottle.

    Raises
    ------
    BadEntry
        Nobody has said it.
    """
    if made.each:
        return made.each
    raise BadEntry(
        "Bottles have a nominal content",
        worded("{batch}, made for no order, and nothing said", batch=batch),
        'Say how much a bottle holds: "100 mL", "30 g"',
        where="nominal",
    )


def fillings_in_turn(look: Reader, batch: str) -> tuple[Entry[UnitsFilled], ...]:
    """Fillings of a batch as they were done one after another; one put right keeps its place."""
    return tuple(sorted(look.fillings(batch), key=lambda one: turn_of(one.done_at, one.body.lot.code)))


def left_over_after(look: Reader, batch: str) -> tuple[tuple[Entry[UnitsFilled], float], ...]:
    """Fillings in their turn, each with how much more it left over than stood left over before it. [g]."""
    found = fillings_in_turn(look, batch)
    before = (0.0, *(one.body.left_over_g for one in found))
    return tuple((one, one.body.left_over_g - was_g) for one, was_g in zip(found, before, strict=False))


def out_of_bulk_g(look: Reader, batch: str) -> float:
    """What came out of a bulk: all that was filled, and what the last filling left over [g]."""
    return sum(one.body.filled_g + more_g for one, more_g in left_over_after(look, batch))


def turn_of(on: str, code: str) -> tuple[str, int, str]:
    """Where a filling stands among others: by its time, then by the number in the code of its lot."""
    return on, len(code), code
