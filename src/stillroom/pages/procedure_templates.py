"""Pages of the ways of extracting: which there are, and what one is, asks for, and holds for.

What a way assumes stands at the end with its range, so that nobody takes a beginning for a result.
"""

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import page_facts
from stillroom.documents.blocks import Block, Facts, Heading, Link, Page, Prose, Table
from stillroom.documents.caution_blocks import caution_block
from stillroom.documents.setting_words import setting_words
from stillroom.records.procedures import Setting, Step
from stillroom.records.starters import Starter, Verdict, starter, starters
from stillroom.texts.catalogue import later, t

HREF = "/make/starters"
VERDICTS: dict[Verdict, str] = {
    "holds": later("yes"),
    "warned": later("with care"),
    "refused": later("no"),
}
MANY = {"resin or terpene": later("resins and terpenes"), "other": later("others")}
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
            (t("Way"), t("What is done"), t("Holds for"), t("Takes")),
            rows,
        ),
        Prose(
            t("A copy is a beginning: its assumed figures come with their ranges. Replace them by your own."),
            quiet=True,
        ),
    )
    lead = t("Choose a way of getting the marker out of the plant. You copy it for your plant and alter it.")
    title = t("Ways of extracting")
    return Page(title, "ways", "", blocks, practice, laboratory, date, book, lead=lead, href=HREF)


def starter_page(one: Starter, *, practice: bool, laboratory: str, date: str, book: str) -> Page:
    """One way: for what, with what, step by step, its cautions, and what it assumes."""
    blocks: tuple[Block, ...] = (
        Facts(
            (
                (t("Suits"), one.suits_plants),
                (
                    t("Takes"),
                    t(
                        "{days:g} working {which}, waiting included",
                        days=one.days,
                        which=t("day") if one.days == 1 else t("days"),
                    ),
                ),
                (t("You need"), one.apparatus),
                (t("Beware"), one.beware),
            )
        ),
        Heading(t("Which markers")),
        Table(
            (t("Markers"), t("It holds"), t("Why"), t("Instead")),
            tuple(_verdicts(one)),
        ),
        Heading(t("Steps")),
        Table(
            (t("Step"), t("What is done"), t("Time")),
            tuple(
                (f"{at}. {step.name}", step.says, _time(step))
                for at, step in enumerate(one.procedure.steps, start=1)
            ),
        ),
        Prose(
            t(
                "Boiling, dripping and filtering come on top, according to the amount; a plan "
                "calculates them."
            ),
            quiet=True,
        ),
        Heading(t("Cautions")),
        *map(caution_block, one.cautions),
        Prose(t("Each stands again at its step."), quiet=True),
        Heading(t("What it assumes")),
        Prose(
            t("Replace each by a reading of your own. An assumed figure serves a plan, never a release."),
            quiet=True,
        ),
        Table(
            (t("What"), "At", t("Value"), t("Usual")),
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
        word = t(VERDICTS[verdict])
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
            (step.hands_min, t("of hands")),
            (step.watch_min, "watched"),
            (step.free_min, t("of waiting")),
        )
        if minutes
    ]
    return ", ".join(parts)


def _long(minutes: float) -> str:
    return f"{minutes:g} min" if minutes < 120 else f"{minutes / 60:g} h"


def _few(groups: list[str]) -> str:
    many = [t(MANY[one]) if one in MANY else f"{one}s" for one in groups]
    return ", ".join(many[:5]) + (t(" and more") if len(many) > 5 else "")


def show_starters(lab: Laboratory) -> Page:
    """Every way of extracting that can be copied."""
    return starters_page(**page_facts(lab))


def show_starter(lab: Laboratory, name: str) -> Page:
    """One way of extracting: for what, with what, step by step.

    Raises
    ------
    UnknownName
        There is none of that name.
    """
    return starter_page(starter(name), **page_facts(lab))
