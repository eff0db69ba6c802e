"""Pages that open something: an entry of the book, the reason of a number."""

import re
from typing import Any, Unpack

from stillroom.answers.budget import stated
from stillroom.documents.blocks import Block, Facts, Heading, Link, Page, PageFacts, Points, Prose, Table
from stillroom.documents.numbers_shown import interval, number, reasons
from stillroom.documents.put_right import when
from stillroom.documents.stock import told
from stillroom.evidence.answer import Answer, leaves
from stillroom.records.entries import Entry
from stillroom.records.entry_json import body_to_json
from stillroom.records.entry_subjects import subjects_of
from stillroom.reference.sources import source
from stillroom.texts.catalogue import later, t

RAW_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?([+-]\d\d:\d\d|Z)?")
RESTS_ON: tuple[tuple[str, str], ...] = (
    ("reading", later("readings")),
    ("published", later("published figures")),
    ("assumed", later("assumptions")),
)


def entry_page(entry: Entry[Any], **page_facts: Unpack[PageFacts]) -> Page:
    """One entry as it was written, with what corrected it or what it corrects."""
    pairs: list[tuple[str, Any]] = [
        (t("Kind"), entry.kind),
        ("By", entry.by),
        (t("Done"), when(entry.done_at)),
        (t("Entered"), when(entry.entered_at)),
        (t("Speaks of"), ", ".join(subjects_of(entry.body))),
    ]
    if entry.why:
        pairs.append((t("Why"), entry.why))
    if entry.corrects:
        pairs.append(
            (
                t("Corrects"),
                Link(t("entry {corrects}", corrects=entry.corrects), f"/entries/{entry.corrects}"),
            )
        )
    if entry.corrected_by:
        pairs.append(
            (
                t("Corrected by"),
                Link(
                    t("entry {corrected_by}", corrected_by=entry.corrected_by),
                    f"/entries/{entry.corrected_by}",
                ),
            )
        )
    pairs += [(t("Photograph"), Link(seal[:12], f"/photographs/{seal}")) for seal in entry.attachments]
    rows = tuple(
        (name, value) for name, value in _flat("", body_to_json(entry.body)) if not name.startswith("trail")
    )
    blocks: tuple[Block, ...] = (
        Facts(tuple(pairs)),
        Heading(t("Word for word")),
        Table((t("Field"), t("Written")), rows),
    )
    return Page(
        title=t("Entry {entry_no}: {told}", entry_no=entry.entry_no, told=told(entry.body) or entry.kind),
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
                (t("Value"), f"{number(answer.value)} {answer.unit}".strip()),
                *(((t("Standard uncertainty"), f"{number(u)} {answer.unit}".strip()),) if u else ()),
                *(((t("Basis"), answer.basis),) if answer.basis else ()),
                *(((t("Calculated by"), answer.formula),) if answer.how else ()),
                (
                    t("Rests on"),
                    ", ".join(f"{counted[kind]} {t(name)}" for kind, name in RESTS_ON),
                ),
            )
        )
    ]
    if answer.says:
        blocks.append(Prose(answer.says))
    blocks += _budget(answer)
    blocks += [Heading(t("Step by step")), reasons(answer)]
    keys = dict.fromkeys(key for one in _all(answer) for key in one.sources)
    if keys:
        blocks += [
            Heading(t("Sources")),
            Table(
                (t("Source"), t("How it was seen")),
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
                    t(
                        "It rests on an assumption: it may serve a plan, never a release, a certificate or a "
                        "label."
                    ),
                ),
                "missing",
            )
        )
    return Page(title, "why", code, tuple(blocks), href=href, **page_facts)


def _budget(answer: Answer) -> list[Block]:
    """Where the uncertainty comes from, largest first; nothing for a figure of a Monte Carlo."""
    if not answer.standard_uncertainty or answer.leaf is not None or answer.formula == "plan-figure":
        return []
    held = {one.key for one in _all(answer) if one.formula == "on-the-scale"}
    told = stated(answer, held=held)
    budget = told.budget
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
        Heading(t("Uncertainty budget")),
        Table(
            (
                t("Input"),
                t("Value"),
                t("u of it"),
                t("u it brings"),
                t("Share of the variance"),
            ),
            rows,
            (1, 2, 3, 4),
        ),
        Prose(
            t(
                "Together u = {standard_uncertainty} {unit}; U = {expanded_uncertainty} {unit} with "
                "k = {k:.3g}, {dof} effective degrees of freedom.",
                standard_uncertainty=number(budget.standard_uncertainty),
                unit=answer.unit,
                expanded_uncertainty=number(told.expanded_uncertainty),
                k=told.k,
                dof=dof,
            )
            if told.interval is None
            else f"{interval(told)}.",
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
            for one in _flat(f"{name} · {key}".strip(" ·").replace("_", " "), below)
        ]
    if isinstance(value, list):
        return [one for at, below in enumerate(value, start=1) for one in _flat(f"{name} · {at}", below)]
    if isinstance(value, bool):
        return [(name, "yes" if value else "no")]
    if isinstance(value, float):
        return [(name, f"{value:.10g}")]
    told = "" if value is None else str(value)
    return [(name, when(told) if RAW_TIME.fullmatch(told) else told)] if told else []
