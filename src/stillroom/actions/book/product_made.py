"""What a batch of a formula is made as: for an order, or of its procedure alone where nobody ordered it."""

from dataclasses import dataclass

from stillroom.errors import BadEntry, worded
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
    nominal_ml: float
    """Content of one bottle; 0 while nobody said. [mL]"""
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
            order.product, order.formula, order.product_type, order.market, order.nominal_ml, order, ordered
        )
    filled = look.fillings(batch)
    return ProductMade(
        procedure.title,
        procedure.code,
        procedure.product_type,
        HOME_MARKET,
        filled[-1].body.nominal_ml if filled else 0.0,
        None,
        filled[-1].entry_no if filled else 0,
    )


def nominal_needed(made: ProductMade, batch: str) -> float:
    """The content of one bottle.

    Raises
    ------
    BadEntry
        Nobody has said it.
    """
    if made.nominal_ml > 0:
        return made.nominal_ml
    raise BadEntry(
        "Bottles have a nominal content",
        worded("{batch}, made for no order, and nothing said", batch=batch),
        'Say how much a bottle holds: "100 mL"',
        where="nominal",
    )
