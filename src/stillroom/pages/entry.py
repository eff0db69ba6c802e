"""Pages that open something: an entry of the book, the reason of a number."""

import re
from typing import Any, Unpack

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of, page_facts
from stillroom.actions.making.what_it_gave import what_it_gave
from stillroom.actions.orders.ordering import work_back
from stillroom.answers.budget import stated
from stillroom.documents.batch_gave import label_of
from stillroom.documents.blocks import (
    Block,
    Facts,
    Heading,
    Link,
    Page,
    PageFacts,
    Points,
    Prose,
    Table,
)
from stillroom.documents.entry_words import told
from stillroom.documents.numbers_shown import interval, number, reasons
from stillroom.documents.put_right import when
from stillroom.errors import Phrase, UnknownName, worded
from stillroom.evidence.answer import OWN_RUNS, Answer, leaves
from stillroom.evidence.trails import from_trail
from stillroom.pages.paging import kind_said
from stillroom.pages.plans import kept_plan
from stillroom.quantities.basis import counted_once
from stillroom.quantities.numbers import in_digits
from stillroom.records.entries import Entry
from stillroom.records.entry_json import body_to_json
from stillroom.records.entry_subjects import subjects_of
from stillroom.reference.sources import source
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

RAW_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?([+-]\d\d:\d\d|Z)?")
RESTS_ON: tuple[tuple[str, str], ...] = (
    ("reading", later("readings")),
    ("published", later("published figures")),
    ("assumed", later("assumptions")),
    (OWN_RUNS, later("figures from own runs")),
)
ALWAYS_COUNTED = 3
"""Of these the first are told even where there is none."""


def entry_page(entry: Entry[Any], **page_facts: Unpack[PageFacts]) -> Page:
    """One entry as it was written, with what corrected it or what it corrects."""
    pairs: list[tuple[str, Any]] = [
        (t("Kind"), kind_said(entry.kind)),
        ("By", entry.by),
        (t("Done"), when(entry.done_at)),
        (t("Entered"), when(entry.entered_at)),
        (t("Speaks of"), ", ".join(subjects_of(entry.body))),
    ]
    if entry.why:
        pairs.append((t("Why"), entry.why))
    if entry.doubt:
        pairs.append((t("Its time"), t("said to be right, although {doubt}", doubt=entry.doubt)))
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
    counted = {kind: sum(1 for one in below if one.leaf and one.leaf.kind == kind) for kind, _ in RESTS_ON}
    blocks: list[Block] = [
        Facts(
            (
                (t("Value"), f"{number(answer.value)} {answer.unit}".strip()),
                *(((t("Standard uncertainty"), f"{number(u)} {answer.unit}".strip()),) if u else ()),
                *(((t("Basis"), counted_once(answer.basis)),) if answer.basis else ()),
                *(((t("Calculated by"), answer.formula),) if answer.how else ()),
                (
                    t("Rests on"),
                    ", ".join(
                        f"{counted[kind]} {t(name)}"
                        for at, (kind, name) in enumerate(RESTS_ON)
                        if counted[kind] or at < ALWAYS_COUNTED
                    ),
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
    if answer.rests_on_an_assumption:
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


def show_entry(lab: Laboratory, entry_no: int) -> Page:
    """One entry, corrected or not."""
    with lab.look() as look:
        return entry_page(look.entry(entry_no), **facts_of(look))


def show_why(lab: Laboratory, what: str) -> Page:
    """The reason of a number.

    Parameters
    ----------
    what : str
        "plan/ORD-1/plant_g" for a line of a plan, or the number of the entry that holds a result or a dose.

    Raises
    ------
    UnknownName
        There is no such line or entry with a reason.
    """
    answer, title = find_answer(lab, what)
    return why_page(answer, title=title, **page_facts(lab), href=f"/why/{what}", code=what)


def find_answer(lab: Laboratory, what: str) -> tuple[Answer, str]:
    """The answer behind an address, and its title."""
    parts = what.strip("/").split("/")
    if parts[0] == "plan" and len(parts) >= 3:
        with lab.look() as look:
            kept = kept_plan(look, parts[1])
        made = kept[0] if kept else work_back(lab, parts[1])
        key = "/".join(parts[2:])
        line = next((one for one in made.lines if one.key == key), None)
        if line is None:
            raise UnknownName.among(key, "a line of the plan", (one.key for one in made.lines))
        return line.answer, t("Why {label}", label=line.label)
    with lab.look() as look:
        entry_no = in_digits(parts[0])
        if entry_no is None:
            return _result_named(look, parts[0], "/".join(parts[1:]))
        entry = look.entry(entry_no)
        found = getattr(entry.body, "trail", None)
        if not found:
            raise UnknownName(
                worded(
                    "Entry {what} is a {kind}: it was read, not calculated",
                    what=Phrase(what),
                    kind=entry.kind,
                ),
                do=worded("See entry {what} itself", what=Phrase(what)),
            )
        answer = from_trail(found)
        return answer, t("Why {answer_name}", answer_name=answer.name)


def _result_named(look: Reader, code: str, name: str) -> tuple[Answer, str]:
    """The last result of a lot or batch by its name, or the first words of it; or a figure of what a batch gave."""
    is_lot, is_batch = look.holds(code)
    gave = what_it_gave(look, code) if is_batch else None
    if gave is not None and gave.given is not None and name in gave.given.figures:
        answer = gave.given.figures[name].answer
        return answer, t("Why {what} of {code}", what=label_of(name, answer), code=code)
    if not (is_lot or is_batch):
        raise UnknownName(
            worded("{code!r} is not a number that opens", code=code),
            do="Write plan/<order>/<line>, <lot>/<result>, or the number of the entry of a result",
        )
    results = look.results(code)
    found = [entry for entry in results if entry.body.what == name] or [
        entry for entry in results if name and entry.body.what.startswith(name)
    ]
    if not found:
        raise UnknownName.among(name, f"a result of {code}", (entry.body.what for entry in results))
    answer = from_trail(found[-1].body.trail)
    return answer, t("Why {what} of {code}", what=found[-1].body.what, code=code)


def _first(look: Reader, entry: Entry[Any]) -> Entry[Any]:
    """The entry as it was written first, before anybody corrected it."""
    while entry.corrects is not None:
        entry = look.entry(entry.corrects)
    return entry
