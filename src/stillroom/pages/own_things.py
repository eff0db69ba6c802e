"""Markers, plants and ingredients of one's own, as a page."""

from collections.abc import Iterable, Iterator
from urllib.parse import quote

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.documents.blocks import Block, Empty, Heading, Link, Page, Table
from stillroom.pages.paging import EVERYTHING, Wanted, finder
from stillroom.records.own_from_yaml import Kind, OwnThing, own_to_fields
from stillroom.store.lists import PAGE
from stillroom.store.searching import sought
from stillroom.substances.own import OwnIngredient, OwnPlant, Stated, each_once, own
from stillroom.texts.catalogue import later, t

HREF = "/laboratory/own"


def show_own(lab: Laboratory, wanted: Wanted = EVERYTHING) -> Page:
    """Markers, plants and ingredients of one's own, with what is known of each and where, a page at a time."""
    with lab.look() as look:
        mine = own()
        held: dict[Kind, tuple[tuple[OwnThing, Stated], ...]] = {
            "marker": each_once(mine.markers),
            "plant": each_once(mine.plants),
            "ingredient": each_once(mine.ingredients),
        }
        every = [(kind, pair) for kind in held if wanted.kind in ("", kind) for pair in held[kind]]
        found, spellings = sought(wanted.words, [_called(thing) for _, (thing, _) in every])
        shown = [every[at] for at in found[wanted.first : wanted.first + PAGE]]
        blocks: list[Block] = [
            *finder(wanted, HREF, len(shown), len(found), kinds=tuple(held), spellings=spellings)
        ]
        for kind in held:
            things = [pair for of, pair in shown if of == kind]
            if things or not (held[kind] or wanted.asks):
                blocks += _section(kind, things)
        return Page(
            t("Markers, plants and ingredients of your own"),
            "laboratory",
            "",
            tuple(blocks),
            **facts_of(look),
            lead=t(
                "What the tables here do not list. Entered once, it serves titration, plan, dose, "
                "content and label like what they hold. To change it, enter it again under the same "
                "name: the last one stands, the earlier stay in the book. Nothing here says that a "
                "plant or an ingredient is allowed."
            ),
            href=wanted.address(HREF),
        )


def _called(thing: OwnThing) -> tuple[str, ...]:
    """The texts that something of one's own is found by."""
    named = thing.latin_name if isinstance(thing, OwnPlant) else ""
    label = thing.label_name if isinstance(thing, OwnIngredient) else ""
    return (thing.name, *thing.also_called, named, label)


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
