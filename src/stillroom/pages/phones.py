"""The page that opens the bench to phones, and the one that tells a phone it has joined."""

from typing import Protocol

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import page_facts
from stillroom.actions.house.phones import join_code
from stillroom.actions.house.pins import pin_facts
from stillroom.documents.blocks import Block, Cell, Heading, Link, Mark, Page, Points, Prose, ScanCode, Table
from stillroom.texts.catalogue import later, t

OTHERS = (
    later(
        "Nothing between phone and laptop is encrypted: whoever is in the same network with "
        "the right tools can read it."
    ),
    later("They could read names, weighings, results and prices, the PIN that is typed, and sign with it."),
    later(
        "Use a network that only your own people know, or the phone's own hotspot. Never the "
        "open one of a café or market."
    ),
)


class DoorFacts(Protocol):
    """What the page says of the door: where it is, and whether the process behind it runs."""

    @property
    def address(self) -> str:
        """The address alone, which the code is made for."""

    @property
    def host(self) -> str:
        """Address and port."""

    @property
    def started_again(self) -> int:
        """How often its process was started again. [1]."""

    @property
    def fell(self) -> bool:
        """Whether it is not started any more."""


def show_phones(lab: Laboratory, door: DoorFacts | None) -> Page:
    """Whether phones may come in, the code to scan, and what others in the network could read.

    Parameters
    ----------
    door : DoorFacts or None
        Where phones come in; None while the bench is closed to them.
    """
    blocks: list[Block] = []
    if door is not None and door.fell:
        blocks.append(
            Prose(
                t(
                    "The phones' door ended again and again, and no phone is heard. Close it, then open it again."
                )
            )
        )
    elif door is not None:
        if door.started_again:
            blocks.append(
                Prose(
                    t("The phones' door ended {times} times and was started again.", times=door.started_again)
                )
            )
        blocks += [
            ScanCode(
                f"http://{door.host}/join/{join_code(lab, door.address)}",
                t("Scan it with the camera of a phone. It holds today."),
            ),
            Prose(
                t(
                    "A phone that joined stays in until midnight, or until you close the bench. People "
                    "sign with their PIN."
                )
            ),
        ]
    else:
        blocks.append(
            Prose(
                t(
                    "The pages open on this machine only. Open the bench, and a phone in your own "
                    "network can join."
                )
            )
        )
    blocks += [
        Heading(t("Who else could read")),
        Points(tuple(t(one) for one in OTHERS)),
        Heading("PINs"),
        _pins(lab),
    ]
    return Page(
        t("Phones at the bench"),
        "phones",
        "",
        tuple(blocks),
        **page_facts(lab),
        status="open" if door else "closed",
        lead=t("For one day and this network only."),
    )


def show_joined(lab: Laboratory) -> Page:
    """What a phone is told that has just joined."""
    blocks: tuple[Block, ...] = (
        Prose(
            t("This phone belongs to the bench until midnight. Each entry is signed with a name and its PIN.")
        ),
        Points(tuple(t(one) for one in OTHERS[:2])),
    )
    return Page(t("This phone has joined"), "phones", "", blocks, **page_facts(lab))


def _pins(lab: Laboratory) -> Block:
    facts = pin_facts(lab)
    with lab.look() as look:
        people = look.people()

    def stands(code: str) -> Cell:
        if code not in facts:
            return t("none: signs at this machine only")
        return Mark("locked") if facts[code].locked else t("has one")

    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            one.code,
            one.name,
            stands(one.code),
            Link(
                t("Change it") if one.code in facts else t("Set one"),
                f"/laboratory/people/{one.code}/pin",
            ),
        )
        for one in people
    )
    return Table((t("Code"), t("Name"), "PIN", "Do"), rows)
