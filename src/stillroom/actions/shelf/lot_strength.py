"""How strong a lot is, how that is known and how sure: what was read last, else what its label says.

Promises one answer for every caller (sheet, plan, account, certificate, label, flash point), whose trail leads to the
reading or the receipt in the book. A label that cannot be used as it stands says why, and is never half used.
"""

from dataclasses import dataclass

from stillroom.actions.shelf.titrants_in_date import FACTOR as TITRANT_FACTOR
from stillroom.actions.shelf.titrants_in_date import STRENGTH as TITRANT_STRENGTH
from stillroom.actions.shelf.titrants_in_date import last_set
from stillroom.answers.acid_stated import mass_percent_in_words
from stillroom.answers.acid_strength import mass_percent_from_moles
from stillroom.answers.spirit_stated import stated_strength, usual_thermometer
from stillroom.answers.spirit_strength import BASIS
from stillroom.errors import StillroomError
from stillroom.evidence.answer import Answer, reading
from stillroom.quantities.strength_words import read_strength
from stillroom.records.entries import Entry, ReadingTaken
from stillroom.records.lots import Lot, Status
from stillroom.store.looking import once
from stillroom.store.reader import Reader
from stillroom.substances.acids import acid_or_alkali, name_and_rest
from stillroom.substances.spirit_strengths import volume_percent_20c_of
from stillroom.substances.spirits import spirit_mass_fraction
from stillroom.texts.catalogue import t

READ_STRENGTH = "strength of the spirit"
"""What a reading of a lot's strength is called in the book. [% v/v at 20 °C]"""


@dataclass(frozen=True, slots=True)
class LotStrength:
    """How strong a lot is."""

    answer: Answer | None
    """With its doubt and its trail: of spirit [% v/v at 20 °C], of an acid or alkali [% w/w]; None where
    nothing says."""
    says: str
    """How it is known, or what is missing."""

    @property
    def ethanol_mass_fraction(self) -> float | None:
        """Ethanol by mass of spirit; None where nobody knows [g/g]."""
        return None if self.answer is None else float(spirit_mass_fraction(self.answer.value / 100.0))


@once
def strength_of_spirit(look: Reader, lot: Lot) -> LotStrength:
    """How strong a lot of spirit is: what was read last, else its label.

    Returns
    -------
    LotStrength
        [% v/v at 20 °C]
    """
    read = last_read(look, lot.code)
    if read is not None:
        body = read.body
        answer = reading(
            READ_STRENGTH, body.value, "%", f"{lot.code}, {body.as_written}, entry {read.entry_no}",
            entry_no=read.entry_no, standard_uncertainty=body.standard_uncertainty, basis=BASIS,
        )  # fmt: skip
        return LotStrength(
            answer, t("read: {percent:.1f} % v/v ({words})", percent=body.value, words=body.as_written)
        )
    if not lot.stated or not lot.kind.traits.is_clear:
        return LotStrength(None, t("{lot} says no strength: read it, and write it down", lot=lot.code))
    try:
        strength = read_strength(lot.stated, where=lot.code)
        where, entry_no = _receipt(look, lot.code)
        found = stated_strength(strength, usual_thermometer(), where=where, entry_no=entry_no)
    except StillroomError as trouble:
        return LotStrength(None, t("its label cannot be used: {trouble}", trouble=trouble.sentence))
    return LotStrength(found.answer, t("its label: {stated}", stated=lot.stated))


@once
def strength_of_acid(look: Reader, lot: Lot) -> LotStrength:
    """How strong a lot of acid or alkali is, by mass: as it was titrated last, else as its label says.

    Returns
    -------
    LotStrength
        [% w/w]
    """
    titrated = _titrated(look, lot)
    if titrated is not None:
        return titrated
    if not lot.stated:
        return LotStrength(None, t("{lot} says no strength: read it, and write it down", lot=lot.code))
    try:
        percent = mass_percent_in_words(lot.stated, lot.substance, where=lot.code)
    except StillroomError as trouble:
        return LotStrength(None, t("its label cannot be used: {trouble}", trouble=trouble.sentence))
    where, entry_no = _receipt(look, lot.code)
    answer = reading("strength on the label", percent, "%", where, entry_no=entry_no, basis="w/w")
    return LotStrength(answer, t("its label: {stated}", stated=lot.stated))


