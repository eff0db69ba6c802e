"""How a page of blocks meets its templates: small filters, one environment, no numbers made here."""

import re
import sys
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import TypeAlias

from jinja2 import Environment, FileSystemBytecodeCache, FileSystemLoader, StrictUndefined, select_autoescape
from jinja2.bccache import Bucket

from stillroom.documents.blocks import Block, Cell, Shown, Table
from stillroom.documents.code_image import qr_svg
from stillroom.substances.remembering import remember
from stillroom.texts.catalogue import LANGUAGES, figure, language, later, t, word

TEMPLATES = Path(__file__).parent / "templates"
AT_THE_BENCH = ("Bench", "Make", "Test", "Stock", "Trace")
"""Where forms keep what is typed, and wait for a laptop that does not answer."""

MOST_SET = 2048
"""Blocks that are kept as they were set: those of some forty pages. [1]"""


class CompiledBeside(FileSystemBytecodeCache):
    """Compiled templates, kept beside them as Python keeps its modules: where it may write and is not told not to."""

    def load_bytecode(self, bucket: Bucket) -> None:
        """What was kept, where that can be read."""
        with suppress(OSError):
            super().load_bytecode(bucket)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep one; where there is no room for it, it is compiled again at the next start."""
        if not sys.dont_write_bytecode:
            with suppress(OSError):
                Path(self.directory).mkdir(exist_ok=True)
                super().dump_bytecode(bucket)


@cache
def environment() -> Environment:
    """The template environment: everything escaped, everything named must exist."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        bytecode_cache=CompiledBeside(str(TEMPLATES / "__pycache__")),
        autoescape=select_autoescape(["html"]),
        undefined=StrictUndefined,
        trim_blocks=False,
    )
    made.filters["block_kind"] = lambda block: type(block).__name__
    made.filters["set_once"] = set_once
    made.filters["laid"] = laid
    made.filters["spread"] = spread
    made.tests["a_number"] = lambda one: isinstance(one, Shown)
    made.tests["reasoned"] = is_reasoned
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


@dataclass(frozen=True)
class Column:
    """A column of a table as it is shown.

    ``unit``, ``basis``: of the whole column; "" where they differ.
    """

    head: str
    figures: bool
    """Whether numbers stand in it on their decimal point."""
    tail: int = 0
    """Room after the point, with the point. [letters]"""
    spread: int = 0
    """Room for what stands beside the value. [letters]"""
    refs: bool = False
    """Whether any of its numbers has a reason."""
    in_cells: bool = False
    """Whether the units stand in the cells, because they differ."""
    unit: str = ""
    basis: str = ""

    @cached_property
    def head_and_unit(self) -> str:
        """What its cells are called where they stand below each other."""
        return f"{self.head}, {self.unit}" if self.unit else self.head


Row: TypeAlias = tuple[tuple[Cell, Column], ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """A table laid out."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Row, Row], ...]
    """The first cell of each, and the others; each cell with its column."""
    reasoned: tuple[Shown, ...]
    """The numbers that have a reason."""


@remember(MOST_SET)
def set_once(block: Block, warned: bool, brief: bool) -> str:
    """A block as HTML: set again only where it says something else than before, on whatever page it stood.

    Parameters
    ----------
    warned : bool
        Whether a caution stands right before it.
    brief : bool
        Whether the hands are busy.
    """
    return environment().get_template("block.html").render(block=block, warned=warned, brief=brief)


def laid(block: Table) -> Laid:
    """A table laid out for the page."""
    columns = tuple(_column(block, at) for at in range(len(block.head)))
    rows = tuple(tuple(zip(row, columns, strict=True)) for row in block.rows)
    numbers = (one for row in rows for one, column in row if column.figures and isinstance(one, Shown))
    return Laid(
        columns, tuple((row[:1], row[1:]) for row in rows), tuple(one for one in numbers if is_reasoned(one))
    )


def _column(block: Table, at: int) -> Column:
    if at not in block.figures:
        return Column(block.head[at], figures=False)
    numbers = [row[at] for row in block.rows]
    shown = [one for one in numbers if isinstance(one, Shown)]
    units, bases = {one.unit for one in shown}, {one.basis for one in shown}
    return Column(
        block.head[at],
        figures=True,
        tail=max((len(one.value) - one.value.index(".") for one in shown if "." in one.value), default=0),
        spread=max((len(spread(one)) for one in shown), default=0),
        refs=any(is_reasoned(one) for one in shown),
        in_cells=len(units) > 1,
        unit=units.pop() if len(units) == 1 else "",
        basis=bases.pop() if len(bases) == 1 else "",
    )


def spread(shown: Shown) -> str:
    """What stands beside a value: an uncertainty after ±, a span ("80.1 to 96.4") as it stands."""
    sign = "± " if shown.plus_minus[:1].isdigit() else ""
    return shown.span or sign + shown.plus_minus


def is_reasoned(shown: Shown) -> bool:
    """Whether a number opens to its reason."""
    return bool(shown.how or shown.leaves)


def block_names() -> tuple[str, ...]:
    """Kinds of block the templates know, read from them."""
    text = "".join((TEMPLATES / name).read_text(encoding="utf-8") for name in ("blocks.html", "block.html"))
    return tuple(re.findall(r'(?<!\.)kind == "(\w+)"', text))
