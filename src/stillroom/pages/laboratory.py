"""The page of the laboratory: people, instruments, how the house is, what things cost, procedures, the book."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.house.describing import HOUSE_LABELS
from stillroom.actions.house.duties import duties_of
from stillroom.actions.house.house_facts import condition_of
from stillroom.actions.house.pricing import prices_noted
from stillroom.documents.blocks import Block, Cell, Empty, Facts, Heading, Link, Page, Prose, Table
from stillroom.documents.entry_words import duty_words
from stillroom.documents.put_right import when
from stillroom.planning.house_said import HOUSE
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def show_laboratory(lab: Laboratory) -> Page:
    """People, instruments, the house, prices, procedures and the book."""
    with lab.look() as look:
        blocks = (
            *_described(look),
            *_people(look),
            *_instruments(look),
            *_house(look),
            *_prices(look),
            *_book(look),
        )
        name = Facts(
            (
                (t("Name"), look.book().laboratory),
                (t("Practice"), "yes" if look.book().practice else "no"),
            )
        )
        return Page(
            t("Laboratory"),
            "laboratory",
            "",
            (name, *blocks),
            **facts_of(look),
            href="/laboratory",
        )


def _described(look: Reader) -> list[Block]:
    house = look.house()
    rows = tuple(
        (t(label), str(getattr(house, what.replace(" ", "_"))))
        for what, label in HOUSE_LABELS.items()
        if getattr(house, what.replace(" ", "_"))
    )
    blocks: list[Block] = [Heading(t("Address and who answers for what is sold"))]
    if rows:
        blocks.append(Facts(rows))
    if not (house.address and house.responsible_person):
        blocks.append(
            Prose(t('not said yet: a certificate says "not shown", a label leaves room for it'), quiet=True)
        )
    return blocks


def _people(look: Reader) -> list[Block]:
    people = tuple(
        (
            one.code,
            one.name,
            t("may release") if one.may_release else t("may not release"),
            duty_words(duties_of(look, one.code)),
            Link(t("Give duties"), f"/laboratory/people/{one.code}/duties"),
        )
        for one in look.people()
    )
    blocks: list[Block] = [
        Heading(t("People")),
        Table(
            (t("Signs as"), t("Name"), t("Release"), t("Duties"), t("Do")),
            people,
        ),
    ]
    if len(people) == 1:
        blocks.append(
            Prose(t("With nobody else, a release says that it was decided alone, a night later."), quiet=True)
        )
    return blocks


def _instruments(look: Reader) -> list[Block]:
    tools = tuple(
        (
            one.code,
            f"{one.name}, {one.material}" if one.material else one.name,
            one.kind,
            "" if one.is_glass else f"{one.smallest_step:g} {one.unit}",
            "" if one.is_glass else f"{one.standard_uncertainty:g} {one.unit}",
            f"{one.largest:g} {one.unit}" if one.largest else t("no limit"),
        )
        for one in look.apparatus_list()
    )
    head = (
        t("Code"),
        t("What"),
        t("Kind"),
        t("Readability"),
        t("Uncertainty of a reading"),
        t("Takes at most"),
    )
    if not tools:
        return [
            Heading(t("Instruments")),
            Empty(
                t("No instrument is in use yet."),
                t("Begin with the scale: its readability decides how small a dose can be weighed."),
                Link(t("Add a scale"), "/laboratory/scales/new"),
            ),
        ]
    return [Heading(t("Instruments")), Table(head, tools, (3, 4, 5))]


def _house(look: Reader) -> list[Block]:
    rows, unsaid = list[tuple[Cell, ...]](), list[tuple[Cell, ...]]()
    for what, asked in HOUSE.items():
        found = condition_of(look, what)
        note: Cell = Link(t("enter it"), f"/laboratory/conditions/new?what={what.replace(' ', '+')}")
        if found:
            rows.append((what, found.as_written, when(found.at), note))
        else:
            unsaid.append((what, t("asked {needed}", needed=asked.needed), note))
    return [
        Heading(t("Room and site")),
        *((Table((t("What"), t("Last"), t("When"), t("Now")), tuple(rows)),) if rows else ()),
        Prose(t("Nothing is filled in for you: the last value is offered with its age."), quiet=True),
        Heading(t("Not entered yet, and when it is asked"), folded=True),
        Table((t("What"), t("When"), t("Now")), tuple(unsaid)),
    ]


def _prices(look: Reader) -> list[Block]:
    rows = tuple(
        (
            price.of,
            price.as_written,
            Link(t("entry {number}", number=number), f"/entries/{number}"),
        )
        for price, number in prices_noted(look)
    )
    if not rows:
        return [
            Heading(t("Prices")),
            Empty(
                t("No price is noted yet."),
                t("A plan uses invented round prices until you say what you pay."),
                Link(t("Note a price"), "/laboratory/prices/new"),
            ),
        ]
    return [
        Heading(t("Prices")),
        Table(("Of", t("Price"), t("Noted in")), rows),
    ]


def _book(look: Reader) -> list[Block]:
    begun, head = look.book(), look.head
    written = len(look.procedures())
    return [
        Heading(t("Procedures")),
        Facts(
            (
                (
                    t("Written"),
                    Link(
                        t(
                            "{written} procedure{which}",
                            written=written,
                            which="" if written == 1 else "s",
                        ),
                        "/make/procedures",
                    ),
                ),
            )
        ),
        Heading(t("The book")),
        Facts(
            (
                (t("Last entry"), Link(str(head.entry_no), f"/entries/{head.entry_no}")),
                (t("Checksum"), head.digest),
                (
                    t("Goes on from a copy"),
                    t("{epoch} times", epoch=begun.epoch - 1) if begun.epoch > 1 else "no",
                ),
            )
        ),
    ]
