"""Pages of the ways of extracting: which there are, and what one is, asks for, and holds for.

What a way assumes stands at the end with its range, so that nobody takes a beginning for a result.
"""

from stillroom.documents.blocks import Block, Caution, Facts, Heading, Link, Page, Prose, Table
from stillroom.documents.showing import number
from stillroom.records.procedures import Setting, Step
from stillroom.records.starters import Starter, Verdict, starters
from stillroom.reference.cautions import caution

HREF = "/make/starters"
WORDS: dict[Verdict, str] = {"holds": "holds", "warned": "with care", "refused": "does not hold"}


def starters_page(*, practice: bool, laboratory: str, date: str, book: str) -> Page:
    """Every way of extracting that can be copied."""
    rows = tuple(
        (
            Link(one.title, f"{HREF}/{one.name}"),
            one.says,
            _few([group for group, _ in one.groups("holds")]),
            f"{one.days:g} d",
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
    return Page(title, "starters", "", blocks, practice, laboratory, date, book, lead=lead, href=HREF)


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
        Heading("Markers"),
        Table(("Group", "Way", "Why", "Instead"), tuple(_verdicts(one))),
        Heading("Steps"),
        Table(
            ("Step", "What is done", "Time"), tuple((f"{at}. {step.name}", step.says, _time(step))
                                                    for at, step in enumerate(one.procedure.steps, start=1))
        ),
        Heading("Cautions"),
        *(_caution(key) for key in one.cautions),
        Heading("What it assumes"),
        Prose("Replace each by a reading of your own. An assumed figure serves a plan, never a release.", quiet=True),
        Table(
            ("Step", "What", "Value", "Why"),
            tuple(
                (step.name, in_words(setting.name), _value(setting), setting.because)
                for step in one.procedure.steps
                for setting in step.settings
                if setting.origin != "chosen"
            ),
        ),
    )  # fmt: skip
    return Page(
        one.title,
        "starter",
        one.name,
        blocks,
        practice,
        laboratory,
        date,
        book,
        lead=one.says,
        href=f"{HREF}/{one.name}",
    )


def in_words(setting: str) -> str:
    """The name of a setting without the unit it carries: "retention_ml_per_g" is "retention"."""
    plain = setting
    for end in UNIT_ENDS:
        if plain.endswith(end):
            plain = plain.removesuffix(end)
            break
    return plain.replace("_", " ")


UNIT_ENDS = (
    "_ml_per_min_kg", "_g_per_kg_h", "_kj_per_mol", "_min_per_kg", "_mg_per_kg", "_mg_per_l", "_ml_per_g",
    "_g_per_g", "_mass_fraction", "_share", "_min", "_w", "_g", "_c",
)  # fmt: skip


def _verdicts(one: Starter) -> list[tuple[str, str, str, str]]:
    """Groups with one verdict and one reason stand in one row."""
    rows: dict[tuple[str, str, str], list[str]] = {}
    for verdict, word in WORDS.items():
        for group, holding in one.groups(verdict):
            rows.setdefault((word, holding.why, "; ".join(holding.instead)), []).append(group)
    return [(", ".join(groups), word, why, instead) for (word, why, instead), groups in rows.items()]


def _value(setting: Setting) -> str:
    return f"{number(setting.value)} {setting.unit}".strip()


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
    return ", ".join(parts) or "as the amount asks"


def _long(minutes: float) -> str:
    return f"{minutes:g} min" if minutes < 120 else f"{minutes / 60:g} h"


def _few(groups: list[str]) -> str:
    return ", ".join(groups[:5]) + (" and more" if len(groups) > 5 else "")


def _caution(key: str) -> Caution:
    found = caution(key)
    return Caution(found.hazard, found.moment, found.wording, found.defers)
