"""A present-or-absent test that counts only with its controls and a reagent that is in date and released.

Promises that nothing is called present or absent without a clear blank, a precipitating positive control
and a valid reagent. A failed control makes the test void, never negative. A single test is a screening: it
says which question to ask next, not how much is there.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

from stillroom.errors import BadEntry, worded
from stillroom.reference.cautions import caution_as_kept
from stillroom.substances.reagents import Reagent, day_of, reagent

Seen: TypeAlias = Literal["precipitate", "clear", "unclear", "not done"]
Outcome: TypeAlias = Literal["present", "absent", "unclear", "no result"]
SEEN: tuple[str, ...] = get_args(Seen)


@dataclass(frozen=True, slots=True)
class ControlTest:
    """What a test says, and why."""

    outcome: Outcome
    counts: bool
    """False when the outcome is "no result"."""
    because: str
    """One sentence."""
    lore: tuple[str, ...]
    """What deceives this reagent, and how far one test reaches."""
    caution: str = ""
    """The usual caution when a control is missing; empty otherwise."""


def read_control_test(
    reagent_key: str,
    *,
    sample: str,
    blank: str,
    positive_control: str,
    reagent_released: bool,
    reagent_use_by: str | None,
    tested_on: str,
    use_by_rule: str = "",
    reagent_failed: bool = False,
) -> ControlTest:
    """The outcome of a precipitate test with its controls.

    Parameters
    ----------
    reagent_key : str
        Key of the table ``reagents``. [text]
    sample, blank, positive_control : str
        What was seen: "precipitate", "clear", "unclear" or "not done". [text]
    reagent_released : bool
        Whether the lot of the reagent is released. [yes or no]
    reagent_use_by : str or None
        Last day it may be used; None when it was never given one. [ISO date]
    tested_on : str
        Day or moment of the test. [ISO date]
    use_by_rule : str
        Which rule gave that last day. [text]
    reagent_failed : bool
        Whether its own trial before use failed. [yes or no]

    Returns
    -------
    ControlTest
        Outcome and reason. [record]

    Raises
    ------
    BadEntry
        What was seen is none of the four words, or a date is not a date.
    UnknownName
        The reagent is not listed.
    """
    for name, seen in (("sample", sample), ("blank", blank), ("positive control", positive_control)):
        if seen not in SEEN:
            raise BadEntry(
                worded(
                    "What was seen in the {called} must be one of {seen}", called=name, seen=", ".join(SEEN)
                ),
                repr(seen),
            )
    known = reagent(reagent_key)
    day = day_of(tested_on)
    why_void = _void(known, blank, positive_control, reagent_released)
    if not why_void and reagent_failed:
        why_void = f"The reagent {known.name} failed its own controls when it was tried before use"
    if not why_void and reagent_use_by is None:
        why_void = f"The reagent {known.name} has no use-by date: nobody can say that it still works"
    if not why_void and reagent_use_by is not None and day > day_of(reagent_use_by):
        why_void = (
            f"The reagent {known.name} was past its use-by date ({reagent_use_by}"
            f"{', ' + use_by_rule if use_by_rule else ''}) on {day.isoformat()}"
        )
    if not why_void and sample == "not done":
        why_void = "The sample was not tested"
    if why_void:
        return ControlTest(
            "no result",
            False,
            f"{why_void}: no result.",
            _lore(known),
            caution_as_kept("missing-control").wording,
        )
    controls = "the blank stayed clear and the positive control gave its precipitate"
    if sample == "precipitate":
        said: Outcome = "present"
        because = f"The sample gave a precipitate with {known.name} ({known.positive}), {controls}."
    elif sample == "clear":
        said = "absent"
        because = (
            f"The sample stayed clear with {known.name}, {controls}: "
            f"{known.detects} below what this reagent can show."
        )
    else:
        said = "unclear"
        because = (
            f"The sample was unclear while {controls}: repeat it more concentrated, beside the same controls."
        )
    return ControlTest(said, True, because, _lore(known))


def _void(known: Reagent, blank: str, positive_control: str, released: bool) -> str:
    if not released:
        return f"The lot of the reagent {known.name} is not released"
    if blank == "not done":
        return "There was no blank"
    if blank == "precipitate":
        return "The blank gave a precipitate too, so the reagent or the glass is not clean"
    if blank == "unclear":
        return "The blank was not clear"
    if positive_control == "not done":
        return "There was no positive control"
    if positive_control != "precipitate":
        return "The positive control gave no precipitate, so the test is void, not negative"
    return ""


def _lore(known: Reagent) -> tuple[str, ...]:
    return (
        f"Can look present without being so: {known.false_positive}.",
        f"Can hide: {known.false_negative}.",
        f"Controls that serve: {known.controls}.",
        "One reagent is a screening. A claim needs a second reagent and a separation beside a reference.",
    )
