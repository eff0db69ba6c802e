"""Whatever an instrument can have shown is kept; where nothing follows from it nothing counts, until it is put right.

Each act of testing and watching is done with readings that are zero, ten times off either way, equal to another or
exchanged with it, and with nonsense. What is odd may be asked about once.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from itertools import permutations
from math import isfinite
from typing import Any

import pytest

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.testing.drying import weigh_drying
from stillroom.actions.testing.ph import read_ph
from stillroom.actions.testing.residue import report_residue
from stillroom.actions.testing.titrant_factors import factor_titrant, find_factor
from stillroom.actions.testing.titration import titrate
from stillroom.actions.watching.bed_noted import look_in
from stillroom.actions.watching.siphonings_noted import look_at, measure_extractor
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, StillroomError
from stillroom.pages.tracing import show_trace
from stillroom.pages.watch import show_watch
from stillroom.records.entries import ReadingTaken, ResultReckoned
from tests.practice import later

Said = Mapping[str, str]
SIGNED: Any = {"by": "TO", "at": later(1)}


@dataclass(frozen=True)
class Watched:
    """An act with a likely figure for each instrument it reads; ``tared`` may show less than nothing."""

    of: str
    does: Callable[[Laboratory, Said], Done]
    reads: Said
    tared: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    """What was not done at all then, or no such instrument shows."""


@pytest.fixture
def lab(lab: Laboratory) -> Laboratory:
    """The told laboratory, its titrant set anew."""
    factor_titrant(
        lab, "NAOH-01", strength="0.0200 mol/L", factor="1.004", factor_standard_uncertainty="0.002", by="TO",
        at=later(0),
    )  # fmt: skip
    return lab


def _dry(lab: Laboratory, said: Said) -> Done:
    return weigh_drying(
        lab, "CIN-01", dish=said["dish"], with_sample=said["with sample"],
        dried=(said["dried"], said["dried again"]), apparatus="SCALE-3", **SIGNED,
    )  # fmt: skip


def _titrate(lab: Laboratory, said: Said) -> Done:
    portions = [(said["mass"], said["titre"]), ("0.2000 g", "8.16 mL")]
    return titrate(
        lab, "E1", portions=portions, blank=said["blank"], titrant="NAOH-01", scale="SCALE-3", burette="BUR-1",
        temperature=said["temperature"], note=said.get("note", ""), **SIGNED,
    )  # fmt: skip


def _find_factor(lab: Laboratory, said: Said) -> Done:
    replicates = [(said["mass"], said["titre"]), ("0.0824 g", "20.22 mL"), ("0.0812 g", "19.93 mL")]
    return find_factor(
        lab, "NAOH-01", replicates, standard="potassium hydrogen phthalate", strength="0.0200 mol/L",
        blank=said["blank"], scale="SCALE-3", burette="BUR-1", temperature=said["temperature"],
        note=said.get("note", ""), **SIGNED,
    )  # fmt: skip


def _weigh_density(lab: Laboratory, said: Said) -> Done:
    return weigh_density(
        lab, "T1", empty=said["empty"], water=said["water"], bulk=said["bulk"], temperature=said["temperature"],
        scale="SCALE-2", thermometer="THERM-1", **SIGNED,
    )  # fmt: skip


ACTS = {
    "drying": Watched(
        "CIN-01",
        _dry,
        {"dish": "31.2040 g", "with sample": "33.2512 g", "dried": "33.0520 g", "dried again": "33.0510 g"},
        ("dish", "with sample", "dried", "dried again"),
    ),
    "titration": Watched(
        "E1",
        _titrate, {"mass": "0.2000 g", "titre": "8.20 mL", "blank": "20.06 mL", "temperature": "22 °C"}, ("mass",),
    ),
    "factor": Watched(
        "NAOH-01",
        _find_factor,
        {"mass": "0.0816 g", "titre": "20.06 mL", "blank": "0.04 mL", "temperature": "22 °C"},
        ("mass",),
    ),
    "density": Watched(
        "T1",
        _weigh_density,
        {"empty": "38.41 g", "water": "138.14 g", "bulk": "133.12 g", "temperature": "21 °C"},
        ("empty", "water", "bulk"),
    ),
    "residue": Watched(
        "E1",
        lambda lab, said: report_residue(
            lab, "E1", solvent="ethyl acetate", found=said["found"], uncertainty="31 mg/kg", report="IA-8",
            **SIGNED,
        ),
        {"found": "310 mg/kg"},
    ),
    "pH": Watched(
        "T1",
        lambda lab, said: read_ph(
            lab, "T1", ph=said["ph"], read_by="meter", meter_buffers="4.01, 6.86", note=said.get("note", ""), **SIGNED
        ),
        {"ph": "5.4"},
    ),
    "siphoning": Watched(
        "E1",
        lambda lab, said: look_at(
            lab, "E1", residue=said["residue"], volume=said["volume"], refractometer=said["read"],
            blank=said["blank"], **SIGNED,
        ),
        {"residue": "34 mg", "volume": "10 mL", "read": "1.4", "blank": "0.9"},
        ("residue",),
    ),
    "bed": Watched(
        "E1",
        lambda lab, said: look_in(
            lab, "E1", residue=said["residue"], volume=said["volume"], collected=said["collected"], **SIGNED
        ),
        {"residue": "34 mg", "volume": "10 mL", "collected": "400 mL"},
        ("residue",),
    ),
    "crest": Watched(
        "E1",
        lambda lab, said: measure_extractor(lab, "E1", crest=said["crest"], heel=said["heel"], **SIGNED),
        {"crest": "80 mL", "heel": "20 mL"}, (), ("crest times 0",),
    ),
}  # fmt: skip


def _times(text: str, factor: float) -> str:
    figure, _, unit = text.partition(" ")
    return f"{float(figure) * factor:.6g} {unit}".strip()


def readings_of(act: Watched) -> Iterator[tuple[str, Said]]:
    """Each way the instruments of an act can have shown something else."""
    for name, text in act.reads.items():
        for factor in (0.0, 0.1, 10.0):
            if f"{name} times {factor:g}" not in act.never:
                yield f"{name} times {factor:g}", {**act.reads, name: _times(text, factor)}
    for name in act.tared:
        unit = act.reads[name].partition(" ")[2]
        yield f"{name} below zero", {**act.reads, name: f"-0.01 {unit}"}
    for one, other in permutations(act.reads, 2):
        if act.reads[one].split()[1:] == act.reads[other].split()[1:]:
            yield f"{one} like {other}", {**act.reads, one: act.reads[other]}
            exchanged = {one: act.reads[other], other: act.reads[one]}
            if one < other:
                yield f"{one} and {other} exchanged", {**act.reads, **exchanged}


def kept(lab: Laboratory, act: Watched, said: Said) -> Done:
    """It is done; what is asked about is asked once, before anything is written, and kept with a note."""
    before = lab.book.digest()
    with suppress(BadEntry):
        return act.does(lab, said)
    with pytest.raises(BadEntry, match="say in the note"):
        act.does(lab, said)
    assert lab.book.digest() == before
    return act.does(lab, {**said, "note": "it showed so"})


@pytest.mark.parametrize("name", ACTS)
def test_every_reading_that_can_have_happened_is_kept_as_written_and_the_pages_open(
    lab: Laboratory, name: str
) -> None:
    act = ACTS[name]
    for what, said in readings_of(act):
        done = kept(lab, act, said)
        with lab.look() as look:
            new = [one for one in look.entries() if one.entry_no in done.entries]
        written = {one.body.as_written for one in new if isinstance(one.body, ReadingTaken)}
        results = [one.body for one in new if isinstance(one.body, ResultReckoned)]

        assert set(said.values()) <= written, what
        assert all(isfinite(one.value) for one in results), what
        assert all(one.because for one in results if not one.counts), what
    for show in (show_trace, *((show_watch,) if act.of == "E1" else ())):
        assert page_text(show(lab, act.of))
    assert lab.book.verify().troubles == ()


@pytest.mark.parametrize("name", ACTS)
def test_nonsense_is_refused_and_leaves_the_book_as_it_was(lab: Laboratory, name: str) -> None:
    before = lab.book.digest()
    for field, text in ACTS[name].reads.items():
        unit = text.partition(" ")[2]
        for nonsense in ("a little", "nan", "1e308", "-1e308"):
            with pytest.raises(StillroomError):
                ACTS[name].does(lab, {**ACTS[name].reads, field: f"{nonsense} {unit}".strip()})

    assert lab.book.digest() == before


WRONG = {
    "drying": [{"dish": "33.2512 g"}, {"dish": "34 g"}, {"dried": "33.2600 g", "dried again": "33.2600 g"}],
    "titration": [
        {"titre": "20.06 mL"},
        {"titre": "61.5 mL"},
        {"blank": "2.006 mL"},
        {"mass": "0.0200 g"},
        {"mass": "0 g"},
        {"temperature": "2.2 °C"},
    ],
    "pH": [{"ph": "54"}],
    "density": [{"water": "38.40 g"}, {"bulk": "30 g"}, {"empty": "150 g"}],
}
"""Readings from which nothing follows: of each kind what was shown instead of its likely figure."""


@pytest.mark.parametrize(("name", "at"), [(name, at) for name in WRONG for at in range(len(WRONG[name]))])
def test_what_nothing_follows_from_does_not_count_until_it_is_put_right(
    lab: Laboratory, name: str, at: int
) -> None:
    act, wrong = ACTS[name], WRONG[name][at]
    right = counting_after(lab, act.does(lab, act.reads).entries[0] - 1)
    begins = kept(lab, act, {**act.reads, **wrong}).entries[0]

    assert right
    assert not counting_after(lab, begins - 1)
    with lab.look() as look:
        entered = [
            one for one in look.entries() if one.entry_no >= begins and isinstance(one.body, ReadingTaken)
        ]
    for field, shown in wrong.items():
        mistyped = next(one for one in entered if one.body.as_written == shown)
        put_right(lab, mistyped.entry_no, {"reading": act.reads[field]}, why="misread", by="TO", at=later(2))
        entered.remove(mistyped)

    assert counting_after(lab, begins - 1) == pytest.approx(right)


def counting_after(lab: Laboratory, entry_no: int) -> dict[str, float]:
    """What counts among the results written since an entry, by its name."""
    with lab.look() as look:
        return {
            one.body.what: one.body.value for one in look.entries()
            if one.entry_no > entry_no and isinstance(one.body, ResultReckoned) and one.body.counts
        }  # fmt: skip
