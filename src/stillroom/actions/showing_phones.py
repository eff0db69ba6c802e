"""The page that opens the bench to phones, and the one that tells a phone it has joined."""

from stillroom.actions.laboratory import Laboratory
from stillroom.actions.page_facts import page_facts
from stillroom.actions.phones import join_code
from stillroom.actions.pins import pin_facts
from stillroom.documents.blocks import Block, Cell, Heading, Link, Mark, Page, Points, Prose, ScanCode, Table
from stillroom.texts.catalogue import t

OTHERS = (
    "showing_phones.nothing_is_scrambled",
    "showing_phones.they_could_read",
    "showing_phones.use_a_network_of_your_own",
)


def show_phones(lab: Laboratory, door: str, address: str) -> Page:
    """Whether phones may come in, the code to scan, and what others in the network could read.

    Parameters
    ----------
    lab : Laboratory
    door : str
        Address and port phones come in by; "" while the bench is closed to them.
    address : str
        The address alone, which the code is made for.
    """
    blocks: list[Block] = []
    if door:
        blocks += [
            ScanCode(
                f"http://{door}/join/{join_code(lab, address)}",
                t("showing_phones.scan_camera_phone_holds"),
            ),
            Prose(t("showing_phones.phone_joined_stays_until")),
        ]
    else:
        blocks.append(Prose(t("showing_phones.pages_heard_machine_only")))
    blocks += [
        Heading(t("showing_phones.who_else_could_read")),
        Points(tuple(t(one) for one in OTHERS)),
        Heading("PINs"),
        _pins(lab),
    ]
    return Page(
        t("showing_phones.phones_at_the_bench"),
        "phones",
        "",
        tuple(blocks),
        **page_facts(lab),
        status="open" if door else "closed",
        lead=t("showing_phones.day_network_only"),
    )


def show_joined(lab: Laboratory) -> Page:
    """What a phone is told that has just joined."""
    blocks: tuple[Block, ...] = (
        Prose(t("showing_phones.phone_belongs_bench_until")),
        Points(tuple(t(one) for one in OTHERS[:2])),
    )
    return Page(t("showing_phones.this_phone_has_joined"), "phones", "", blocks, **page_facts(lab))


def _pins(lab: Laboratory) -> Block:
    facts = pin_facts(lab)
    with lab.look() as look:
        people = look.people()

    def stands(code: str) -> Cell:
        if code not in facts:
            return t("showing_phones.none_signs_machine_only")
        return Mark("locked") if facts[code].locked else t("showing_phones.has_one")

    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            one.code,
            one.name,
            stands(one.code),
            Link(
                t("showing_phones.change_it") if one.code in facts else t("showing_phones.set_one"),
                f"/laboratory/people/{one.code}/pin",
            ),
        )
        for one in people
    )
    return Table((t("showing_phones.code"), t("showing_phones.name"), "PIN", "Do"), rows)
