"""Whether a plant is the species and part it is called is decided by somebody competent, on evidence."""

from dataclasses import dataclass

from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Done
from stillroom.asking.entries import Flag, needed, taken
from stillroom.asking.readers import OneOf, Own, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, NotAllowed
from stillroom.products.release_lines import says_nothing
from stillroom.records.entries import IdentityDecided
from stillroom.records.lots import Lot, Status
from stillroom.records.written_values import names_nothing
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t


def _evidence(text: str, where: str) -> str:
    """What was compared with what: "ok" names nothing that was."""
    if names_nothing(text):
        raise BadEntry(
            "Identity is decided on evidence", repr(text[:40]), "Say what was compared with what", where=where
        )
    return text


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity(Said):
    """What was decided, and on what."""

    accepted: str = needed(
        OneOf(
            {"yes": later("the species and part it is called"), "no": later("not what it is called")},
            must=later("Identity is accepted or not"), do=later("Choose one"),
        ),
        label=later("It is"), flags={"not": Flag("no", "It is not what it is called.")}, usual="yes",
    )  # fmt: skip
    evidence: str = needed(
        Own(_evidence, "long"), label=later("On what evidence"), hint=later("What was compared with what"),
        must=later("Identity is decided on evidence"), do=later("Say what was compared with what"),
        help="What was compared with which reference.",
    )  # fmt: skip
    voucher: str = taken("", Words(), label=later("Voucher specimen"), help="Voucher specimen.")


def _write(pen: BookWriter, lot: str, said: Identity) -> Done:
    """Write what was decided of a plant."""
    if pen.look.lot(lot).kind.traits.released_on != "identity":
        raise NotAllowed("Identity is decided for plant material", lot, "Release other lots by their papers")
    accepted = said.accepted == "yes"
    number = pen.enter(IdentityDecided(lot, accepted, said.evidence, said.voucher))
    told = (
        t("{lot} is accepted as what it is called.", lot=lot)
        if accepted
        else t("{lot} is not what it is called; it stays waiting.", lot=lot)
    )
    return Done((number,), told)


def identity_stands(look: Reader, code: str) -> bool:
    """Whether the identity of a plant lot is accepted, on evidence that says what it was compared with.

    Parameters
    ----------
    code : str
        Of the lot. [text]
    """
    decided = look.identities(code)
    return bool(decided) and decided[-1].body.accepted and not says_nothing(decided[-1].body.evidence)


def _stands(look: Reader, lot: Lot) -> str:
    waits = lot.kind.traits.released_on == "identity" and look.status(lot.code) is Status.WAITING
    return t("Decide what it is") if waits and not identity_stands(look, lot.code) else ""


decide_identity = Act(
    name="identity",
    action="decide identity",
    said=Identity,
    writes=_write,
    help="Whether the plant LOT is the species and part it is called, and on what evidence.",
    title=later("Is it the right plant?"),
    stands=_stands,
    button=later("Save the decision"),
    address="/stock/{code}/identity",
    cautions=("wrong-plant",),
    quiet=False,
)
