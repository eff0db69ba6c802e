"""The watch of a maceration or a percolation: whether another stretch brings anything, on top; every look below."""

from stillroom.actions.watching.bed_noted import HAPPENED
from stillroom.actions.watching.bed_run import BedRun
from stillroom.actions.watching.siphonings_noted import DROP, SHOWED, VOLUME
from stillroom.documents.blocks import Block, Cell, Empty, Heading, Link, Numbers, Points, Prose, Table
from stillroom.documents.numbers_shown import number, show
from stillroom.documents.timers import clock
from stillroom.science.extraction.bed_advice import WORTH_SHARE
from stillroom.science.extraction.watching_advice import Ranged
from stillroom.texts.catalogue import between, later, t

BLIND = {
    "refractometer": later(
        "The refractometer does not tell this stretch from the next any more: dry a sample."
    ),
    "density": later("The density does not tell this stretch from the next any more: dry a sample."),
    "sample": later("Two samples no longer differ by more than their own error."),
}
WAITS = {
    "refractometer": later("The refractometer waits for its blank: read the spirit as it was poured."),
    "density": later("The density waits for that of the clean liquid: weigh the spirit as it was poured."),
}


def bed_verdict(run: BedRun) -> tuple[str, bool]:
    """The advice in one sentence, and whether it may stop."""
    if run.found is None and run.looks:
        return t("The clock runs. Look at it at least twice, some hours apart."), False
    if run.found is None:
        return t("Nobody looked yet. Note when the liquid went on, and look twice."), False
    advice = run.found.advice
    if not advice.fits:
        return t(
            "No advice: what was seen does not fit so much plant and liquid. Look whether the lot the sheet was "
            "planned with, the times, the drops and the samples are right."
        ), False  # fmt: skip
    plan = t("By the plan alone, for only the clock was seen: ") if advice.by_plan_alone else ""
    inside = t(" {inside} is still inside.", inside=_percent(advice.inside))
    brings = 100.0 * advice.next_shares[0].middle
    if advice.verdict == "not yet":
        says = t(
            "Go on: what comes is still what washes out at once, and the slow rest does not show yet. Look again in "
            "some hours." if run.drips else
            "Not yet: the slow share does not show. Look again, at least twice, some hours apart."
        )  # fmt: skip
        return says + (inside if run.drips else ""), False
    if advice.verdict == "stop":
        says = t(
            "Stop: the next mL for each gram brings {brings:.2g} %, and {worth:g} % is worth it." if run.drips else
            "Stop: another day brings {brings:.2g} %, and {worth:g} % is worth one.",
            brings=brings, worth=100.0 * WORTH_SHARE,
        )  # fmt: skip
        return plan + says + inside, True
    hours = max(round(advice.more.middle), 1) * advice.ahead_min / 60.0
    says = t(
        "Go on: the next mL for each gram brings {brings:.2g} %; about {hours:.0f} h more." if run.drips else
        "Go on: another day brings {brings:.2g} %; about {hours:.0f} h more.",
        brings=brings, hours=hours,
    )  # fmt: skip
    return plan + says + inside, False


def bed_blocks(run: BedRun) -> list[Block]:
    """What the page of the watch shows."""
    says, may_stop = bed_verdict(run)
    blocks: list[Block] = [Points((says,), "done" if may_stop else "missing")]
    if run.found is None and run.looks:
        return [*blocks, _looks(run)]
    if run.found is None:
        return [*blocks, Empty(t("No look yet."), t("The clock begins with the liquid on the plant."))]
    advice, figures = run.found.advice, run.figures
    besides = [t(BLIND[one]) for one in advice.blind] + [t(WAITS[one]) for one in run.waits]
    if advice.colour_first:
        besides.append(t("The colour leaves before what dissolves: do not stop by it."))
    if run.drips and not run.counted:
        besides.append(
            t("Millilitres by a standard tip, a quarter off and more: count the drops that fill 5 mL once.")
        )
    if besides:
        blocks.append(Points(tuple(besides), "missing"))
    blocks.append(
        Numbers((
            show(figures["inside"], label=t("Still inside"), decimals=1, span=_ends(advice.inside, 100.0)),
            show(figures["next"], label=t("Another stretch brings"), decimals=2,
                 span=_ends(advice.next_shares[0], 100.0, 2)),
            *((show(figures["came"], label=t("Dripped so far"), decimals=0, span=_ends(advice.came_ml, 1.0, 0)),)
              if run.drips else ()),
        ))
    )  # fmt: skip
    stretch = (
        t("{hours:.1f} h for a mL for each gram", hours=advice.ahead_min / 60.0) if run.drips else t("a day")
    )
    return [
        *blocks,
        _looks(run),
        Heading(t("How it is calculated"), folded=True),
        Numbers((
            show(figures["more"], label=t("Stretches more"), decimals=0, span=_ends(advice.more, 1.0, 0)),
            show(figures["slow"], label=t("Slow rest"), decimals=0, span=_ends(advice.slow_share, 100.0, 0)),
            show(figures["next_g"], label=t("That is"), decimals=2, span=_ends(advice.next_g, 1.0, 2)),
        )),
        Prose(
            t(
                "A stretch is {stretch}. A share goes into the liquid at once and a slow rest with time, fitted "
                "together to all that was seen; intervals hold nine beds in ten. It tells of what dissolves; of the "
                "marker only a drop of its reagent or an assay does.",
                stretch=stretch,
            ),
            quiet=True,
        ),
    ]  # fmt: skip


def _looks(run: BedRun) -> Block:
    rows = list[tuple[Cell, ...]]()
    last = run.looks[-1][0]
    for at, entries in run.looks:
        said = ", ".join(_says(one.body.what, one.body.value, one.body.unit) for one in entries)
        hours = (at - run.begins).total_seconds() / 3600.0
        rows.append((Link(clock(at, last), f"/entries/{entries[0].entry_no}"), number(hours, 1), said))
    return Table((t("At"), "h", t("Looked at")), tuple(rows), (1,))


def _says(what: str, value: float, unit: str) -> str:
    if what in HAPPENED:
        return t(HAPPENED[what])
    if what == DROP:
        return t(SHOWED["yes" if value else "no"])
    told = f"{value:g} {unit}".strip()
    return told if what == VOLUME else t("{what}: {told}", what=what, told=told)


def _percent(one: Ranged) -> str:
    ends = between(number(100.0 * one.low, 0), number(100.0 * one.high, 0))
    return f"{100.0 * one.middle:.0f} % ({ends})"


def _ends(one: Ranged, times: float, decimals: int = 1) -> str:
    return between(number(times * one.low, decimals), number(times * one.high, decimals))
