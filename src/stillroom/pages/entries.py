"""The journal, a page at a time: the newest entry first, of a kind, about a code or by a person."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.correcting.entries import correction_in_hand
from stillroom.documents.blocks import Block, Page, Prose, Table
from stillroom.documents.entry_words import told
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.pages.stock import entries_table
from stillroom.texts.catalogue import t


def show_entries(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Entries as they were written, corrected ones kept in sight.

    Parameters
    ----------
    wanted : Wanted
        What is searched for is a code.
    """
    about = wanted.about or wanted.words
    with lab.look() as look:
        found, count = look.entries_page(kind=wanted.kind, about=about, by=wanted.by, first=wanted.first)
        blocks: list[Block] = [
            *finder(wanted, "/entries", len(found), count, kinds=look.entry_kinds()),
            entries_table(found),
        ]
        title = t("Entries about {code}", code=about) if about else t("Entries")
        lead = t("The newest first. To see those about one lot, batch or order, search for its code.")
        href = wanted.address("/entries")
        return Page(title, "entries", "", tuple(blocks), **facts_of(look), lead=lead, href=href)


def show_lines(lab: Laboratory, entry_no: int) -> Page:
    """What an entry says, line by line, each under the name it is corrected by.

    Raises
    ------
    NotAllowed
        Entries of that kind are not corrected, or this one was.
    """
    entry, fields, follows = correction_in_hand(lab, entry_no)
    rows = tuple((one.name.removeprefix("mass "), one.says) for one in fields)
    with lab.look() as look:
        return Page(
            t("Entry {entry_no}", entry_no=entry_no),
            "entry",
            str(entry_no),
            (Prose(t(follows)), Table((t("Line"), t("It says")), rows)),
            **facts_of(look),
            lead=told(entry.body),
            href=f"/entries/{entry_no}",
        )
