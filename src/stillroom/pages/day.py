"""The day and the fortnight: read off the schedule that was kept, moved by what happened since."""

from collections.abc import Sequence
from datetime import date, timedelta

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.day.live import LiveDay, live_day
from stillroom.documents.blocks import Block, Cell, Heading, Link, Page, Points, Prose, Table
from stillroom.documents.day_drawing import day_drawing
from stillroom.documents.day_shown import DAY_MIN, Shown, clock_at, on_day
from stillroom.documents.day_words import job_words, minutes_text, sure_words
from stillroom.errors import BadEntry
from stillroom.pages.day_blocks import moved_blocks, no_day, shown_of, standing
from stillroom.texts.catalogue import t


def show_day(lab: Laboratory, on: str = "") -> Page:
    """A day: a column a person and a place, then the same as a list to hang up.

    Parameters
    ----------
    on : str
        ISO date; today where it is left out, or the next day something is laid out on.

    Raises
    ------
    BadEntry
        It is no date.
    """
    now = lab.clock()
    with lab.look() as look:
        day = live_day(look, now)
        href = f"/bench/day/{on}" if on else "/bench/day"
        if day is None:
            return Page(t("The day"), "day", "", (no_day(),), **facts_of(look), href=href)
        number = _day_number(day, on)
        shown = shown_of(day)
        mine = on_day(shown, number)
        when = day.begins.date() + timedelta(days=number)
        blocks: list[Block] = standing(day)
        if mine:
            blocks += [
                day_drawing(shown, day.kept.bench, number, day.now_min),
                _legend(),
                *_list(mine, day, number),
            ]
        else:
            blocks.append(Prose(t("Nothing is laid out on this day.")))
        blocks += [*_assumed(day, is_laid=bool(mine)), *moved_blocks(day, now)]
        lead = _day_lead(mine, day, number)
        title = t("The day") if not on else t("The day of {on}", on=when.isoformat())
        return Page(title, "day", when.isoformat(), tuple(blocks), **facts_of(look), lead=lead, href=href)


