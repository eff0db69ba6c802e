"""What the release list is made from: lots that went in, results, the product as it stands, and what was decided."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.answers.reckon_again import Superseded
from stillroom.answers.solvent_residue import Residue
from stillroom.evidence.answer import Answer
from stillroom.products.check_lines import CheckLine
from stillroom.products.filling import FillCheck
from stillroom.products.limits import Judged


@dataclass(frozen=True, slots=True)
class LotFact:
    """A lot that went in.

    ``use_by``, ``used_on``: last day it may be used, and the last day it was. [ISO date]
    """

    code: str
    released: bool
    needs_identity: bool = False
    """Plant material does."""
    identity_accepted: bool | None = None
    """None when nobody decided."""
    use_by: str | None = None
    used_on: str | None = None
    evidence: str | None = None
    """On what its identity was accepted."""
    status: str = ""
    """Where it stands now, "" where nobody looked."""


@dataclass(frozen=True, slots=True)
class ResultFact:
    """A test or a result that the release rests on."""

    name: str
    counts: bool
    because: str
    """Why it counts or does not."""
    answer: Answer | None = None
    """None for a present-or-absent test."""
    as_expected: bool = True
    """Whether the outcome is what the specification asks for."""
    superseded: tuple[Superseded, ...] = ()
    """Readings in its trail that were corrected since."""
    on_certificate: bool = True
    asked: bool = True
    """Whether a release asks for it: what nobody asks for stops nothing where it does not count."""


@dataclass(frozen=True, slots=True)
class Decided:
    """What a named person decided about a line.

    ``by``, ``name``: code and name.
    """

    by: str
    name: str
    at: str
    """[ISO time]"""
    says: str
    """What the line said then; the decision holds while it says so."""
    reason: str


@dataclass(frozen=True, slots=True)
class ReleaseFacts:
    """Everything a release looks at."""

    subject: str
    """The lot or batch to be released."""
    worked: Mapping[str, str]
    """Code of each person who weighed, dosed or tested, and what they did."""
    last_work_at: str
    """When the last of it was done. [ISO time with offset]"""
    lots: tuple[LotFact, ...] = ()
    results: tuple[ResultFact, ...] = ()
    needed: tuple[str, ...] = ()
    """Names of the results that must be there."""
    strength_by_name: bool = False
    """Whether somebody may decide by name that it goes without its assay: an extract that no order is made to."""
    residue: Residue | None = None
    """None when nobody said anything, which is not the same as "not tested"."""
    residue_needed: bool = True
    """Whether a clean-up solvent was used."""
    content: Answer | None = None
    """Of the product. [% w/w]"""
    content_because: str = ""
    """Why the content is not calculated, where something was weighed in as the extract."""
    declared: Answer | None = None
    """[% w/w]"""
    judged: Judged | None = None
    """The verdict on the ceiling; None where there is nothing to judge."""
    fill: FillCheck | None = None
    fill_needed: bool = True
    steps_open: tuple[str, ...] = ()
    """Steps of the procedure that nobody has entered."""
    deviations_open: tuple[str, ...] = ()
    retained_units: int = 0
    retained_needed: int = 1
    names: Mapping[str, str] = field(default_factory=dict)
    """Names of those who worked, by code."""
    lines: tuple[CheckLine, ...] = ()
    """Lines worked out elsewhere: limits of the formula, dates, papers, mass account."""
    decided: Mapping[str, Decided] = field(default_factory=dict)
    """The last decision on each line, by its key."""
