"""Pages of the ways of extracting: which there are, and what one is, asks for, and holds for.

What a way assumes stands at the end with its range, so that nobody takes a beginning for a result.
"""

from stillroom.documents.blocks import Block, Facts, Heading, Link, Page, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.setting_words import setting_words
from stillroom.records.procedures import Setting, Step
from stillroom.records.starters import Starter, Verdict, starters
from stillroom.texts.catalogue import t

HREF = "/make/starters"
VERDICTS: tuple[Verdict, ...] = ("holds", "warned", "refused")
MANY = {"resin or terpene": "starters.resins_and_terpenes", "other": "starters.others"}
RANGES = "parameter_ranges, "


def starters_page(*, practice: bool, laboratory: str, date: str, book: str) -> Page:
    """Every way of extracting that can be copied."""
    rows = tuple(
        (
            Link(one.title, f"{HREF}/{one.name}"),
            one.says,
            _few([group for group, _ in one.groups("holds")]),
            f"{one.days:g} {'day' if one.days == 1 else 'days'}",
        )
        for one in starters()
    )
    blocks: tuple[Block, ...] = (
        Table(
            (t("starters.way"), t("starters.what_is_done"), t("starters.holds_for"), t("starters.takes")),
            rows,
        ),
        Prose(
            t("starters.copy_beginning_assumed_figures"),
            quiet=True,
        ),
    )
    lead = t("starters.choose_way_getting_marker")
    title = t("starters.ways_of_extracting")
    return Page(title, "ways", "", blocks, practice, laboratory, date, book, lead=lead, href=HREF)


def starter_page(one: Starter, *, practice: bool, laboratory: str, date: str, book: str) -> Page:
    """One way: for what, with what, step by step, its cautions, and what it assumes."""
    blocks: tuple[Block, ...] = (
        Facts(
            (
                (t("starters.suits"), one.suits_plants),
                (
                    t("starters.takes"),
                    t(
                        "starters.working_waiting_included",
                        days=one.days,
                        which=t("starters.day") if one.days == 1 else t("starters.days"),
                    ),
                ),
                (t("starters.you_need"), one.apparatus),
                (t("starters.beware"), one.beware),
            )
        ),
        Heading(t("starters.which_markers")),
        Table(
            (t("starters.markers"), t("starters.it_holds"), t("starters.why"), t("starters.instead")),
            tuple(_verdicts(one)),
        ),
        Heading(t("starters.steps")),
        Table(
            (t("starters.step"), t("starters.what_is_done"), t("starters.time")),
            tuple(
                (f"{at}. {step.name}", step.says, _time(step))
                for at, step in enumerate(one.procedure.steps, start=1)
            ),
        ),
        Prose(t("starters.boiling_dripping_filtering_come"), quiet=True),
        Heading(t("starters.cautions")),
        *map(caution_block, one.cautions),
        Prose(t("starters.each_stands_again_step"), quiet=True),
        Heading(t("starters.what_it_assumes")),
        Prose(t("starters.replace_each_reading_your"), quiet=True),
        Table(
            (t("starters.what"), "At", t("starters.value"), t("starters.usual")),
            tuple(
                (setting_words(setting.name), step.name, _value(setting), _because(setting))
                for step in one.procedure.steps
                for setting in step.settings
                if setting.origin != "chosen"
            ),
        ),
    )
    return Page(
        one.title,
        "way of extracting",
        one.name,
        blocks,
        practice,
        laboratory,
        date,
        book,
        lead=one.says,
        href=f"{HREF}/{one.name}",
    )


def _verdicts(one: Starter) -> list[tuple[str, str, str, str]]:
    """Groups with one verdict and one reason stand in one row."""
    rows: dict[tuple[str, str, str], list[str]] = {}
    for verdict in VERDICTS:
        word = t(f"starters.{verdict}")
        for group, holding in one.groups(verdict):
            rows.setdefault((word, holding.why, "; ".join(holding.instead)), []).append(group)
    return [(", ".join(groups), word, why, instead) for (word, why, instead), groups in rows.items()]


def _value(setting: Setting) -> str:
    return _long(setting.value) if setting.unit == "min" else f"{setting.value:.4g} {setting.unit}".strip()


def _because(setting: Setting) -> str:
    if setting.because.startswith(RANGES):
        return setting.because.removeprefix(RANGES).partition(":")[2].strip()
    return setting.because


def _time(step: Step) -> str:
    parts = [
        f"{_long(minutes)} {word}"
        for minutes, word in (
            (step.hands_min, t("starters.of_hands")),
            (step.watch_min, "watched"),
            (step.free_min, t("starters.of_waiting")),
        )
        if minutes
    ]
    return ", ".join(parts)


def _long(minutes: float) -> str:
    return f"{minutes:g} min" if minutes < 120 else f"{minutes / 60:g} h"


def _few(groups: list[str]) -> str:
    many = [t(MANY[one]) if one in MANY else f"{one}s" for one in groups]
    return ", ".join(many[:5]) + (t("starters.and_more") if len(many) > 5 else "")
