"""The watch of a running Soxhlet: the verdict on top, what comes next, what was noticed, every siphoning below."""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.actions.watching.bed_run import bed_run
from stillroom.actions.watching.run_watched import RunWatched, run_watched, watches_bed
from stillroom.documents.blocks import (
    Block,
    Cell,
    Empty,
    Facts,
    Heading,
    Link,
    Numbers,
    Page,
    Points,
    Prose,
    Table,
)
from stillroom.documents.numbers_shown import number, show
from stillroom.documents.timers import clock
from stillroom.pages.watch_bed import bed_blocks, bed_verdict
from stillroom.science.extraction.watching_advice import WORTH_SHARE, Advice, Ranged
from stillroom.science.extraction.watching_taps import Siphonings
from stillroom.texts.catalogue import between, later, t

MUCH = 0.02
UNSURE = 2.0
"""Half the 90 % interval of the best stop from which it is said, with what would narrow it. [1]"""
BLIND = {
    "refractometer": later(
        "The refractometer can tell nothing more: it reads no more than fresh condensate. Dry a sample instead."
    ),
    "sample": later(
        "The scale can tell nothing more: a sample holds less than it can show. Dry a larger one."
    ),
    "vials": later("The vials can tell nothing more: it is paler than 1:128. Pale is not empty."),
}


def show_watch(lab: Laboratory, code: str) -> Page:
    """The watch of a batch."""
    with lab.look() as look:
        bed = watches_bed(look, code)
        return Page(
            t("The watch of {batch}", batch=code),
            "watch",
            code,
            tuple(bed_blocks(bed_run(look, code)) if bed else _blocks(run_watched(look, code))),
            **facts_of(look),
            href=f"/make/{code}/watch",
        )


def watch_told(lab: Laboratory, code: str) -> str:
    """What the watch of a batch says now, in one sentence."""
    with lab.look() as look:
        of_bed = watches_bed(look, code)
        return (bed_verdict(bed_run(look, code)) if of_bed else verdict_of(run_watched(look, code)))[0]


def verdict_of(run: RunWatched) -> tuple[str, bool]:
    """The advice in one sentence, and whether it may stop."""
    if run.found is None:
        return t("Nothing siphoned yet. Tap when it does."), False
    advice = run.found.advice
    plan = t("By the plan alone, for only the clock was seen: ") if advice.by_plan_alone else ""
    inside = t(" {inside} is still inside.", inside=_percent(advice.inside))
    if advice.verdict == "stop":
        says = t(
            "Stop now: the next siphoning brings {brings:.2g} %, and {worth:g} % is worth one.",
            brings=100.0 * advice.next_shares[0].middle, worth=100.0 * WORTH_SHARE,
        )  # fmt: skip
        return plan + says + inside, True
    if advice.verdict == "not yet":
        return t("Not yet: the slow share does not show. What comes is still what washes out at once."), False
    more = max(round(advice.more.middle), 1)
    minutes = more * run.found.taps.cycle_min
    says = t(
        "One more siphoning, about {minutes:.0f} min." if more == 1 else
        "{more} more siphonings ({ends}), about {minutes:.0f} min.",
        more=more, ends=between(f"{advice.more.low:.0f}", f"{advice.more.high:.0f}"), minutes=minutes,
    )  # fmt: skip
    return plan + says + inside, False


def noticed(run: RunWatched) -> tuple[str, ...]:
    """What was noticed besides, in sentences, what asks for hands first."""
    found = list[str]()
    if run.off_now:
        found.append(t("Water or power is off: no time here holds until somebody looks."))
    if run.found is None:
        return tuple(found)
    return (*found, *_of_the_bed(run.found.advice), *_of_the_clock(run.found.taps), *_of_signals(run))


def _percent(one: Ranged) -> str:
    ends = between(number(100.0 * one.low, 0), number(100.0 * one.high, 0))
    return f"{100.0 * one.middle:.0f} % ({ends})"


def _of_the_bed(advice: Advice) -> list[str]:
    found = list[str]()
    if advice.channelled:
        found.append(
            t("Channelling: more stays behind than a well-packed bed leaves. Let it cool, and repack it.")
        )
    much = advice.inside.low >= MUCH
    inside = _percent(advice.inside)
    if advice.colour_gone and much and advice.verdict == "stop":
        found.append(t("Colour is gone, {inside} is still inside: grind finer next time.", inside=inside))
    elif advice.colour_gone and much:
        found.append(t("Colour is gone, {inside} is still inside.", inside=inside))
    elif advice.grind_finer:
        found.append(t("{inside} stays inside: grind finer next time.", inside=inside))
    if advice.colour_first:
        found.append(t("The colour leaves before what dissolves: do not stop by it."))
    return found


def _of_the_clock(taps: Siphonings) -> list[str]:
    found = list[str]()
    if taps.fades:
        grows = 100.0 * taps.trend
        found.append(
            t(
                "The heater gets weaker: each siphoning takes {grows:.0f} % longer than the one before.",
                grows=grows,
            )
        )
    if taps.forgotten:
        which = ", ".join(str(one) for one in taps.forgotten)
        found.append(t("Not tapped, but counted: siphoning {which}.", which=which))
    found += [
        t(
            "After siphoning {number} it stood {minutes:.0f} min: no slow cycle.",
            number=after,
            minutes=minutes,
        )
        for after, minutes in taps.cuts
    ]
    if 0 in taps.number_of_tap:
        found.append(t("Two taps in a moment are taken as one siphoning."))
    return found


