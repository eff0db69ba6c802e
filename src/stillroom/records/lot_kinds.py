"""Kinds of lot: one entry each, with everything the house has to know of it.

A place that treats lots apart reads a trait and names no kind, so that a new kind is one entry here. The book keeps the
first word of an entry alone. Says nothing about how a trait is served: that stands in the rooms that read it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, TypeAlias, get_args

from stillroom.records.procedures import Purpose

CountedIn: TypeAlias = Literal["ug", "piece"]
ComesIn: TypeAlias = Literal["received", "as an ingredient", "made here"]
MadeAs: TypeAlias = Literal[Purpose, "beside", "waste", ""]
ByVolume: TypeAlias = Literal["spirit", "water", "acid", ""]
Spirit: TypeAlias = Literal["stock", "recovered", "with extract", "spent", ""]
Carrier: TypeAlias = Literal["plant", "extract", "ingredient", ""]
Tested: TypeAlias = Literal["drying", "assay", "controls", "strength", "another laboratory", "trial"]
ReleasedOn: TypeAlias = Literal["identity", "release list", "trial", "papers", "nothing"]
Paper: TypeAlias = Literal["certificate", "label", "trace", "bottle"]
Spoils: TypeAlias = Literal["by its date", "by its rules", "never"]
UsedTo: TypeAlias = Literal["make", "test", "pack"]


@dataclass(frozen=True, slots=True)
class Traits:
    """What is true of every lot of a kind."""

    counted_in: CountedIn = "ug"
    """Whole micrograms, or pieces."""
    comes_in: ComesIn = "received"
    """How it gets into the book: received under its own name, or received as an ingredient, or by a batch alone."""
    by_volume: ByVolume = ""
    """By whose density a volume that is received becomes a mass; "" where it is weighed."""
    made_as: MadeAs = ""
    """How a batch gives it: by the purpose of its procedure, "beside" what was wanted, "waste"; "" where it
    is bought."""
    spirit: Spirit = ""
    """Ethanol in it that the account of spirit follows: "stock", "recovered", "with extract", "spent"; "" for
    none."""
    carrier: Carrier = ""
    """What its content is a share of, in one word; "" where no content is found in it."""
    tested_by: tuple[Tested, ...] = ()
    """What can be read or tested of it."""
    released_on: ReleasedOn = "papers"
    """What a release rests on; "nothing" for what is never released."""
    papers: tuple[Paper, ...] = ()
    """What can be printed of it; "bottle" for the label and the certificate of a bottle of reagent."""
    spoils: Spoils = "by its date"
    """What ends its life, and the life of what is made from it."""
    used_to: UsedTo = "make"
    counts_germs: bool = False
    """Whether a count of microbes may be shown of it: what it brings, what is made from it holds."""
    traced: bool = False
    """Whether it stands where a trace begins."""

    @property
    def is_clear(self) -> bool:
        """Whether nothing is dissolved in it, so that an alcoholometer or a density tells its strength."""
        return self.spirit in ("stock", "recovered")

    @property
    def holds_spirit(self) -> bool:
        """Whether it may stand on the shelf with ethanol worth an account."""
        return self.spirit in ("stock", "recovered", "with extract")

    @property
    def is_wanted(self) -> bool:
        """Whether it is what a procedure is for, rather than what comes out beside it."""
        return self.made_as in get_args(Purpose)

    @property
    def on_release_list(self) -> bool:
        """Whether a list of lines has to be closed before it is released."""
        return self.released_on == "release list"


class LotKind(StrEnum):
    """What a lot is: the word that is kept, and its traits."""

    PLANT = "plant material", Traits(
        carrier="plant", tested_by=("drying", "assay"), released_on="identity", traced=True,
    )  # fmt: skip
    SPIRIT = "spirit", Traits(by_volume="spirit", spirit="stock", tested_by=("strength",))
    SOLVENT = "solvent", Traits(by_volume="acid")
    REAGENT = "reagent", Traits(
        by_volume="acid", made_as="reagent", tested_by=("trial",), released_on="trial", papers=("bottle",),
        spoils="by its rules", used_to="test",
    )  # fmt: skip
    INGREDIENT = (
        "ingredient",
        Traits(carrier="ingredient", tested_by=("another laboratory",), counts_germs=True),
    )
    WATER = "water", Traits(by_volume="water", counts_germs=True)
    PACKAGING = "packaging", Traits(counted_in="piece", spoils="never", used_to="pack")
    EXTRACT = "extract", Traits(
        comes_in="as an ingredient", made_as="extraction", spirit="with extract", carrier="extract",
        tested_by=("drying", "assay"), released_on="release list", papers=("certificate", "trace"), counts_germs=True,
        traced=True,
    )  # fmt: skip
    RECOVERED = "recovered liquid", Traits(
        by_volume="spirit", made_as="beside", spirit="recovered", tested_by=("strength",), counts_germs=True,
    )  # fmt: skip
    PRODUCT = "product", Traits(
        counted_in="piece", comes_in="made here", made_as="formula", tested_by=("controls",),
        released_on="release list", papers=("certificate", "label"), counts_germs=True, traced=True,
    )  # fmt: skip
    SPENT = "marc and waste", Traits(
        comes_in="made here", made_as="waste", spirit="spent", released_on="nothing",
    )  # fmt: skip

    traits: Traits

    def __new__(cls, word: str, *traits: Traits) -> "LotKind":
        """One entry of the table."""
        kind = str.__new__(cls, word)
        kind._value_ = word
        (kind.traits,) = traits
        return kind


def kinds_that(have: Callable[[Traits], bool]) -> tuple[LotKind, ...]:
    """Kinds with a trait.

    Parameters
    ----------
    have : callable
        Whether the traits are those that are looked for.
    """
    return tuple(kind for kind in LotKind if have(kind.traits))


MADE_AS = {kind.traits.made_as: kind for kind in LotKind if kind.traits.made_as}
"""The kind that a batch gives as each of these."""
