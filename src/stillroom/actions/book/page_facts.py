"""What every page says of itself: whose laboratory, whether it is for practice, and which book it was made from."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.documents.blocks import PageFacts
from stillroom.store.reader import Reader


def page_facts(lab: Laboratory) -> PageFacts:
    """Name, practice stamp, date of the last entry and the first digits of the book's digest."""
    with lab.look() as look:
        return facts_of(look)


def facts_of(look: Reader) -> PageFacts:
    """The same, from a book already open for reading."""
    begun = look.book()
    head = look.head
    last = look.entry(head.entry_no)
    return PageFacts(
        practice=begun.practice,
        laboratory=begun.laboratory,
        date=last.done_at[:10],
        book=f"{head.digest[:10]} at entry {head.entry_no}",
    )
