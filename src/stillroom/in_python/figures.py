"""Figures for a program: by names that stay, each with value, uncertainty, unit, basis and trail, as table or frame."""

import html
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from stillroom.answers.budget import Stated
from stillroom.asking.figures import Known, answer_in
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.documents.numbers_shown import show
from stillroom.errors import BadEntry, UnknownName
from stillroom.evidence.seal import Json
from stillroom.evidence.trails import trail

if TYPE_CHECKING:
    from pandas import DataFrame

COLUMNS = ("name", "value", "u", "unit", "basis", "of")


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure with what it rests on.

    Attributes
    ----------
    name : str
        Stable: the same in every language.
    value : float
        Unrounded.
    u : float or None
        Standard uncertainty, in the unit of the value; None where there is none.
    unit, basis : str
    of : str
        Lot, batch or order it belongs to; "" for a question.
    interval : (float, float) or None
        Where 95 of 100 draws lie, where one ± does not tell it.
    """

    name: str
    value: float
    u: float | None
    unit: str
    basis: str
    of: str = ""
    interval: tuple[float, float] | None = None
    _known: "Known | None" = field(default=None, repr=False, compare=False)

    @property
    def trail(self) -> dict[str, Json]:
        """What it was calculated from, down to readings: ``{"top": key, "rows": {key: row}}``."""
        return trail(answer_in(self._known)) if self._known else {}

    def __float__(self) -> float:
        return self.value

    def __str__(self) -> str:
        return str(show(self._known)) if self._known else f"{self.value:g} {self.unit}".strip()

    def __repr__(self) -> str:
        return f"{self.name}: {self}"


def _figure(name: str, known: Known, of: str = "") -> Figure:
    answer = answer_in(known)
    interval = known.interval if isinstance(known, Stated) else None
    return Figure(
        name, answer.value, answer.standard_uncertainty, answer.unit, answer.basis, of, interval, known
    )


class Rows(Sequence[Mapping[str, Any]]):
    """Rows of the same columns: a list to a program, a table to a notebook, a frame where pandas is."""

    def __init__(self, rows: Sequence[Mapping[str, Any]]) -> None:
        self._rows = tuple(rows)

    def __getitem__(self, at: Any) -> Any:
        return self._rows[at]

    def __len__(self) -> int:
        return len(self._rows)

    def __repr__(self) -> str:
        return "\n".join(
            " · ".join(str(one) for one in row.values() if one not in ("", None)) for row in self
        )

    def _repr_html_(self) -> str:
        return _table(self)

    def frame(self) -> "DataFrame":
        """The same as a pandas frame.

        Raises
        ------
        BadEntry
            pandas is not installed.
        """
        return _frame(self)


class Figures(Mapping[str, Figure]):
    """Figures by name, and the page that shows them.

    Attributes
    ----------
    page : Page
        Printed as text by ``print``.
    record : object or None
        What the book holds of it: lot, batch or order.
    """

    def __init__(self, figures: Mapping[str, Known], page: Page, of: str = "", record: Any = None) -> None:
        self._figures = {name: _figure(name, one, of) for name, one in figures.items()}
        self.page, self.record = page, record

    def __getitem__(self, name: str) -> Figure:
        if name not in self._figures:
            raise UnknownName.among(name, "a figure", self._figures)
        return self._figures[name]

    def __contains__(self, name: object) -> bool:
        return name in self._figures

    def __iter__(self) -> Iterator[str]:
        return iter(self._figures)

    def __len__(self) -> int:
        return len(self._figures)

    def __str__(self) -> str:
        return page_text(self.page)

    def __repr__(self) -> str:
        return "\n".join((self.page.title, *(f"  {one!r}" for one in self._figures.values())))

    def _repr_html_(self) -> str:
        return f"<b>{html.escape(self.page.title)}</b>{_table(self._rows())}"

    def _ipython_key_completions_(self) -> list[str]:
        return list(self)

    def _rows(self) -> list[Mapping[str, Any]]:
        return [{name: getattr(one, name) for name in COLUMNS} for one in self._figures.values()]

    def frame(self) -> "DataFrame":
        """Name, value, u, unit, basis and of, as a pandas frame.

        Raises
        ------
        BadEntry
            pandas is not installed.
        """
        return _frame(self._rows())


def _table(rows: Sequence[Mapping[str, Any]]) -> str:
    if not rows:
        return ""
    head = "".join(f"<th>{html.escape(str(name))}</th>" for name in rows[0])
    body = "".join(
        "<tr>"
        + "".join(f"<td>{'' if one is None else html.escape(str(one))}</td>" for one in row.values())
        + "</tr>"
        for row in rows
    )
    return f"<table><tr>{head}</tr>{body}</table>"


def _frame(rows: Sequence[Mapping[str, Any]]) -> "DataFrame":
    try:
        from pandas import DataFrame
    except ImportError as missing:
        raise BadEntry("pandas must be installed for a frame", "it is not", "pip install pandas") from missing
    return DataFrame(list(rows))
