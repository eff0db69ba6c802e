"""What a percentage is a percentage of.

A basis says which two things are divided (w/w, w/v, v/v, v/w), what is counted, as which compound it is
reckoned, of what, and whether that was weighed as it is or dried. A part that was not stated stays empty and
is never taken as equal to one that was. Grams carry a basis too ("15 g as quinine"): then ``ratio`` is empty.
"""

import re
from dataclasses import dataclass, replace
from typing import Literal

from stillroom.errors import BadEntry
from stillroom.quantities.units import Ratio

Matter = Literal["as is", "dried"]

_PLANTS = """
    plant plants herb leaf leaves bark root roots rhizome flower flowers seed seeds fruit fruits peel wood
    drug needles buds bulb tuber petals husk
"""
_PRODUCTS = "product bulk cream lotion tonic gel serum shampoo soap mist balm formula mixture batch"
_EXTRACTS = "extract tincture resin residue concentrate"
PLANT_WORDS = frozenset(_PLANTS.split())
_EXTRACT_WORDS = frozenset(_EXTRACTS.split())
_PRODUCT_WORDS = frozenset(_PRODUCTS.split())
CARRIER_WORDS = (
    PLANT_WORDS
    | _EXTRACT_WORDS
    | _PRODUCT_WORDS
    | {"solution", "spirit", "liquid", "water", "sample", "ingredient"}
)
"""Words that name the whole a content is of, as against the thing that is counted."""
_AS_ITSELF = re.compile(r"(?<!\S)(\S(?:[^;]*?\S)?) as \1(?=[\s,;.:)]|$)", re.IGNORECASE)


def is_carrier(name: str) -> bool:
    """Whether a name ends in a word for a whole, so that "of" before it needs no explaining.

    Parameters
    ----------
    name : str
        Such as "hair tonic" [text].

    Returns
    -------
    bool
        True for "hair tonic", False for "lavender" [yes or no].
    """
    words = name.casefold().split()
    return bool(words) and words[-1] in CARRIER_WORDS


def counted_once(written: str) -> str:
    """A basis as it is printed: what is counted as itself is named once; the book keeps both.

    Parameters
    ----------
    written : str
        Such as "w/w rosmarinic acid as rosmarinic acid, of product" [text].

    Returns
    -------
    str
        "w/w rosmarinic acid, of product"; all else as it stands [text].
    """
    return _AS_ITSELF.sub(r"\1", written)


def carrier_kind(carrier: str | None) -> str | None:
    """Which kind of whole a word names.

    Parameters
    ----------
    carrier : str or None
        A word such as "bark", "dry extract", "hair tonic" [text].

    Returns
    -------
    str or None
        "plant", "extract", "product", or the word itself when it is none of these [text].
    """
    if carrier is None:
        return None
    words = carrier.casefold().split()
    for kind, known in (("product", _PRODUCT_WORDS), ("extract", _EXTRACT_WORDS), ("plant", PLANT_WORDS)):
        if words and words[-1] in known:
            return kind
    return " ".join(words)


@dataclass(frozen=True, slots=True)
class Basis:
    """What a content or an amount is reckoned on. Every part may be unstated (None)."""

    ratio: Ratio | None = None
    """What is divided by what; None for an amount in grams or millilitres [text]."""
    of: str | None = None
    """What is counted: "total alkaloids", "ethanol" [text]."""
    reckoned_as: str | None = None
    """The compound it is expressed as: "quinine", "mean of quinine and cinchonine" [text]."""
    matter: Matter | None = None
    """Whether the whole was weighed as it is or after drying [text]."""
    carrier: str | None = None
    """The whole: "extract", "bark", "product" [text]."""
    reference_temperature_c: float | None = None
    """The temperature at which volumes are meant [°C]."""
    form: str | None = None
    """One of "base", "acid" or "salt", where a rule names the form and no compound [text]."""

    def __post_init__(self) -> None:
        if self.ratio not in (None, "w/w", "w/v", "v/v", "v/w"):
            raise BadEntry("A basis must be w/w, w/v, v/v or v/w", repr(self.ratio))
        if self.matter not in (None, "as is", "dried"):
            raise BadEntry("Matter must be 'as is' or 'dried'", repr(self.matter))

    def in_words(self) -> str:
        """The basis the way the trade prints it.

        Returns
        -------
        str
            Such as "w/w total alkaloids as quinine, of extract, as is" [text].
        """
        head = [self.ratio or "", self.of or ""]
        if self.reckoned_as and self.form and self.form != self.reckoned_as:
            head.append(f"as {self.reckoned_as}, as {self.form}")
        elif self.reckoned_as or self.form:
            head.append(f"as {self.reckoned_as or self.form}")
        tail = [
            f"{'of' if is_carrier(self.carrier) else 'in'} {self.carrier}" if self.carrier else "",
            self.matter or "",
            f"at {self.reference_temperature_c:.12g} °C" if self.reference_temperature_c is not None else "",
        ]
        return ", ".join(part for part in (" ".join(part for part in head if part), *tail) if part)

    def with_(self, **changes: object) -> "Basis":
        """The same basis with some parts changed.

        Parameters
        ----------
        **changes
            Parts of the basis and their new content [as the attributes].

        Returns
        -------
        Basis
            A new basis [basis].
        """
        return replace(self, **changes)  # type: ignore[arg-type]

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all was stated."""
        return self == UNSTATED

    def differences(self, other: "Basis") -> tuple[str, ...]:
        """Name every part in which two bases differ; unstated differs from stated.

        Parameters
        ----------
        other : Basis
            The basis to hold against this one [basis].

        Returns
        -------
        tuple of str
            One short sentence part per difference, empty when they are the same [text].

        Notes
        -----
        A reference temperature counts wherever a volume may be meant. The carrier counts by kind:
        "bark" and "plant" are the same kind of whole.
        """
        found = []
        pairs: list[tuple[str, object, object]] = [
            ("ratio", self.ratio, other.ratio),
            ("what is counted", _folded(self.of), _folded(other.of)),
            ("counted as", _folded(self.reckoned_as), _folded(other.reckoned_as)),
            ("form", _folded(self.form), _folded(other.form)),
            ("matter", self.matter, other.matter),
            ("of", carrier_kind(self.carrier), carrier_kind(other.carrier)),
        ]
        if self.ratio != "w/w" or other.ratio != "w/w":
            pairs.append(("volumes at", _at(self), _at(other)))
        for name, mine, theirs in pairs:
            if mine != theirs:
                found.append(f"{name}: {mine or 'not stated'} against {theirs or 'not stated'}")
        return tuple(found)


UNSTATED = Basis()
"""The basis of a quantity that states none."""


def _folded(text: str | None) -> str | None:
    return None if text is None else " ".join(text.casefold().split())


def _at(basis: Basis) -> str | None:
    at = basis.reference_temperature_c
    return None if at is None else f"{at:g} °C"
