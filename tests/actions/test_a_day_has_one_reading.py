"""A day in any wording that has one reading is the same day at every door; one that has two is asked back."""

import random
from datetime import date, timedelta

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.lots.receiving import receive_lot
from stillroom.errors import BadEntry
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.written_values import iso_date

IN_WORDS = {
    1: ("Jan", "January", "janvier", "Januar"),
    2: ("Feb", "February", "février", "Februar"),
    3: ("Mar", "March", "mars", "März"),
    4: ("Apr", "April", "avril", "April"),
    5: ("May", "MAY", "mai", "Mai"),
    6: ("Jun", "June", "juin", "Juni"),
    7: ("Jul", "July", "juillet", "Juli"),
    8: ("Aug.", "August", "août", "August"),
    9: ("Sept", "September", "septembre", "September"),
    10: ("Oct", "October", "octobre", "Oktober"),
    11: ("Nov.", "November", "novembre", "November"),
    12: ("Dec", "December", "décembre", "Dezember"),
}


def wordings(day: date) -> list[str]:
    said = [f"{day:%Y-%m-%d}", f"{day:%Y/%m/%d}", f"{day:%Y%m%d}", f"{day:%d.%m.%Y}"]
    said += [f"{day.day}.{day.month}.{day.year}", f"{day.day}. {day.month}. {day.year}"]
    for name in IN_WORDS[day.month]:
        said += [
            f"{day.day} {name} {day.year}",
            f"{day.day:02d}-{name}-{day.year}",
            f"{day.day}. {name} {day.year}",
        ]
    if day.day > 12 or day.day == day.month:
        said += [f"{day:%d/%m/%Y}", f"{day:%m/%d/%Y}", f"{day.day}-{day.month}-{day.year}"]
    return said


def test_a_day_said_otherwise_is_the_same_day() -> None:
    rng = random.Random(1)
    for _ in range(400):
        day = date(2026, 1, 1) + timedelta(days=rng.randrange(2000))
        for text in wordings(day):
            assert iso_date(text, "due") == day.isoformat(), text


@pytest.mark.parametrize("text", ["1/2/2027", "03-04-2027", "12/11/2027"])
def test_a_day_with_two_readings_is_asked_back(text: str) -> None:
    with pytest.raises(BadEntry, match="one reading"):
        iso_date(text, "use by")


@pytest.mark.parametrize(
    "text",
    ["soon", "2027", "29 Ju 2027", "29 Ma 2027", "29.1.27", "31 April 2027", "32.1.2027", "1 Brumaire 2027"],
)
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(BadEntry) as refusal:
        iso_date(text, "use by")

    assert refusal.value.where == "use by"
    assert refusal.value.do


def test_a_lot_is_received_and_corrected_with_a_day_in_words(lab: Laboratory) -> None:
    lot = Lot("GLY-9", LotKind.INGREDIENT, "glycerin", "glycerin", use_by="30 Sep 2027")
    done = receive_lot(lab, lot, "500 g", by="TO")
    with lab.look() as look:
        assert look.lot("GLY-9").use_by == "2027-09-30"
    put_right(lab, done.entries[0], {"use by": "1 October 2027"}, why="misread", by="TO")
    with lab.look() as look:
        assert look.lot("GLY-9").use_by == "2027-10-01"
