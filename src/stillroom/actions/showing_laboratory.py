"""The page of the laboratory: people, instruments, how the house is, what things cost, procedures, the book."""

from dataclasses import fields

from stillroom.actions.house_facts import HOUSE, condition_of
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.page_facts import facts_of
from stillroom.actions.pricing import prices_noted
from stillroom.documents.blocks import Block, Cell, Empty, Facts, Heading, Link, Page, Prose, Table
from stillroom.documents.put_right import when
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
                (t("showing_laboratory.name"), look.book().laboratory),
                (t("showing_laboratory.practice"), "yes" if look.book().practice else "no"),
            )
        )
        return Page(
            t("showing_laboratory.laboratory"),
            "laboratory",
            "",
            (name, *blocks),
            **facts_of(look),
            href="/laboratory",
        )


def _described(look: Reader) -> list[Block]:
    house = look.house()
    rows = tuple(
        (t(f"house_described.{one.name}"), str(getattr(house, one.name)))
        for one in fields(house)
        if getattr(house, one.name)
    )
    blocks: list[Block] = [Heading(t("house_described.heading"))]
    if rows:
        blocks.append(Facts(rows))
    if not (house.address and house.responsible_person):
        blocks.append(Prose(t("house_described.not_said"), quiet=True))
    return blocks


def _people(look: Reader) -> list[Block]:
    people = tuple(
        (
            one.code,
            one.name,
            t("showing_laboratory.may_release")
            if one.may_release
            else t("showing_laboratory.may_not_release"),
        )
        for one in look.people()
    )
    blocks: list[Block] = [
        Heading(t("showing_laboratory.people")),
        Table(
            (t("showing_laboratory.signs_as"), t("showing_laboratory.name"), t("showing_laboratory.release")),
            people,
        ),
    ]
    if len(people) == 1:
        blocks.append(Prose(t("showing_laboratory.nobody_else_release_says"), quiet=True))
    return blocks


def _instruments(look: Reader) -> list[Block]:
    tools = tuple(
        (
            one.code,
            f"{one.name}, {one.material}" if one.material else one.name,
            one.kind,
            f"{one.smallest_step:g} {one.unit}",
            f"{one.standard_uncertainty:g} {one.unit}",
            f"{one.largest:g} {one.unit}" if one.largest else t("showing_laboratory.no_limit"),
        )
        for one in look.apparatus_list()
    )
    head = (
        t("showing_laboratory.code"),
        t("showing_laboratory.what"),
        t("showing_laboratory.kind"),
        t("showing_laboratory.smallest_step"),
        t("showing_laboratory.uncertainty_of_a_reading"),
        t("showing_laboratory.takes_at_most"),
    )
    if not tools:
        return [
            Heading(t("showing_laboratory.instruments")),
            Empty(
                t("showing_laboratory.no_instrument_use_yet"),
                t("showing_laboratory.begin_scale_smallest_step"),
                Link(t("showing_laboratory.add_a_scale"), "/laboratory/scales/new"),
            ),
        ]
    return [Heading(t("showing_laboratory.instruments")), Table(head, tools, (3, 4, 5))]


def _house(look: Reader) -> list[Block]:
    rows: list[tuple[Cell, ...]] = []
    for what, asked in HOUSE.items():
        found = condition_of(look, what)
        note: Cell = Link(
            t("showing_laboratory.note_it"), f"/laboratory/conditions/new?what={what.replace(' ', '+')}"
        )
        if found:
            rows.append((what, found.as_written, when(found.at), note))
        else:
            rows.append(
                (
                    what,
                    t("showing_laboratory.not_noted"),
                    t("showing_laboratory.asked_needed", needed=asked.needed),
                    note,
                )
            )
    return [
        Heading(t("showing_laboratory.the_house")),
        Table(
            (
                t("showing_laboratory.what"),
                t("showing_laboratory.last"),
                t("showing_laboratory.when"),
                t("showing_laboratory.now"),
            ),
            tuple(rows),
        ),
        Prose(t("showing_laboratory.nothing_filled_you_last"), quiet=True),
    ]


def _prices(look: Reader) -> list[Block]:
    rows = tuple(
        (
            price.of,
            price.as_written,
            Link(t("showing_laboratory.entry_number", number=number), f"/entries/{number}"),
        )
        for price, number in prices_noted(look)
    )
    if not rows:
        return [
            Heading(t("showing_laboratory.prices")),
            Empty(
                t("showing_laboratory.no_price_noted_yet"),
                t("showing_laboratory.plan_reckons_invented_round"),
                Link(t("showing_laboratory.note_a_price"), "/laboratory/prices/new"),
            ),
        ]
    return [
        Heading(t("showing_laboratory.prices")),
        Table(("Of", t("showing_laboratory.price"), t("showing_laboratory.noted_in")), rows),
    ]


def _book(look: Reader) -> list[Block]:
    begun, head = look.book(), look.head
    written = len(look.procedures())
    return [
        Heading(t("showing_laboratory.procedures")),
        Facts(
            (
                (
                    t("showing_laboratory.written"),
                    Link(
                        t(
                            "showing_laboratory.how_many_procedures",
                            written=written,
                            which="" if written == 1 else "s",
                        ),
                        "/make/procedures",
                    ),
                ),
            )
        ),
        Heading(t("showing_laboratory.the_book")),
        Facts(
            (
                (t("showing_laboratory.last_entry"), Link(str(head.entry_no), f"/entries/{head.entry_no}")),
                (t("showing_laboratory.digest"), head.digest),
                (
                    t("showing_laboratory.goes_copy"),
                    t("showing_laboratory.times_epoch", epoch=begun.epoch - 1) if begun.epoch > 1 else "no",
                ),
            )
        ),
    ]
