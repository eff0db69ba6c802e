"""What kept answers still leave to find out, as a part of the bench."""

from stillroom.actions.keeping_answers import to_find_out
from stillroom.documents.blocks import Block, Cell, Heading, Link, Prose, Table
from stillroom.documents.doors import opened_at
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def to_find_out_blocks(look: Reader) -> list[Block]:
    """Things to find out, the answers they belong to, and where to say them; nothing when there are none."""
    found = to_find_out(look)
    if not found:
        return []
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            Link(one.what, opened_at(one.question, one.asked, one.field)),
            one.taken,
            one.effect,
            Link(
                one.order or one.title, f"/orders/{one.order}" if one.order else f"/ask/kept/{one.entry_no}"
            ),
        )
        for one in found
    )
    return [
        Heading(t("To find out")),
        Prose(
            t("Taken for the answer because nobody had said it. Measure it, or say what you know."),
            quiet=True,
        ),
        Table((t("What"), t("Taken as"), t("What it does"), t("For")), rows),
    ]
