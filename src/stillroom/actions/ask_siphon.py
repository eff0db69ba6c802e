"""When a Soxhlet may stop, with nothing set up: the dry residues of its last siphonings, and what may remain.

Promises the siphonings still to run and the time they take, or a sentence why the residues cannot tell. Writes nothing.
"""

import math
import re
from collections.abc import Mapping

from stillroom.documents.asking_siphon import SiphonWords, siphon_page
from stillroom.documents.blocks import NO_BOOK, Page, PageFacts
from stillroom.documents.doors import Unsaid, opened_at, question_address, said_in
from stillroom.errors import BadEntry, StillroomError, worded
from stillroom.evidence.answer import Answer, assumed, reading
from stillroom.quantities.fractions import share_of_one_thing
from stillroom.quantities.parse import parse
from stillroom.results.siphon_tail import RESIDUE, Tail, tail

QUESTION = "siphon"
ASKED = "as asked"
ENTRIES = ("residues", "collected", "cycle", "remain")
MAY_REMAIN_PERCENT = 1.0
RESIDUE_LIMITS_MG = 2.0
"""A dish and a residue on a scale of a milligram, either way: common practice, no source."""
MOST_RESIDUES = 30
_BARE = re.compile(r"[\d.,]+")


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
    collected = _asked(said, "collected", "mass", "g", 'Write "18.42 g": dry, these siphonings included')
    cycle = _asked(said, "cycle", "time", "min", 'Write "14 min": from one siphoning to the next')
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
    text = re.sub(r"\s*mg\b", "", said.get("residues", ""))
    parts = [one for one in re.split(r"[;\s]+|,\s", text) if one]
    if not parts:
        raise BadEntry(
            "The dry residues of the last siphonings are needed",
            "none",
            'Write "412; 251; 156 mg"',
            where="residues",
        )
    if len(parts) > MOST_RESIDUES:
        raise BadEntry(
            worded("At most {most_residues} residues are taken", most_residues=MOST_RESIDUES),
            str(len(parts)),
            where="residues",
        )
    sure, because = _sure(said)
    made = []
    for at, one in enumerate(parts, 1):
        value = parse(f"{one} mg", want="mass", zero_allowed=False, where="residues").in_unit("mg")
        made.append(reading(f"{RESIDUE} {at}", value, "mg", f"{ASKED}, {because}", standard_uncertainty=sure))
    return made


def _sure(said: Mapping[str, str]) -> tuple[float, str]:
    if not said.get("sure"):
        return RESIDUE_LIMITS_MG / math.sqrt(
            3.0
        ), f"within {RESIDUE_LIMITS_MG:g} mg: common practice, no source"
    text = said["sure"].lstrip("±+-/ ")
    text = f"{text} mg" if _BARE.fullmatch(text) else text
    half = parse(text, want="mass", zero_allowed=False, where="sure").in_unit("mg")
    return half / 2.0, f"± {half:g} mg (k = 2)"


def _asked(said: Mapping[str, str], name: str, want: str, unit: str, do: str) -> Answer:
    if not said.get(name):
        raise BadEntry(worded("The entry {called} is needed", called=name), "nothing", do, where=name)
    text = f"{said[name]} {unit}" if _BARE.fullmatch(said[name]) else said[name]
    return reading(name, parse(text, want=want, zero_allowed=False, where=name).in_unit(unit), unit, ASKED)


def _remain(said: Mapping[str, str]) -> Answer:
    if not said.get("remain"):
        return assumed("may remain", MAY_REMAIN_PERCENT, "%", "common practice, no source: a hundredth")
    text = said["remain"]
    text = text if "%" in text else f"{text} %"
    written = parse(text, basis_required=False, zero_allowed=False, where="remain")
    value = 100.0 * share_of_one_thing(written, where="remain")
    if not 0.0001 <= value <= 50.0:
        raise BadEntry("What may remain lies between 0.0001 and 50 %", said["remain"], where="remain")
    return reading("may remain", value, "%", ASKED)


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
