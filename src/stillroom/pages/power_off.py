"""The page of a cut of water or power."""

from stillroom.actions.bench.form_choices import in_hand, next_of
from stillroom.actions.bench.outages import Outage, open_outages
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.documents.blocks import Block, Heading, Page, Points, Prose
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.put_right import when
from stillroom.stream.kinds import when_off
from stillroom.texts.catalogue import t, word

WHEN_IT_STOPS = (
    "water-or-power-off",
    "leaving-the-room",
    "bumping",
    "heat-without-cooling",
    "pressure-in-funnel",
    "flammable-vapour",
)


def show_power_off(lab: Laboratory) -> Page:
    """What a cut of water or power asks for: heat off first, then what each step in hand needs."""
    with lab.look() as look:
        blocks: list[Block] = [caution_block("water-or-power-off")]
        blocks += [Prose(_is_off(one)) for one in open_outages(look)]
        blocks.append(Heading(t("Then, batch by batch")))
        running = [next_of(look, code) for code in in_hand(look)]
        for one in running:
            step = look.procedure_of(one.batch).step(one.step)
            blocks += [
                Heading(f"{one.batch}, {step.name}", 3),
                Prose(
                    t(
                        "It stands before or in step {number} of {of}. {says}",
                        number=one.number,
                        of=one.of,
                        says=when_off(step.kind),
                    )
                ),
            ]
            blocks += [
                caution_block(key)
                for key in WHEN_IT_STOPS
                if key in step.cautions and key != "water-or-power-off"
            ]
        if not running:
            blocks.append(Prose(t("The book knows of no batch in hand. Look at the bench anyway.")))
        blocks += [
            Heading(t("Before you begin again")),
            Points(
                (
                    t("Note below when it went and when it came back: it stands in every batch in hand."),
                    t("Refrigerator and oven were off as well: look at what stands in them."),
                )
            ),
        ]
        return Page(
            t("Water or power is off"),
            "bench",
            "",
            tuple(blocks),
            **facts_of(look),
            href="/bench/power-or-water-off",
        )


def _is_off(one: Outage) -> str:
    what = word(one.what.capitalize())
    return t(
        "{what} has been off since {when}, noted by {by}.", what=what, when=when(one.off_at), by=one.off_by
    )
