"""The strength of an extract brought to what a dose needs: as is, by mass, as the compound of the aim.

Promises to restate where it knows enough and to refuse where it does not: a strength without "as is" or
"dried", or reckoned as another compound than the aim, is never taken as it stands.
"""

from dataclasses import dataclass

from stillroom.answers.bounds import with_uncertainty
from stillroom.answers.budget import Stated, stated
from stillroom.answers.restating import as_compound_percent, as_is_percent, basis_of, mean_molar_mass_g_mol
from stillroom.errors import BadEntry, Phrase, UnknownName, worded
from stillroom.evidence.answer import Answer, reckoned
from stillroom.quantities.basis import Basis
from stillroom.substances.markers import molar_mass


@dataclass(frozen=True, slots=True)
class Strength:
    """A strength fit for dosing."""

    stated: Stated
    """As is, as the compound of the aim. [% w/w]"""
    basis: Basis
    notes: tuple[str, ...]
    """What was restated."""

    @property
    def answer(self) -> Answer:
        """The strength. [% w/w]."""
        return self.stated.answer


def strength_for(
    strength: Answer, aim: Answer, loss_on_drying: Answer | None = None, *, uncertainty_needed: bool = True
) -> Strength:
    """The strength of an extract as is, in the basis of an aim.

    Parameters
    ----------
    strength : Answer
        With its basis in words. [% w/w]
    aim : Answer
        With its basis in words. [% w/w]
    loss_on_drying : Answer, optional
        Of the extract; needed when its strength is on the dried extract. [% w/w]
    uncertainty_needed : bool
        False where only a middle is asked (a what-if). [yes or no]

    Returns
    -------
    Strength
        Restated, with what was restated. [% w/w]

    Raises
    ------
    BadEntry
        A part of a basis is missing, or the two cannot be brought together.
    """
    have, want = basis_of(strength.basis), basis_of(aim.basis)
    if strength.unit != "%" or not 0.0 < strength.value <= 100.0:
        raise BadEntry(
            "The strength of an extract must lie between 0 and 100 %",
            f"{strength.value:g} {strength.unit}".strip(),
        )
    _refuse_incomplete(have, want)
    notes: list[str] = []
    answer = strength
    if have.matter == "dried":
        if loss_on_drying is None:
            raise BadEntry(
                "A strength of the dried extract needs the loss on drying of the extract",
                f"{strength.value:g} % {strength.basis}",
                "Measure it, or give the strength as is",
            )
        answer = reckoned(
            f"{strength.name}, as is",
            as_is_percent,
            unit="%",
            basis=have.with_(matter="as is").in_words(),
            inputs={"dried_percent": strength, "loss_on_drying_percent": loss_on_drying},
            says="the dried extract holds more than what stands in the jar",
        )
        notes.append(
            f"The strength was on the dried extract; as is it is {answer.value:.4g} %: more is needed."
        )
    if _folded(have.reckoned_as) != _folded(want.reckoned_as):
        answer = _restated(answer, have.with_(matter="as is"), str(want.reckoned_as))
        notes.append(
            f"It was expressed as {have.reckoned_as}; as {want.reckoned_as} it is {answer.value:.4g} %."
        )
    kept = stated(answer)
    if uncertainty_needed:
        with_uncertainty(kept.answer)
    return Strength(kept, basis_of(answer.basis), tuple(notes))


def _refuse_incomplete(have: Basis, want: Basis) -> None:
    for what, basis in (("strength of the extract", have), ("aim", want)):
        if basis.ratio != "w/w":
            raise BadEntry(
                worded("The {what} must be by mass (w/w)", what=Phrase(what)),
                basis.in_words() or "no basis",
                "Say w/w",
            )
        if basis.reckoned_as is None:
            raise BadEntry(
                worded("The {what} must say as which compound it is expressed", what=Phrase(what)),
                basis.in_words() or "no basis",
                'Write for example "as quinine"',
            )
    if have.matter is None:
        raise BadEntry(
            "The strength of an extract must say whether it is as is or dried",
            have.in_words(),
            'Write "of extract, as is", or "of extract, dried" with its loss on drying',
        )
    if have.of is not None and want.of is not None and _folded(have.of) != _folded(want.of):
        raise BadEntry(
            "Strength and aim must count the same thing",
            worded("{of} and {of_two}", of=have.of, of_two=want.of),
            "Restate one of them",
        )


def _restated(answer: Answer, have: Basis, compound: str) -> Answer:
    return reckoned(
        f"{answer.name}, as {compound}",
        as_compound_percent,
        unit="%",
        basis=have.with_(reckoned_as=compound).in_words(),
        inputs={
            "percent": answer,
            "molar_mass_g_mol": _mass_of(str(have.reckoned_as)),
            "compound_molar_mass_g_mol": _mass_of(compound),
        },
        says=f"the same moles, each taken as {compound}",
    )


def _mass_of(compound: str) -> Answer:
    words = compound.removeprefix("the ").removeprefix("mean of ")
    try:
        if compound.removeprefix("the ").startswith("mean of ") and " and " in words:
            first, _, second = words.partition(" and ")
            return reckoned(
                f"molar mass, {compound}",
                mean_molar_mass_g_mol,
                unit="g/mol",
                inputs={
                    "first_molar_mass_g_mol": molar_mass(first),
                    "second_molar_mass_g_mol": molar_mass(second),
                },
            )
        return molar_mass(compound)
    except UnknownName as trouble:
        raise BadEntry(
            "Two contents expressed as different compounds need the molar mass of each",
            f"{compound!r}: {trouble.sentence}",
            "Give the strength as the compound of the aim",
        ) from trouble


def _folded(words: str | None) -> str:
    return " ".join((words or "").casefold().split())
