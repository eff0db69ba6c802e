"""The kinds of test, one file each: what is entered, what counts, what is written, and what is told of it.

A new kind is a file with an ``Act`` in it, and its line here; every door walks this table.
"""

from typing import Any

from stillroom.actions.book.acts import Act, Acts

KINDS = Acts({
    "identity": "testing.identity:decide_identity",
    "describe": "lots.plant_card:describe_plant",
    "rack": "lots.rack_weighing:weigh_rack",
    "precipitate": "testing.precipitate:read_test",
    "titration": "testing.titration:titrate",
    "absorbance": "testing.absorbance:measure_absorbance",
    "ph": "testing.ph:read_ph",
    "outside": "testing.outside:enter_outside_result",
    "extractive": "testing.extractive:weigh_extractive",
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
})  # fmt: skip
"""Each kind by its verb, in the order in which a lot offers them."""


def kinds_of_test() -> tuple[Act[Any], ...]:
    """Every kind."""
    return tuple(KINDS.values())
