"""When a Soxhlet may stop, with nothing set up: the dry residues of its last siphonings, and what may remain.

Promises the siphonings still to run and the time they take, or a sentence why the residues cannot tell. Writes nothing.
"""

import math
from collections.abc import Mapping

from stillroom.documents.asking_siphon import SiphonWords, siphon_page
from stillroom.documents.blocks import NO_BOOK, Page, PageFacts
from stillroom.documents.doors import Unsaid, opened_at, question_address, said_in
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.entry import entry, several, share, without_sign
from stillroom.results.siphon_tail import RESIDUE, Tail, tail

QUESTION = "siphon"
ASKED = "as asked"
ENTRIES = ("residues", "collected", "cycle", "remain")
MAY_REMAIN_PERCENT = 1.0
RESIDUE_LIMITS_MG = 2.0
"""A dish and a residue on a scale of a milligram, either way: common practice, no source."""
MOST_RESIDUES = 30


def work_out_siphon(fields: Mapping[str, str], facts: PageFacts = NO_BOOK) -> Page:
    """Work out when to stop from the fields.

    Parameters
    ----------
    fields : mapping of str to str
        "residues" in order, between semicolons or spaces ("412; 251; 156 mg"), "collected", "cycle", and what else was
        said: "remain", "sure".
    facts : PageFacts
        Of the laboratory, where one is open.

    Raises
    ------
    StillroomError
        An entry is missing or cannot be read, or the residues do not fall.
    """
    said = said_in(fields)
    residues = _residues(said)
    collected = _asked(said, "collected", "g", 'Write "18.42 g": dry, these siphonings included')
    cycle = _asked(said, "cycle", "min", 'Write "14 min": from one siphoning to the next')
    remain = _remain(said)
    try:
        found = tail(residues, collected, cycle, remain)
    except StillroomError as error:
        raise (error if error.where else error.at("residues")) from error
    words = SiphonWords(
        residues=tuple(f"{one.value:g}" for one in residues),
        collected=f"{collected.value:g} g",
        cycle=f"{cycle.value:g} min",
        may_remain=f"{remain.value:g} %",
    )
    return siphon_page(found, words, _unsaid(said, found), href=question_address(QUESTION, said), **facts)


def _residues(said: Mapping[str, str]) -> list[Answer]:
    found = several(said.get("residues", ""), "mg", where="residues")
    if not found:
        raise BadEntry(
            "The dry residues of the last siphonings are needed",
            "none",
            'Write "412; 251; 156 mg"',
            where="residues",
        )
    if len(found) > MOST_RESIDUES:
        raise BadEntry(
            worded("At most {most_residues} residues are taken", most_residues=MOST_RESIDUES),
            str(len(found)),
            "Leave the first ones out: the last tell the most",
            where="residues",
        )
    sure, because = _sure(said)
    return [
        reading(f"{RESIDUE} {at}", one.in_unit("mg"), "mg", f"{ASKED}, {because}", standard_uncertainty=sure)
        for at, one in enumerate(found, 1)
    ]


def _sure(said: Mapping[str, str]) -> tuple[float, str]:
    if not said.get("sure"):
        return RESIDUE_LIMITS_MG / math.sqrt(
            3.0
        ), f"within {RESIDUE_LIMITS_MG:g} mg: common practice, no source"
    half = entry(without_sign(said["sure"]), "mg", where="sure").in_unit("mg")
    return half / 2.0, f"± {half:g} mg (k = 2)"


def _asked(said: Mapping[str, str], name: str, unit: str, do: str) -> Answer:
    if not said.get(name):
        raise BadEntry(worded("The entry {called} is needed", called=name), "nothing", do, where=name)
    return reading(name, entry(said[name], unit, where=name).in_unit(unit), unit, ASKED)


def _remain(said: Mapping[str, str]) -> Answer:
    if not said.get("remain"):
        return assumed("may remain", MAY_REMAIN_PERCENT, "%", "common practice, no source: a hundredth")
    return reading(
        "may remain", 100.0 * share(said["remain"], least=1e-6, most=0.5, where="remain"), "%", ASKED
    )


def _unsaid(said: Mapping[str, str], found: Tail) -> tuple[Unsaid, ...]:
    items = []
    if not said.get("remain"):
        items.append(
            Unsaid(
                "how much may remain", f"{MAY_REMAIN_PERCENT:g} %", "common practice, no source",
                "a tenth of it takes a few siphonings more", 0.5, "remain", opened_at(QUESTION, said, "remain"),
            )
        )  # fmt: skip
    if not said.get("sure"):
        share = 2.0 * (found.remaining_share.answer.standard_uncertainty or 0.0)
        items.append(
            Unsaid(
                "how sure each residue is", f"± {RESIDUE_LIMITS_MG:g} mg", "common practice, no source",
                f"moves what remains by ± {share:.2g} of a per cent", 0.1, "sure", opened_at(QUESTION, said, "sure"),
            )
        )  # fmt: skip
    return tuple(items)
