"""A precipitate test is entered as it was seen: the outcome follows from sample, controls and reagent."""

from dataclasses import dataclass
from difflib import get_close_matches

from stillroom.actions.book.acts import Act
from stillroom.actions.book.laboratory import Done
from stillroom.actions.shelf.reagent_dates import use_by_of
from stillroom.actions.testing.reagent_bottles import failed_before_use
from stillroom.answers.control_test import read_control_test
from stillroom.asking.entries import needed, taken
from stillroom.asking.readers import OneOf, Words
from stillroom.asking.said import Said
from stillroom.errors import BadEntry, worded
from stillroom.records.entries import ControlTestRead
from stillroom.records.lots import Status
from stillroom.reference.tables import table
from stillroom.store.book_writer import BookWriter
from stillroom.substances.reagents import reagent_key
from stillroom.texts.catalogue import later, t

SEEN = OneOf(
    {
        "precipitate": later("a precipitate"),
        "clear": later("clear"),
        "unclear": later("unclear"),
        "not done": later("not done"),
    },
    must=later("What was seen is a precipitate, clear, unclear or not done"),
    do=later("Look at all three side by side"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen(Said):
    """Which reagent it was, and what was seen."""

    test: str = taken(
        "", Words(), label=later("Test"), folded=True, help="Key of the reagent; that of its lot where left out."
    )  # fmt: skip
    reagent: str = needed(
        Words(), label=later("Reagent"), offers="reagent", hint=later("Released and in date, or nothing counts"),
        help="Lot of the reagent.",
    )  # fmt: skip
    sample: str = needed(SEEN, label=later("The sample gave"), help="Seen in the sample.")
    blank: str = needed(SEEN, label=later("The blank gave"), help="Seen without sample.")
    positive: str = needed(
        SEEN, label=later("The positive control gave"), help="Seen in what surely holds some."
    )


def _write(pen: BookWriter, lot: str, said: Seen) -> Done:
    """Enter what was seen; it counts only with blank, positive control and a reagent released and in date."""
    look = pen.look
    look.lot(lot)
    reagent = look.lot(said.reagent)
    key = reagent_key(reagent.substance)
    test = (reagent_key(said.test) or said.test) if said.test else key
    if not key:
        names = [one.key for one in table("reagents").rows]
        raise BadEntry(
            "A test is done with its reagent",
            worded("{reagent}, which is {substance}", reagent=said.reagent, substance=reagent.substance),
            worded(
                "Choose the bottle it was dropped from; a bought one is received under the name of its test: {names}",
                names=", ".join(get_close_matches(reagent.substance.casefold(), names, 3, 0.5) or names),
            ),
            where="reagent",
        )
    if key != test:
        raise BadEntry(
            worded("The reagent of this test is {test}", test=test),
            worded("{reagent}, which is {substance}", reagent=said.reagent, substance=reagent.substance),
            where="reagent",
        )
    rule = use_by_of(look, reagent)
    found = read_control_test(
        test,
        sample=said.sample,
        blank=said.blank,
        positive_control=said.positive,
        reagent_released=look.status(said.reagent) is Status.RELEASED,
        reagent_use_by=rule.last_day if rule else None,
        use_by_rule=rule.says if rule else "",
        reagent_failed=failed_before_use(look, said.reagent),
        tested_on=said.today.isoformat(),
    )
    says = " ".join((found.because, *found.lore))
    seen = (said.sample, said.blank, said.positive)
    number = pen.enter(ControlTestRead(lot, test, said.reagent, *seen, found.outcome, says))
    told = t("{test} on {lot}: {outcome}. {says}", test=test, lot=lot, outcome=found.outcome, says=says)
    return Done((number,), told)


read_test = Act(
    name="precipitate",
    action="read test",
    said=Seen,
    writes=_write,
    help="A test on LOT that counts only with blank, positive control and a reagent in date.",
    title=later("Precipitate test"),
    called=later("Precipitate test"),
    lead=later("All three side by side, in the same light. The outcome is calculated from what was seen."),
    button=later("Save what was seen"),
    address="/test/{code}/control",
    cautions=("missing-control", "assay-aliquots"),
    quiet=False,
)
