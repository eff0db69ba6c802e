"""Now: what to do this minute, what runs, when one is free, on one screen of a phone."""

from collections.abc import Sequence
from datetime import datetime

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.day.live import LiveDay, live_day
from stillroom.documents.blocks import Block, Cell, Facts, Link, Page, Prose
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.day_shown import Shown, clock_at
from stillroom.pages.day_blocks import moved_blocks, no_day, shown_of, standing
from stillroom.texts.catalogue import t

MOST_NEXT, MOST_RUNNING = 2, 2


def show_now(lab: Laboratory) -> Page:
    """What to do this minute, what runs, when one is free, and its caution."""
    now = lab.clock()
    with lab.look() as look:
        day = live_day(look, now)
        blocks, lead = ([no_day()], "") if day is None else _now(day, now)
        return Page(t("Now"), "now", "", tuple(blocks), **facts_of(look), lead=lead, href="/bench/now")


def next_for_hands(lab: Laboratory) -> tuple[Shown, ...]:
    """For each person what to do now or next; nothing where no day is laid out."""
    now = lab.clock()
    with lab.look() as look:
        day = live_day(look, now)
    return () if day is None else _next_of_each(shown_of(day))


def _next_of_each(shown: Sequence[Shown]) -> tuple[Shown, ...]:
    found: dict[str, Shown] = {}
    for one in shown:
        if one.attention == "hands" and not one.is_over and one.person not in found:
            found[one.person] = one
    return tuple(sorted(found.values(), key=lambda one: one.begins_min))


def _now(day: LiveDay, now: datetime) -> tuple[list[Block], str]:
    shown = shown_of(day)
    at = day.now_min
    nexts = _next_of_each(shown)
    runs = [
        one
        for one in shown
        if one.attention != "hands" and not one.is_over and one.begins_min <= at < one.ends_min
    ]
    blocks: list[Block] = standing(day)
    if not nexts and not runs:
        return [
            *blocks,
            Prose(t("Nothing is left to do.")),
            Prose(t("Lay out the day again once there is."), quiet=True),
        ], ""
    first = nexts[0] if nexts else None
    lead = ""
    rows: list[tuple[str, Cell]] = []
    if first is not None:
        due = first.begins_min <= at or first.is_begun
        until = clock_at(day.begins, first.ends_min, now)
        lead = (
            t("{who}: {what}, until {until}.", who=first.person, what=first.words, until=until)
            if due
            else t(
                "{who} is free until {at}, then {what}.",
                who=first.person,
                at=clock_at(day.begins, first.begins_min, now),
                what=first.words,
            )
        )
        if first.says:
            blocks.append(Prose(first.says))
    rows += [
        (
            t("Runs"),
            _linked(
                t("{what}, until {until}", what=one.words, until=clock_at(day.begins, one.ends_min, now)),
                one.href,
            ),
        )
        for one in runs[:MOST_RUNNING]
    ]
    coming = [one for one in shown if one.attention == "hands" and not one.is_over and one is not first]
    rows += [
        (
            clock_at(day.begins, one.begins_min, now),
            Link(f"{one.person}: {one.words}", one.href or "/bench/day"),
        )
        for one in coming[:MOST_NEXT]
    ]
    free = _free_at(shown, first, at)
    if free is not None:
        a, b = free
        rows.append(
            (
                t("Free"),
                t(
                    "{who} from {a} to {b}",
                    who=first.person if first else "",
                    a=clock_at(day.begins, a, now),
                    b=clock_at(day.begins, b, now),
                ),
            )
        )
    cautions = [caution_block(key) for key in (first.cautions[:1] if first else ())]
    return [*blocks, Facts(tuple(rows)), *cautions, *moved_blocks(day, now)], lead


def _linked(words: str, href: str) -> Cell:
    return Link(words, href) if href else words


def _free_at(shown: Sequence[Shown], first: Shown | None, at: int) -> tuple[int, int] | None:
    """The next quarter of an hour or more in which a person has neither hands nor watching."""
    if first is None:
        return None
    busy = sorted(
        (a, b)
        for one in shown
        if one.person == first.person and not one.is_over
        for a, b in one.pieces
        if b > at
    )
    until = at
    for a, b in busy:
        if a - until >= 15:
            return until, a
        until = max(until, b)
    return None
