"""Pages that open something: an entry of the book, the reason of a number."""

from typing import Any, Unpack

from stillroom.documents.blocks import Block, Facts, Heading, Link, Page, PageFacts, Points, Prose, Table
from stillroom.documents.making import when
from stillroom.documents.showing import number, reasons
from stillroom.documents.stock import told
from stillroom.evidence.answer import Answer, leaves
from stillroom.records.entries import Entry
from stillroom.records.entry_json import body_to_json
from stillroom.records.entry_subjects import subjects_of
from stillroom.reference.sources import source
from stillroom.results.budget import budget_of
from stillroom.science.measuring.uncertainty import expanded

RESTS_ON: tuple[tuple[str, str], ...] = (
    ("reading", "readings"),
    ("published", "published figures"),
    ("assumed", "assumptions"),
)


def entry_page(entry: Entry[Any], **page_facts: Unpack[PageFacts]) -> Page:
    """One entry as it was written, with what corrected it or what it corrects."""
    pairs: list[tuple[str, Any]] = [
        ("Kind", entry.kind),
        ("By", entry.by),
        ("Done", when(entry.done_at)),
        ("Entered", when(entry.entered_at)),
        ("Speaks of", ", ".join(subjects_of(entry.body))),
    ]
    if entry.why:
        pairs.append(("Why", entry.why))
    if entry.corrects:
        pairs.append(("Corrects", Link(f"entry {entry.corrects}", f"/entries/{entry.corrects}")))
    if entry.corrected_by:
        pairs.append(("Corrected by", Link(f"entry {entry.corrected_by}", f"/entries/{entry.corrected_by}")))
    pairs += [("Photograph", Link(seal[:12], f"/photographs/{seal}")) for seal in entry.attachments]
    rows = tuple(
        (name, value) for name, value in _flat("", body_to_json(entry.body)) if not name.startswith("trail")
    )
    blocks: tuple[Block, ...] = (
        Facts(tuple(pairs)),
        Heading("Word for word"),
        Table(("Field", "Written"), rows),
    )
    return Page(
        title=f"Entry {entry.entry_no}: {told(entry.body) or entry.kind}",
        kind="entry",
        code=str(entry.entry_no),
        blocks=blocks,
        **page_facts,
        status="corrected" if entry.corrected_by else "",
        href=f"/entries/{entry.entry_no}",
    )


def why_page(
    answer: Answer,
    *,
    title: str,
    href: str = "",
    code: str = "",
    **page_facts: Unpack[PageFacts],
) -> Page:
    """The reason of a number, down to reading, published row or assumption."""
    u = answer.standard_uncertainty
    below = leaves(answer)
    counted = {
        kind: sum(1 for one in below if one.leaf and one.leaf.kind == kind)
        for kind in ("reading", "published", "assumed")
    }
    blocks: list[Block] = [
        Facts(
            (
                ("Value", f"{number(answer.value)} {answer.unit}".strip()),
                *((("Standard uncertainty", f"{number(u)} {answer.unit}".strip()),) if u else ()),
                *((("Basis", answer.basis),) if answer.basis else ()),
                *((("Reckoned by", answer.how),) if answer.how else ()),
                (
                    "Rests on",
                    ", ".join(f"{counted[kind]} {word}" for kind, word in RESTS_ON),
                ),
            )
        )
    ]
    if answer.says:
        blocks.append(Prose(answer.says))
    blocks += _budget(answer)
    blocks += [Heading("Step by step"), reasons(answer)]
    keys = dict.fromkeys(key for one in _all(answer) for key in one.sources)
    if keys:
        blocks += [
            Heading("Sources"),
            Table(
                ("Source", "How it was seen"),
                tuple(
                    (source(key).citation.removesuffix(f" [{source(key).seen}]"), source(key).seen)
                    for key in keys
                ),
            ),
        ]
    if counted["assumed"]:
        blocks.append(
            Points(
                (
                    "It rests on an assumption: it may serve a plan, never a release, a certificate or a label.",
                ),
                "missing",
            )
        )
    return Page(title, "why", code, tuple(blocks), href=href, **page_facts)


def _budget(answer: Answer) -> list[Block]:
    """Where the uncertainty comes from, largest first; nothing for a figure of a Monte Carlo."""
    if (
        not answer.standard_uncertainty
        or answer.leaf is not None
        or answer.how.startswith("stillroom.planning")
    ):
        return []
    held = {one.key for one in _all(answer) if one.how.endswith(":on_the_scale_g")}
    budget = budget_of(answer, held=held)
    told = expanded(budget)
    rows = tuple(
        (
            one.name,
            number(one.value),
            number(one.standard_uncertainty),
            number(one.contribution),
            f"{100 * one.share:.1f} %",
        )
        for one in sorted(budget.contributions, key=lambda one: -one.share)
        if one.standard_uncertainty
    )
    dof = "many" if budget.effective_dof > 1000 else f"{budget.effective_dof:.0f}"
    return [
        Heading("Uncertainty budget"),
        Table(("Input", "Value", "u of it", "u it brings", "Share of the variance"), rows, (1, 2, 3, 4)),
        Prose(
            f"Together u = {number(budget.standard_uncertainty)} {answer.unit}; "
            f"U = {number(told.expanded_uncertainty)} "
            f"{answer.unit} with k = {told.k:.2g}, {dof} effective degrees of freedom.",
            quiet=True,
        ),
    ]


def _all(answer: Answer) -> tuple[Answer, ...]:
    from stillroom.evidence.answer import walk

    return tuple(walk(answer))


def _flat(name: str, value: object) -> list[tuple[str, str]]:
    if isinstance(value, dict):
        return [
            one
            for key, below in value.items()
            for one in _flat(f"{name} {key}".strip().replace("_", " "), below)
        ]
    if isinstance(value, list):
        return [one for at, below in enumerate(value, start=1) for one in _flat(f"{name} {at}", below)]
    if isinstance(value, bool):
        return [(name, "yes" if value else "no")]
    return [] if value in (None, "") else [(name, str(value))]
