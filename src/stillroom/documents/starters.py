"""Pages of the ways of extracting: which there are, and what one is, asks for, and holds for.

What a way assumes stands at the end with its range, so that nobody takes a beginning for a result.
"""

from stillroom.documents.blocks import Block, Facts, Heading, Link, Page, Points, Prose, Table
from stillroom.documents.setting_words import setting_words
from stillroom.records.procedures import Setting, Step
from stillroom.records.starters import Starter, Verdict, starters
from stillroom.reference.cautions import caution

HREF = "/make/starters"
WORDS: dict[Verdict, str] = {"holds": "yes", "warned": "with care", "refused": "no"}
MANY = {"resin or terpene": "resins and terpenes", "other": "others"}
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
        Table(("Way", "What is done", "Holds for", "Takes"), rows),
        Prose(
            "A copy is a beginning: its assumed figures come with their ranges and want replacing by your own. "
            "Local codes and licensed practice come first.",
            quiet=True,
        ),
    )
    lead = "Choose a way of getting the marker out of the plant. You copy it for your plant and alter it."
    title = "Ways of extracting"
    return Page(title, "ways", "", blocks, practice, laboratory, date, book, lead=lead, href=HREF)


def starter_page(one: Starter, *, practice: bool, laboratory: str, date: str, book: str) -> Page:
    """One way: for what, with what, step by step, its cautions, and what it assumes."""
    blocks: tuple[Block, ...] = (
        Facts(
            (
                ("Suits", one.suits_plants),
                ("Takes", f"{one.days:g} working {'day' if one.days == 1 else 'days'}, waiting included"),
                ("You need", one.apparatus),
                ("Beware", one.beware),
            )
        ),
        Heading("Which markers"),
        Table(("Markers", "It holds", "Why", "Instead"), tuple(_verdicts(one))),
        Heading("Steps"),
        Table(
            ("Step", "What is done", "Time"), tuple((f"{at}. {step.name}", step.says, _time(step))
                                                    for at, step in enumerate(one.procedure.steps, start=1))
        ),
        Prose("Boiling, dripping and filtering come on top, as the amount asks; a plan reckons them.", quiet=True),
        Heading("Cautions"),
        Points(tuple(f"{found.hazard}: {found.wording}" for found in map(caution, one.cautions))),
        Prose("Each stands again at its step. Local codes and licensed practice come first.", quiet=True),
        Heading("What it assumes"),
        Prose("Replace each by a reading of your own. An assumed figure serves a plan, never a release.", quiet=True),
        Table(
            ("What", "At", "Value", "Usual"),
            tuple(
                (setting_words(setting.name), step.name, _value(setting), _because(setting))
                for step in one.procedure.steps
                for setting in step.settings
                if setting.origin != "chosen"
            ),
        ),
    )  # fmt: skip
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
    for verdict, word in WORDS.items():
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
            (step.hands_min, "of hands"),
            (step.watch_min, "watched"),
            (step.free_min, "of waiting"),
        )
        if minutes
    ]
    return ", ".join(parts)


def _long(minutes: float) -> str:
    return f"{minutes:g} min" if minutes < 120 else f"{minutes / 60:g} h"


def _few(groups: list[str]) -> str:
    many = [MANY.get(one, f"{one}s") for one in groups]
    return ", ".join(many[:5]) + (" and more" if len(many) > 5 else "")