def _of_signals(run: RunWatched) -> list[str]:
    found = [t(BLIND[one]) for one in run.found.advice.blind] if run.found else []
    if run.found and run.found.advice.sure_to >= UNSURE:
        to = number(run.found.advice.sure_to, 0)
        found.append(
            t("By taps alone the best stop is known within ±{to} siphonings.", to=to)
            if run.found.advice.by_plan_alone else
            t("What was looked at places the best stop within ±{to} siphonings.", to=to)
        )  # fmt: skip
        if run.found.advice.verdict == "stop":
            loses = number(100.0 * run.found.advice.stop_loses.high, 1)
            found.append(
                t(
                    "Stopping now loses {loses} % at most, compared with that; a siphoning is worth {worth:g} %.",
                    loses=loses, worth=100.0 * WORTH_SHARE,
                )
            )  # fmt: skip
        found.append(
            t(
                "Dry 10 mL of every siphoning, 40 mL where the scale shows 10 mg: nine in ten then lie within ±1."
            )
        )
    if run.blank_waits:
        found.append(
            t("The refractometer waits for its blank: read fresh condensate, not the spirit you poured.")
        )
    return found


def _blocks(run: RunWatched) -> list[Block]:
    says, may_stop = verdict_of(run)
    blocks: list[Block] = [Points((says,), "done" if may_stop else "missing")]
    besides = noticed(run)
    if besides:
        blocks.append(Points(besides, "missing"))
    if not run.does_soxhlet:
        blocks.append(Prose(t("The procedure of this batch has no Soxhlet; it is watched by what is usual.")))
    if run.found is None:
        return [
            *blocks,
            Empty(t("No siphoning yet."), t("The clock of the watch begins with the first tap.")),
        ]
    advice, figures = run.found.advice, run.figures
    blocks.append(
        Numbers((
            show(figures["inside"], label=t("Still inside"), decimals=1, span=_ends(advice.inside, 100.0)),
            show(figures["more"], label=t("Siphonings more"), decimals=0, span=_ends(advice.more, 1.0, 0)),
            show(figures["cycle"], label=t("A siphoning takes"), decimals=1),
        ))
    )  # fmt: skip
    blocks += _coming(run)
    blocks += _siphonings(run)
    blocks += [
        Heading(t("How it is calculated"), folded=True),
        Numbers((
            show(figures["ratio"], label=t("Falls at each siphoning to"), decimals=2, span=_ends(advice.ratio, 1.0, 2)),
            show(figures["slow"], label=t("Slow rest"), decimals=0, span=_ends(advice.slow_share, 100.0, 0)),
            show(figures["next"], label=t("The next brings"), decimals=2, span=_ends(advice.next_shares[0], 100.0, 2)),
            show(figures["next_g"], label=t("That is"), decimals=3, span=_ends(advice.next_g, 1.0, 3)),
        )),
        Prose(
            t(
                "Nothing falls faster than to {fastest:.2f}: what stays over what it holds, {by}. Intervals hold nine "
                "runs in ten. It tells of what dissolves; of the marker only a drop of its reagent or an assay does. "
                "No published Soxhlet time-yield table was found: the model is checked by its parts and on hidden "
                "runs of another model.",
                fastest=advice.fastest_ratio,
                by=t("measured with water on {batch}", batch=run.measured) if run.measured else t("by the plan"),
            ),
            quiet=True,
        ),
    ]  # fmt: skip
    return blocks


def _ends(one: Ranged, times: float, decimals: int = 1) -> str:
    return between(number(times * one.low, decimals), number(times * one.high, decimals))


def _coming(run: RunWatched) -> list[Block]:
    """What the next siphonings bring and cost."""
    if run.found is None:
        return []
    advice, cycle = run.found.advice, run.found.taps.cycle_min
    price, currency = run.kwh_price or (0.0, "")
    rows = []
    for ahead in range(1, len(advice.next_shares) + 1):
        share = sum(one.middle for one in advice.next_shares[:ahead])
        costs = (f"{ahead * run.kwh * price:.2f}",) if run.kwh_price else ()
        rows.append((
            str(ahead), f"{100.0 * share:.2g}", f"{share * advice.amount_g.middle:.2g}", f"{ahead * cycle:.0f}",
            f"{ahead * run.kwh:.3f}", *costs,
        ))  # fmt: skip
    power = (t("Power, {currency}", currency=currency),) if run.kwh_price else ()
    head = (t("More"), t("Brings, %"), "g", "min", "kWh", *power)
    return [
        Heading(t("What the next ones bring"), folded=True),
        Table(head, tuple(rows), tuple(range(1, len(head)))),
    ]


def _siphonings(run: RunWatched) -> list[Block]:
    rows = list[tuple[Cell, ...]]()
    for one in run.rows:
        when: Cell = t("not tapped")
        if one.at is not None and one.tap is not None:
            when = Link(clock(one.at, run.last_at), f"/entries/{one.tap.entry_no}")
        plan = f"{100.0 * run.planned[one.number - 1].left:.0f}" if one.number <= len(run.planned) else ""
        rows.append((str(one.number), when, ", ".join(one.says), plan))
    facts = [
        (t("Siphonings"), str(len(run.rows))),
        (t("Minutes of heat"), f"{run.minutes:.0f}"),
    ]
    if run.planned and run.running:
        ends = run.planned[-1]
        left = _percent(Ranged(ends.left, ends.left_low, ends.left_high))
        facts.append(
            (t("By the plan"), t("{count} siphonings in {minutes:.0f} min, {left} inside at the end",
             count=len(run.planned), minutes=ends.minutes, left=left))
        )  # fmt: skip
    return [
        Heading(t("Every siphoning"), folded=True),
        Facts(tuple(facts)),
        Table((t("Siphoning"), t("At"), t("Looked at"), t("Inside by the plan, %")), tuple(rows), (3,)),
    ]
