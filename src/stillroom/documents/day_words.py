"""What is said of a day: when, what would have to give, what moved, what is late."""

import re
from collections.abc import Callable, Sequence

from stillroom.schedule.bench import COOLING, POWER, TAP
from stillroom.schedule.giving import Buys, Give
from stillroom.schedule.moving import Change
from stillroom.schedule.placed import Schedule
from stillroom.texts.catalogue import t, word

Clock = Callable[[int], str]


def minutes_text(minutes: int) -> str:
    """Minutes as somebody says them: "25 min", "1 h 05".

    Examples
    --------
    >>> minutes_text(25), minutes_text(65), minutes_text(1570)
    ('25 min', '1 h 05', '1 d 2 h')
    """
    days, rest = divmod(minutes, 24 * 60)
    if days:
        return f"{days} d {rest // 60} h" if rest >= 60 else f"{days} d"
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d}"


def step_words(stretch: str) -> str:
    """A stretch of a step in words: "percolate (watch)"."""
    step, _, part = stretch.rpartition("/")
    if not step:
        return stretch
    parts = {"hands": "", "watch": t("watch"), "free": t("runs alone")}
    said = parts.get(part, part)
    return f"{step} ({said})" if said else step


OF_A_KIND = frozenset(("bought", "deliver", "goods", "kept", "rack", "renew", "sent", "test"))
"""First word of the code of a job that is none of a batch."""


def job_words(job: str) -> str:
    """What a job is about, without the word for its kind, which its step says anyway.

    Examples
    --------
    >>> job_words("deliver/ORD-1"), job_words("kept/T1/12"), job_words("ORD-2/bark-extract"), job_words("E2")
    ('ORD-1', 'T1', 'ORD-2/bark-extract', 'E2')
    """
    kind, _, about = job.partition("/")
    return re.sub(r"/\d+$", "", about) if kind in OF_A_KIND and about else job


def give_words(give: Give, clock: Clock, buys: Buys) -> str:
    """One thing that would give, in a few words."""
    match give.what:
        case "begin earlier":
            first = min((one.begins_min for one in buys.schedule.placed if not one.begun), default=0)
            return t(
                "{who} begins {minutes} min earlier, at {at}",
                who=give.subject,
                minutes=give.amount,
                at=clock(first),
            )
        case "stay longer":
            return t("{who} stays {minutes} min longer", who=give.subject, minutes=give.amount)
        case "no cut":
            return t("{what} without its outage", what=word(give.subject))
        case "one more":
            return t("one more of: {what}", what=word(give.subject))
        case "more":
            unit = {POWER: "W", COOLING: "W", TAP: "mL/min"}.get(give.subject, "")
            return t(
                "{amount} {unit} more of: {what}", amount=give.amount, unit=unit, what=word(give.subject)
            )
        case "a later date":
            return t("ask for a later date for {job}", job=give.subject)
        case "another day":
            return t("{job} on another day", job=give.subject)
        case "a helper":
            return t("somebody who helps")


def buys_words(found: Sequence[Buys], clock: Clock) -> tuple[str, ...]:
    """Each set of what would have to give, with what it buys."""
    return tuple(
        t(
            "{gives}: everything else is done by {end}.",
            gives=t(" and ").join(give_words(give, clock, one) for give in one.gives),
            end=clock(one.schedule.end_min),
        )
        for one in found
    )


def change_words(changed: Sequence[Change], clock: Clock) -> tuple[str, ...]:
    """What moved, a sentence for each step."""
    found = []
    for one in changed:
        said = {"job": job_words(one.job), "step": step_words(one.step)}
        if one.was_min is None and one.now_min is not None:
            found.append(t("{job}, {step}: new, {now}.", **said, now=clock(one.now_min)))
        elif one.now_min is None:
            found.append(t("{job}, {step}: no longer planned.", **said))
        elif one.was_min != one.now_min:
            was = clock(one.was_min or 0)
            found.append(t("{job}, {step}: {now} instead of {was}.", **said, now=clock(one.now_min), was=was))
        elif one.longer_min:
            minutes = abs(one.longer_min)
            found.append(
                t("{job}, {step}: {minutes} min longer.", **said, minutes=minutes)
                if one.longer_min > 0
                else t("{job}, {step}: {minutes} min shorter.", **said, minutes=minutes)
            )
        else:
            found.append(t("{job}, {step}: by {who}.", **said, who=one.person))
    return tuple(found)


def sure_words(schedule: Schedule) -> str:
    """How sure it is that no better day exists."""
    if schedule.sure == "proven":
        return t("No better day exists: proven.")
    if schedule.sure == "gap" and schedule.better_by_min:
        return t(
            "It could end at most {time} earlier; no more is proven.",
            time=minutes_text(schedule.better_by_min),
        )
    if schedule.sure == "gap":
        return t("A better day may exist; none was found in that time.")
    return t("Laid out in its order, each step as early as it fits.")


def late_words(schedule: Schedule) -> tuple[str, ...]:
    """What ends after it is due, and what waits longer than it may."""
    late = (
        t("{job} ends {time} after it is due.", job=job_words(one.job), time=minutes_text(one.minutes))
        for one in schedule.late
    )
    waits = (
        t(
            "{job}, {step}: waits {minutes} min longer than it may.",
            job=job_words(one.job),
            step=step_words(one.step),
            minutes=one.minutes,
        )
        for one in schedule.waits_over
    )
    return (*late, *waits)
