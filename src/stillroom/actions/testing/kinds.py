"""The kinds of test, one file each: what is entered, what counts, what is written, and what is told of it.

A new kind is a file with an ``Act`` in it, and its line here; every door walks this table.
"""

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Any

from stillroom.actions.book.acts import Act

KINDS: Mapping[str, str] = {
    "identity": "testing.identity:decide_identity",
    "describe": "lots.plant_card:describe_plant",
    "rack": "lots.rack_weighing:weigh_rack",
    "precipitate": "testing.precipitate:read_test",
    "titration": "testing.titration:titrate",
    "ph": "testing.ph:read_ph",
    "outside": "testing.outside:enter_outside_result",
    "weigh-again": "testing.drying:weigh_again",
    "drying": "testing.drying:weigh_drying",
    "residue": "testing.residue:report_residue",
    "untested": "testing.residue:leave_residue_untested",
    "density": "making.bulk_density:weigh_density",
    "siphoned": "watching.siphonings_noted:tap",
    "not-siphoned": "watching.siphonings_noted:take_back",
    "watched": "watching.siphonings_noted:look_at",
    "looked": "watching.bed_noted:look_in",
    "warm": "watching.warmth_noted:note_warmth",
    "crest": "watching.siphonings_noted:measure_extractor",
    "marc": "watching.after_the_run:check_marc",
    "log": "watching.after_the_run:enter_log",
}
"""Each kind by its verb, and where it is declared, in the order in which a lot offers them."""


@cache
def kind_of_test(name: str) -> Act[Any]:
    """A kind of test.

    Parameters
    ----------
    name : str
        Key of ``KINDS``. [text]
    """
    module, _, declared = KINDS[name].partition(":")
    found: Act[Any] = getattr(import_module(f"stillroom.actions.{module}"), declared)
    return found


@cache
def kinds_of_test() -> tuple[Act[Any], ...]:
    """Every kind."""
    return tuple(kind_of_test(name) for name in KINDS)
