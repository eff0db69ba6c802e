"""A page as plain text: what a terminal, a screen reader or a printer without graphics is given."""

import textwrap
from collections.abc import Iterator
from itertools import zip_longest

from stillroom.documents.blocks import (
    Block,
    Caution,
    Cell,
    Empty,
    Facts,
    Finder,
    Heading,
    LabelFace,
    Link,
    Mark,
    Numbers,
    Page,
    PenLines,
    Points,
    Prose,
    Reasons,
    River,
    ScanCode,
    Shown,
    Table,
    TurnOver,
    warns,
)
from stillroom.texts.catalogue import t

SIGNS = {
    "waiting": "◦", "released": "✓", "stopped": "■", "rejected": "✕", "met": "✓", "over": "■", "assumed": "◊",
    "missing": "□", "suspended": "■", "undecided": "□", "within": "✓", "decided": "✓",
    "under way": "◦", "due today": "◦", "late": "■", "here": "✓", "called off": "✕",
}  # fmt: skip
WIDTH = 92
LEAST = 12


def page_text(page: Page) -> str:
    """The whole page as text.

    Returns
    -------
    str
        Lines of at most about 92 characters, ending with a newline.
    """
    lines: list[str] = []
    if page.practice:
        lines += [t("Practice laboratory: invented data").upper(), ""]
    lines += [page.title, "=" * len(page.title)]
    if page.status:
        lines.append(f"{SIGNS.get(page.status, '·')} {page.status}")
    if page.lead:
        lines += textwrap.wrap(page.lead, WIDTH)
    for block in page.blocks:
        lines.append("")
        lines += _block(block)
    foot = " · ".join(
        part
        for part in (
            page.laboratory,
            page.kind,
            page.code,
            page.date,
            t("book {book}", book=page.book) if page.book else "",
        )
        if part
    )
    first = ["", t("Local codes and licensed practice come first.")] if warns(page) else []
    return "\n".join([*lines, *first, "", foot]).rstrip() + "\n"


def _block(block: Block) -> Iterator[str]:
    match block:
        case Heading(text=text, level=level):
            yield from (text, ("-" if level == 2 else "·") * len(text))
        case Prose(text=text):
            yield from textwrap.wrap(text, WIDTH)
        case Numbers(items=items):
            yield from _numbers(items)
        case Facts(items=items):
            width = max((len(word) for word, _ in items), default=0)
            for word, value in items:
                yield f"{word:<{width}}  {_cell(value)}"
        case Table():
            yield from _table(block)
        case Caution(hazard=hazard, moment=moment, wording=wording):
            yield from textwrap.wrap(f"! {hazard} ({moment}): {wording}", WIDTH, subsequent_indent="  ")
        case Points(items=items, kind=kind):
            sign = {"plain": "·", "missing": "□", "done": "✓"}[kind]
            for item in items:
                yield from textwrap.wrap(f"{sign} {item}", WIDTH, subsequent_indent="  ")
        case River(words=words):
            for sentence in words.replace(". ", ".\n").split("\n"):
                yield from textwrap.wrap(sentence, WIDTH, subsequent_indent="    ")
        case PenLines(labels=labels):
            for label in labels:
                yield f"{label}: {'_' * 40}"
        case ScanCode(text=text, caption=caption):
            yield t("[code] {code}", code=text) + (f"  {caption}" if caption else "")
        case Reasons(rows=rows):
            for name, value, how, leaf in rows:
                yield from textwrap.wrap(f"{name} = {value}: {how or leaf}", WIDTH, subsequent_indent="    ")
        case LabelFace(title=title, lines=lines, small=small, code=code, copy_by_pen=pen):
            yield f"[ {title} ]"
            yield from lines
            for line in small:
                yield from textwrap.wrap(line, WIDTH)
            if code:
                yield t("[code] {code}", code=code)
            yield t("To copy by pen:")
            for line in pen:
                yield f"    {line}"
        case Empty(what=what, why=why, link=link):
            yield from textwrap.wrap(f"{what} {why}" + (f" {link.text}." if link else ""), WIDTH)
        case Finder(words=words, says=says, choices=choices):
            yield t("{part}, searched for: {words}", part=says, words=words) if words else says
            for one in choices:
                offers = ", ".join(
                    f"[{words}]" if value == one.chosen else words for value, words in one.offers
                )
                yield from textwrap.wrap(f"{one.label}: {offers}", WIDTH, subsequent_indent="  ")
        case TurnOver(text=text):
            yield f" {text} ".center(WIDTH, "-")


def _numbers(items: tuple[Shown, ...]) -> Iterator[str]:
    width = max((len(one.label) for one in items), default=0)
    for one, after in zip_longest(items, items[1:]):
        joint = " " if one.basis.startswith(("w/", "v/")) else ", "
        line = f"{one.label:<{width}}  {one}"
        together = bool(one.basis) and len(line + joint + one.basis) <= WIDTH
        yield line + joint + one.basis if together else line
        if one.basis and not together:
            yield from textwrap.wrap(one.basis, WIDTH, initial_indent="      ", subsequent_indent="      ")
        if one.how and not (after and after.how == one.how):  # one reason for several is told under the last
            yield from textwrap.wrap(one.how, WIDTH, initial_indent="      ", subsequent_indent="      ")


def _table(table: Table) -> Iterator[str]:
    if table.caption:
        yield from textwrap.wrap(table.caption, WIDTH)
    rows = [tuple(_cell(cell) for cell in row) for row in table.rows]
    widths = _widths(table, rows)
    yield "  ".join(
        head.rjust(width) if at in table.figures else head.ljust(width)
        for at, (head, width) in enumerate(zip(table.head, widths, strict=True))
    ).rstrip()
    yield "  ".join("-" * width for width in widths)
    for row in rows:
        cells = [textwrap.wrap(cell, width) or [""] for cell, width in zip(row, widths, strict=True)]
        for line in zip_longest(*cells, fillvalue=""):
            yield "  ".join(
                cell.rjust(width) if at in table.figures else cell.ljust(width)
                for at, (cell, width) in enumerate(zip(line, widths, strict=True))
            ).rstrip()


def _widths(table: Table, rows: list[tuple[str, ...]]) -> list[int]:
    """Width of each column: what it needs, or less for the widest words when the line is too long for the page."""
    needs = [max([len(head), *(len(row[at]) for row in rows)]) for at, head in enumerate(table.head)]
    least = [max(len(head), LEAST) for head in table.head]
    shrinks = [at for at in range(len(needs)) if at not in table.figures and needs[at] > least[at]]
    while shrinks and sum(needs) + 2 * (len(needs) - 1) > WIDTH:
        widest = max(shrinks, key=lambda at: needs[at])
        needs[widest] -= 1
        if needs[widest] <= least[widest]:
            shrinks.remove(widest)
    return needs


def _cell(cell: Cell) -> str:
    match cell:
        case Shown():
            return str(cell)
        case Link(text=text):
            return text
        case Mark(word=word):
            return f"{SIGNS.get(word, '·')} {word}"
    return str(cell)
