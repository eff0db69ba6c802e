"""How a page of blocks meets its templates: small filters, one environment, no numbers made here."""

import re
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape

from stillroom.documents.blocks import Block, Cell, Facts, Link, Mark, Shown, Table
from stillroom.documents.code_image import qr_svg
from stillroom.texts.catalogue import LANGUAGES, figure, language, later, t, word

TEMPLATES = Path(__file__).parent / "templates"
AT_THE_BENCH = ("Bench", "Make", "Test", "Stock", "Trace")
"""Where forms keep what is typed, and wait for a laptop that does not answer."""


@cache
def environment() -> Environment:
    """The template environment: everything escaped, everything named must exist."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=select_autoescape(["html"]),
        undefined=StrictUndefined,
        trim_blocks=False,
    )
    made.filters["block_kind"] = lambda block: type(block).__name__
    made.filters["fact_pairs"] = fact_pairs
    made.filters["columns"] = columns
    made.filters["cells"] = cells
    made.filters["slug"] = slug
    made.filters["figure"] = figure
    made.filters["code_svg"] = qr_svg
    made.globals.update(
        t=t,
        later=later,
        say_word=word,
        page_names=PAGE_NAMES,
        spoken=language,
        languages=LANGUAGES,
        paper="a4",
        at_the_bench=AT_THE_BENCH,
    )
    made.globals.update(
        said="",
        said_entry="",
        trouble=None,
        prints=(),
        doing=(),
        running=(),
        form=None,
        theme=None,
        twin=None,
        book=None,
    )
    return made


PAGE_NAMES = {
    "ask": later("Ask"),
    "bench": later("Bench"),
    "orders": later("Orders"),
    "stock": later("Stock"),
    "make": later("Make"),
    "test": later("Test"),
    "products": later("Products"),
    "trace": later("Trace"),
    "sources": later("Sources"),
    "laboratory": later("Laboratory"),
}
"""What each page of the list is called."""


def slug(text: str) -> str:
    """Words made fit for an address within the page."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def fact_pairs(block: Facts) -> list[tuple[str, Any]]:
    """Facts as the macro takes them."""
    return [(name, _plain_cell(cell)) for name, cell in block.items]


def columns(block: Table) -> list[dict[str, str]]:
    """Heads of the columns with what kind of column each is."""
    return [
        {"head": head, "unit": "", "basis": "", "kind": "figure" if at in block.figures else "text"}
        for at, head in enumerate(block.head)
    ]


def cells(block: Table) -> list[list[Any]]:
    """Rows of cells as the macro takes them: figures whole, the rest as text, links and marks."""
    return [
        [
            cell if at in block.figures and isinstance(cell, Shown) else _plain_cell(cell)
            for at, cell in enumerate(row)
        ]
        for row in block.rows
    ]


def _plain_cell(cell: Cell) -> Any:
    match cell:
        case Link(text=text, href=href):
            return {"text": text, "href": href}
        case Mark(word=word):
            return {"status": word}
        case Shown():
            return str(cell)
    return cell


def block_names() -> tuple[str, ...]:
    """Kinds of block the template knows, read from the template."""
    text = (TEMPLATES / "blocks.html").read_text(encoding="utf-8")
    return tuple(re.findall(r'(?<!\.)kind == "(\w+)"', text))


__all__ = ["Block", "block_names", "cells", "columns", "environment", "fact_pairs", "slug"]