def show_fortnight(lab: Laboratory) -> Page:
    """Two weeks, a row a day."""
    now = lab.clock()
    with lab.look() as look:
        day = live_day(look, now)
        if day is None:
            return Page(
                t("The fortnight"), "fortnight", "", (no_day(),), **facts_of(look), href="/bench/fortnight"
            )
        shown = shown_of(day)
        rows: list[tuple[Cell, ...]] = []
        for number in range(day.now_min // DAY_MIN, day.horizon_min // DAY_MIN):
            mine = on_day(shown, number)
            when = day.begins + timedelta(days=number)
            if not mine:
                continue
            ends = [one for one in mine if _ends_job(one, shown) and one.ends_min <= (number + 1) * DAY_MIN]
            rows.append(
                (
                    Link(f"{when:%Y-%m-%d} {_weekday(when.date())}", f"/bench/day/{when:%Y-%m-%d}"),
                    _some(_minutes(mine, "hands", number)),
                    _some(_minutes(mine, "watch", number)),
                    _from_to(mine, number),
                    _jobs(mine),
                    _jobs(ends),
                )
            )
        head = (
            t("Day"),
            t("Hands"),
            t("Watching"),
            t("Somebody is there"),
            t("Jobs"),
            t("Done that day"),
        )
        blocks: list[Block] = [
            *standing(day),
            Table(head, tuple(rows)),
            *_due(day),
            *_assumed(day),
            *moved_blocks(day, now),
        ]
        lead = t(
            "{count} jobs, the last done {end}.",
            count=len(day.kept.jobs),
            end=clock_at(day.begins, day.schedule.end_min, now),
        )
        return Page(
            t("The fortnight"),
            "fortnight",
            "",
            tuple(blocks),
            **facts_of(look),
            lead=lead,
            href="/bench/fortnight",
        )


def _legend() -> Block:
    return Prose(
        t(
            "Filled: hands. Framed strip: somebody watches. Dotted: runs alone. Pale: done. The line across is now."
        ),
        quiet=True,
    )


def _list(mine: Sequence[Shown], day: LiveDay, number: int) -> list[Block]:
    base = day.begins + timedelta(days=number)
    pieces = sorted(
        (max(a, number * DAY_MIN), b, one.job, one.stretch, one) for one in mine for a, b in one.pieces
        if a < (number + 1) * DAY_MIN and b > number * DAY_MIN
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = [
        (
            f"{clock_at(day.begins, a, base)}–{clock_at(day.begins, b, base)}",
            one.person or "–",
            Link(one.words, one.href) if one.href else one.words,
            t("done") if one.is_over else "",
        )
        for a, b, _, _, one in pieces
    ]
    head = (t("When"), t("Who"), t("What"), t("Done"))
    breaks = [
        t(
            "{who}: break {a} to {b}",
            who=who,
            a=clock_at(day.begins, a, base),
            b=clock_at(day.begins, b, base),
        )
        for who, a, b in day.schedule.breaks
        if number * DAY_MIN <= a < (number + 1) * DAY_MIN
    ]
    blocks: list[Block] = [Heading(t("As a list")), Table(head, tuple(rows), pen=(3,))]
    return [*blocks, Prose(". ".join(breaks) + ".", quiet=True)] if breaks else blocks


def _assumed(day: LiveDay, *, is_laid: bool = True) -> list[Block]:
    found: list[Block] = []
    if day.kept.aside:
        found += [Heading(t("Left out")), Points(day.kept.aside, "missing")]
    if is_laid:
        found.append(Prose(sure_words(day.schedule), quiet=True))
    if day.kept.assumed:
        found += [
            Heading(t("Taken, because nobody noted it"), folded=True),
            Points(day.kept.assumed),
        ]
    return found


def _due(day: LiveDay) -> list[Block]:
    rows: list[tuple[Cell, ...]] = []
    for job in day.kept.jobs:
        placed = [one for one in day.schedule.placed if one.job == job.code]
        if not placed:
            continue
        ends = max(one.ends_min for one in placed)
        due = clock_at(day.begins, job.due_min) if job.due_min is not None else "–"
        rows.append(
            (
                Link(job_words(job.code), job.href) if job.href else job_words(job.code),
                job.title,
                clock_at(day.begins, ends),
                due,
            )
        )
    return [Heading(t("When each job is done")), Table((t("Job"), t("Of"), t("Done"), t("Due")), tuple(rows))]


def _day_number(day: LiveDay, on: str) -> int:
    if not on:
        today = day.now_min // DAY_MIN
        busy = [
            one.begins_min // DAY_MIN
            for one in shown_of(day)
            if not one.is_over and one.ends_min > day.now_min
        ]
        return today if today in busy or not busy else max(min(busy), today)
    try:
        wanted = date.fromisoformat(on)
    except ValueError:
        raise BadEntry("A day is a date", repr(on[:40]), "Write it like 2026-11-25") from None
    return (wanted - day.begins.date()).days


def _day_lead(mine: Sequence[Shown], day: LiveDay, number: int) -> str:
    if not mine:
        return ""
    return t(
        "{when}: {hands} of hands, {watch} of watching, somebody is there {span}.",
        when=(day.begins + timedelta(days=number)).date().isoformat(),
        hands=minutes_text(_minutes(mine, "hands", number)),
        watch=minutes_text(_minutes(mine, "watch", number)),
        span=_from_to(mine, number),
    )


def _minutes(mine: Sequence[Shown], attention: str, number: int) -> int:
    begins, ends = number * DAY_MIN, (number + 1) * DAY_MIN
    return sum(
        max(min(b, ends) - max(a, begins), 0)
        for one in mine
        if one.attention == attention
        for a, b in one.pieces
    )


def _some(minutes: int) -> str:
    return minutes_text(minutes).replace(" ", "\u00a0") if minutes else ""


def _jobs(some: Sequence[Shown]) -> str:
    return ", ".join(dict.fromkeys(job_words(one.job) for one in some))


def _from_to(mine: Sequence[Shown], number: int) -> str:
    begins, ends = number * DAY_MIN, (number + 1) * DAY_MIN
    spans = [
        (max(a, begins), min(b, ends))
        for one in mine
        if one.attention != "free"
        for a, b in one.pieces
        if a < ends and b > begins
    ]
    if not spans:
        return ""
    first, last = min(a for a, _ in spans) - begins, max(b for _, b in spans) - begins
    return f"{first // 60:02d}:{first % 60:02d}–{last // 60:02d}:{last % 60:02d}"


def _ends_job(one: Shown, shown: Sequence[Shown]) -> bool:
    return one.ends_min == max(each.ends_min for each in shown if each.job == one.job)


def _weekday(day: date) -> str:
    return (
        t("Monday"),
        t("Tuesday"),
        t("Wednesday"),
        t("Thursday"),
        t("Friday"),
        t("Saturday"),
        t("Sunday"),
    )[day.weekday()]
