"""Markers, plants and ingredients of one's own, as a page."""

from collections.abc import Iterable, Iterator
from urllib.parse import quote

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.documents.blocks import Block, Empty, Heading, Link, Page, Table
from stillroom.records.own_from_yaml import Kind, OwnThing, own_to_fields
from stillroom.substances.own import (
    Stated,
    each_once,
    own,
)
from stillroom.texts.catalogue import later, t


def show_own(lab: Laboratory) -> Page:
    """Every marker, plant and ingredient of one's own, with what is known of it and where it was stated."""
    with lab.look() as look:
        mine = own()
        held: tuple[tuple[Kind, tuple[tuple[OwnThing, Stated], ...]], ...] = (
            ("marker", each_once(mine.markers)),
            ("plant", each_once(mine.plants)),
            ("ingredient", each_once(mine.ingredients)),
        )
        blocks = tuple(block for kind, things in held for block in _section(kind, things))
        return Page(
            t("Markers, plants and ingredients of your own"),
            "laboratory",
            "",
            blocks,
            **facts_of(look),
            lead=t(
                "What the tables here do not list. Entered once, it serves titration, plan, dose, "
                "content and label like what they hold. To change it, enter it again under the same "
                "name: the last one stands, the earlier stay in the book. Nothing here says that a "
                "plant or an ingredient is allowed."
            ),
            href="/laboratory/own",
        )


ADD: dict[Kind, str] = {
    "marker": later("Enter a marker"),
    "plant": later("Enter a plant"),
    "ingredient": later("Enter an ingredient"),
}
_SECTIONS: dict[Kind, tuple[str, str, str]] = {
    "marker": (
        later("Markers"),
        later("No marker of your own yet"),
        later(
            "A strength is expressed in a marker. With its molar mass and charge an assay can be "
            "titrated and calculated as another compound."
        ),
    ),
    "plant": (
        later("Plants"),
        later("No plant of your own yet"),
        later(
            "A plan begins with what the plant usually holds of its marker. Without it the plan "
            "is wide, until the plant is assayed."
        ),
    ),
    "ingredient": (
        later("Ingredients"),
        later("No ingredient of your own yet"),
        later(
            "A formula takes ingredients by name, and the label prints the name each has in the "
            "list of ingredients."
        ),
    ),
}
"""What each section is called, and what an empty one says and why it is there."""


def _section(kind: Kind, things: Iterable[tuple[OwnThing, Stated]]) -> Iterator[Block]:
    title, none_yet, why = _SECTIONS[kind]
    yield Heading(t(title))
    rows = tuple(
        (
            Link(thing.name, f"/laboratory/own/{kind}?name={quote(thing.name)}"),
            "; ".join(f"{key} {text}" for key, text in own_to_fields(thing).items() if key != kind),
            Link(t("entry {number}", number=stated.entry_no), f"/entries/{stated.entry_no}"),
        )
        for thing, stated in things
    )
    if rows:
        yield Table((t("Name"), t("What is known"), t("Stated in")), rows)
    else:
        yield Empty(
            t(none_yet),
            t(why),
            Link(t(ADD[kind]), f"/laboratory/own/{kind}"),
        )