def _titrated(look: Reader, lot: Lot) -> LotStrength | None:
    """The strength of an acid or alkali by its factor, which was titrated against a primary standard."""
    nominal, last = last_set(look, lot.code, TITRANT_STRENGTH), last_set(look, lot.code, TITRANT_FACTOR)
    if nominal is None or last is None:
        return None
    by_name = nominal.body
    moles = by_name.value * last.body.value
    solute, _ = name_and_rest(lot.substance)
    try:
        molar_mass = acid_or_alkali(solute).molar_mass.value
        if by_name.unit == "mol/kg":
            percent = moles * molar_mass / 10.0
        else:
            percent = mass_percent_from_moles(moles, molar_mass, solute=solute)
    except StillroomError as trouble:
        return LotStrength(None, t("its label cannot be used: {trouble}", trouble=trouble.sentence))
    share = (last.body.standard_uncertainty or 0.0) / last.body.value
    answer = reading(
        "strength by titration", percent, "%", f"{lot.code}, its factor, entry {last.entry_no}",
        entry_no=last.entry_no, standard_uncertainty=percent * share, basis="w/w",
    )  # fmt: skip
    return LotStrength(answer, t("{moles} by titration", moles=f"{moles:.4g} {by_name.unit}"))


def last_read(look: Reader, code: str) -> Entry[ReadingTaken] | None:
    """The strength that was read last in a lot, by when it was done; None where nobody read one."""
    readings = look.readings(code, READ_STRENGTH)
    return max(readings, key=lambda one: (one.done_at, one.entry_no), default=None)


def strength_in_words(text: str) -> float:
    """A strength as a correction says it, on any basis and at any temperature it names. [% v/v at 20 °C].

    Parameters
    ----------
    text : str
        "80.2 % v/v", "74 % w/w", "83 % v/v at 31 °C by alcoholometer"; a bare figure is v/v at 20 °C.

    Raises
    ------
    BadEntry
        It is no strength.
    """
    return volume_percent_20c_of(read_strength(text, bare_ratio="v/v", where="reading"))


@once
def lot_in_use(look: Reader, batch: str, substances: frozenset[str]) -> Lot | None:
    """The lot a line of a batch is planned with: the one weighed into it, else the newest that may be used.

    Parameters
    ----------
    substances : frozenset of str
        Of the lines.

    Notes
    -----
    What belongs to a customer serves that customer's batches only; spirit with an unknown denaturant serves none.
    """
    weighed = weighed_in(look, batch, substances)
    if weighed is not None:
        return weighed
    begun = look.batch(batch)
    owners = {"ours", look.order(begun.order).customer if begun.order else "ours"}
    found = [one for one in lots_at_hand(look, substances) if one.owner in owners]
    return found[-1] if found else None


@once
def weighed_in(look: Reader, batch: str, substances: frozenset[str]) -> Lot | None:
    """The lot that was weighed into a batch for a line of some substances; None where none was.

    Parameters
    ----------
    substances : frozenset of str
        Of the lines.
    """
    names = {line.name for line in look.procedure_of(batch).lines if line.substance in substances}
    weighed = [
        one.lot
        for entry in look.steps(batch)
        for one in entry.body.weighings
        if one.direction == "in" and one.lot and one.line in names
    ]
    return look.lot(weighed[-1]) if weighed else None


@once
def lots_at_hand(look: Reader, substances: frozenset[str]) -> tuple[Lot, ...]:
    """Released lots of some substances that may be made something of; those with something on the shelf come last."""
    found = [
        one
        for one in look.lots(status=Status.RELEASED, substances=substances)
        if not one.denaturant_is_unknown
    ]
    standing = look.still_on_shelf([one.code for one in found])
    return tuple(sorted(found, key=lambda one: one.code in standing))


def _receipt(look: Reader, code: str) -> tuple[str, int | None]:
    entry = look.latest("lot received", code)
    return (
        (f"label of {code}, entry {entry.entry_no}", entry.entry_no) if entry else (f"label of {code}", None)
    )
