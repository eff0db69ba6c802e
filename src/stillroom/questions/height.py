"""How high above the sea something boils, as every question asks it: said, noted in the book, or taken as the sea."""

from collections.abc import Callable
from typing import Any

from stillroom.asking.entries import Assumption, maybe
from stillroom.asking.readers import Figure
from stillroom.asking.said import Said
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.texts.catalogue import later, t


def altitude_taken(_: object, said: Said) -> str:
    """The height that stands in the book, or the sea."""
    noted = said.house.get("altitude")
    return noted.as_written if noted else "0 m"


def altitude_because(_: object, said: Said) -> str:
    """Why that height is taken."""
    noted = said.house.get("altitude")
    if noted is None:
        return t("the sea, since nobody said")
    return t("noted on {at}, entry {entry_no}", at=noted.at[:10], entry_no=noted.entry_no)


def altitude_said(
    what: str, effect: str, share: float, counts: Callable[[Any, Any], bool] | None = None
) -> Answer | None:
    """The entry of the altitude; ``height`` gives what is taken where nobody says it.

    Parameters
    ----------
    what, effect : str
        What nobody said, and what it does to the answer.
    share : float
        Part of the answer it moves. [1]
    counts : function or None
        Whether the answer stands on it.
    """
    return maybe(
        Figure(of="altitude", symbol="m", unit="m", low=-450.0, high=5000.0, zero=True, negative=True),
        label=later("Altitude"), folded=True, house="altitude", help='Height above the sea: "1200 m".',
        unsaid=Assumption(what, altitude_taken, altitude_because, effect, share, counts),
    )  # fmt: skip


def height(altitude: Answer | None, said: Said) -> Answer:
    """Above the sea: said, noted in the book, or taken. [m]."""
    if altitude is not None:
        return altitude
    noted = said.house.get("altitude")
    if noted is None:
        return assumed("altitude", 0.0, "m", "the sea, since nobody said")
    return reading("altitude", noted.value, "m", f"noted, entry {noted.entry_no}", entry_no=noted.entry_no)
