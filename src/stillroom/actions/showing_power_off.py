"""The page of a cut of water or power."""

from stillroom.actions.in_hand import next_of
from stillroom.actions.laboratory import Laboratory
from stillroom.actions.outages import Outage, open_outages
from stillroom.actions.page_facts import facts_of
from stillroom.documents.blocks import Block, Heading, Page, Points, Prose
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.put_right import when
from stillroom.documents.when_it_stops import when_it_stops
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
        blocks.append(Heading(t("cut.batch_by_batch")))
        running = [
            one for one in (next_of(look, batch.code) for batch in look.batches()) if one.does != "done"
        ]
        for one in running:
            begun = look.batch(one.batch)
            step = look.procedure(begun.procedure, begun.version).step(one.step)
            blocks += [
                Heading(f"{one.batch}, {step.name}", 3),
                Prose(t("cut.stands_in", number=one.number, of=one.of, says=when_it_stops(step.kind))),
            ]
            blocks += [
                caution_block(key)
                for key in WHEN_IT_STOPS
                if key in step.cautions and key != "water-or-power-off"
            ]
        if not running:
            blocks.append(Prose(t("cut.no_batch")))
        blocks += [
            Heading(t("cut.before_again")),
            Points((t("cut.note_below"), t("cut.look_in"))),
        ]
        return Page(
            t("cut.title"),
            "bench",
            "",
            tuple(blocks),
            **facts_of(look),
            href="/bench/power-or-water-off",
        )


def _is_off(one: Outage) -> str:
    what = word("cut", one.what.capitalize())
    return t("cut.is_off", what=what, when=when(one.off_at), by=one.off_by)
