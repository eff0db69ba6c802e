"""The page of the laboratory: people, instruments, how the house is, what things cost, procedures, the book."""

from stillroom.actions.house_facts import HOUSE, condition_of
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.page_facts import facts_of
from stillroom.actions.pricing import prices_noted
from stillroom.documents.blocks import Block, Cell, Empty, Facts, Heading, Link, Page, Prose, Table
from stillroom.documents.making import when
from stillroom.store.reader import Reader


def show_laboratory(lab: Laboratory) -> Page:
    """People, instruments, the house, prices, procedures and the book."""
    with lab.look() as look:
        blocks = (*_people(look), *_instruments(look), *_house(look), *_prices(look), *_book(look))
        name = Facts(
            (("Name", look.book().laboratory), ("Practice", "yes" if look.book().practice else "no"))
        )
        return Page("Laboratory", "laboratory", "", (name, *blocks), **facts_of(look), href="/laboratory")


def _people(look: Reader) -> list[Block]:
    people = tuple(
        (one.code, one.name, "may release" if one.may_release else "may not release") for one in look.people()
    )
    blocks: list[Block] = [Heading("People"), Table(("Signs as", "Name", "Release"), people)]
    if len(people) == 1:
        blocks.append(
            Prose("With nobody else, a release says that it was decided alone, a night later.", quiet=True)
        )
    return blocks


def _instruments(look: Reader) -> list[Block]:
    tools = tuple(
        (
            one.code,
            f"{one.name}, {one.material}" if one.material else one.name,
            one.kind,
            f"{one.smallest_step:g} {one.unit}",
            f"{one.standard_uncertainty:g} {one.unit}",
            f"{one.largest:g} {one.unit}" if one.largest else "no limit",
        )
        for one in look.apparatus_list()
    )
    head = ("Code", "What", "Kind", "Smallest step", "Uncertainty of a reading", "Takes at most")
    if not tools:
        return [
            Heading("Instruments"),
            Empty(
                "No instrument is in use yet.",
                "Begin with the scale: its smallest step decides how small a dose can be weighed.",
                Link("Add a scale", "/laboratory/scales/new"),
            ),
        ]
    return [Heading("Instruments"), Table(head, tools, (3, 4, 5))]


def _house(look: Reader) -> list[Block]:
    rows: list[tuple[Cell, ...]] = []
    for what, asked in HOUSE.items():
        found = condition_of(look, what)
        note: Cell = Link("note it", f"/laboratory/conditions/new?what={what.replace(' ', '+')}")
        if found:
            rows.append((what, found.as_written, when(found.at), note))
        else:
            rows.append((what, "not noted", f"asked {asked.needed}", note))
    return [
        Heading("The house"),
        Table(("What", "Last", "When", "Now"), tuple(rows)),
        Prose("Nothing is filled in for you: the last value is offered with its age.", quiet=True),
    ]


def _prices(look: Reader) -> list[Block]:
    rows = tuple(
        (price.of, price.as_written, Link(f"entry {number}", f"/entries/{number}"))
        for price, number in prices_noted(look)
    )
    if not rows:
        return [
            Heading("Prices"),
            Empty(
                "No price is noted yet.",
                "A plan reckons with invented round prices until you say what you pay.",
                Link("Note a price", "/laboratory/prices/new"),
            ),
        ]
    return [Heading("Prices"), Table(("Of", "Price", "Noted in"), rows)]


def _book(look: Reader) -> list[Block]:
    begun, head = look.book(), look.head
    written = len(look.procedures())
    return [
        Heading("Procedures"),
        Facts(
            (
                (
                    "Written",
                    Link(f"{written} procedure{'' if written == 1 else 's'}", "/make/procedures"),
                ),
            )
        ),
        Heading("The book"),
        Facts(
            (
                ("Last entry", Link(str(head.entry_no), f"/entries/{head.entry_no}")),
                ("Digest", head.digest),
                ("Goes on from a copy", f"{begun.epoch - 1} times" if begun.epoch > 1 else "no"),
            )
        ),
    ]
