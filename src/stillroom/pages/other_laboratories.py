"""The laboratories that lie beside this one, as a page."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import page_facts
from stillroom.actions.house.other_laboratories import laboratories_beside
from stillroom.documents.blocks import Page, Prose, Table
from stillroom.texts.catalogue import t


def show_others(lab: Laboratory) -> Page:
    """The laboratories that lie beside this one, and which of them is practice."""
    rows = tuple(
        (
            one.name or t("cannot be read"),
            t("practice: invented data") if one.practice else t("in earnest"),
            str(one.entries),
            one.folder.name,
            t("open") if one.is_open else t("closed"),
        )
        for one in laboratories_beside(lab.folder, opened=lab.folder)
    )
    blocks = (
        Table((t("Laboratory"), t("Is"), t("Entries"), t("Folder"), t("Now")), rows, (2,)),
        Prose(t("Each is a folder with its own book; nothing goes from one into another."), quiet=True),
    )
    return Page(
        t("Laboratories here"), "laboratory", "", blocks, **page_facts(lab), href="/laboratory/others",
        lead=t("The practice laboratory is for trying things out. Your own stays apart from it."),
    )  # fmt: skip
