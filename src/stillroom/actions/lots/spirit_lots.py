"""What spirit on the shelf may be used for.

Promises that recovered spirit remembers its plant and is offered for that plant only, and that spirit with an unknown
denaturant goes into nothing that is made. A person may still use recovered spirit otherwise, with a reason that stands
as a deviation.
"""

from stillroom.actions.lots.ethanol_known import EthanolKnown
from stillroom.actions.shelf.plant_at_hand import plants_of as plants_of
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.planning.route import is_spirit
from stillroom.records.lots import Lot
from stillroom.records.procedures import Line
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

NOT_DENATURED = frozenset(
    {
        "",
        "no",
        "none",
        "nothing",
        "not denatured",
        "undenatured",
        "pure",
        "non",
        "rien",
        "aucun",
        "non dénaturé",
    }
)
"""What people write where a spirit holds no denaturant."""


def plant_of_batch(look: Reader, batch: str) -> str:
    """The plant a batch extracts; "" where it extracts none."""
    return look.procedure_of(batch).plant


def is_recovered_spirit(lot: Lot, line: Line) -> bool:
    """Whether a lot came back from a batch and the line wants spirit."""
    return lot.kind.traits.spirit == "recovered" and is_spirit(line)


def refuse_spirit_nobody_knows(look: Reader, lot: Lot) -> None:
    """Refuse what came back from a batch and is no spirit, or of a strength that nobody knows.

    Raises
    ------
    NotAllowed
    """
    share = EthanolKnown(look).share(lot.code)
    if not share.by_mass:
        raise NotAllowed(
            "Recovered spirit is used with its strength known",
            f"{lot.code}: {share.says}",
            "Read its strength, or take another lot",
        )


def crossing_over(look: Reader, lot: Lot, batch: str) -> str:
    """Why recovered spirit is not for a batch: it carries the odour and actives of its plant; "" where it fits."""
    plants, plant = plants_of(look, lot.code), plant_of_batch(look, batch)
    came = t("a batch whose plant nobody knows")
    if plants:
        came = plants[-1]
        for before in reversed(plants[:-1]):
            came = t("{first} and {last}", first=before, last=came)
    if not plant:
        return t(
            "recovered from {came}: only for extracting that plant again, never straight into a product",
            came=came,
        )
    if plants != (plant,):
        return t(
            "recovered from {came}: not for {plant}, since odour and actives cross over",
            came=came,
            plant=plant,
        )
    return ""


def refuse_unknown_denaturant(lot: Lot) -> None:
    """Refuse spirit whose denaturant nobody knows for anything that is made.

    Raises
    ------
    NotAllowed
    """
    if lot.denaturant_is_unknown:
        raise NotAllowed(
            "Spirit whose denaturant is unknown is not for products",
            worded("{lot_code}, denatured with something nobody knows", lot_code=lot.code),
            "Keep it apart and ask the supplier what is in it; it may hold methanol and is not burned either",
        )


def denaturant_said(text: str) -> str:
    """The denaturant that was named; "" where somebody wrote that there is none.

    Parameters
    ----------
    text : str
        "denatonium benzoate", "unknown", "not denatured".
    """
    words = " ".join(text.casefold().split()).strip(" .-–")
    return "" if words in NOT_DENATURED else text.strip()


def refuse_unsaid_denaturant(lot: Lot) -> None:
    """Refuse a receipt of denatured spirit that does not say with what.

    Raises
    ------
    BadEntry
    """
    told = f"{lot.substance} {lot.name} {lot.stated}".lower()
    if lot.kind.traits.is_clear and not lot.denatured_with and ("denatured" in told or "methylated" in told):
        raise BadEntry(
            "Denatured spirit names its denaturant",
            "none",
            'Write it as on the label; "unknown" if it does not say: then it is not used here until the supplier says',
            where="denatured with",
        )
