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

    Attributes
    ----------
    needs_identity : bool
        Plant material does.
    identity_accepted : bool or None
        None when nobody decided.
    use_by, used_on : str or None
        Last day it may be used, and the last day it was. [ISO date]
    evidence : str
        On what its identity was accepted.
    status : str
        Where it stands now, "" where nobody looked.
    """

    code: str
    released: bool
    needs_identity: bool = False
    identity_accepted: bool | None = None
    use_by: str | None = None
    used_on: str | None = None
    evidence: str | None = None
    status: str = ""


@dataclass(frozen=True, slots=True)
class ResultFact:
    """A test or a result that the release rests on.

    Attributes
    ----------
    because : str
        Why it counts or does not.
    answer : Answer or None
        None for a present-or-absent test.
    as_expected : bool
        Whether the outcome is what the specification asks for.
    superseded : tuple of Superseded
        Readings in its trail that were corrected since.
    asked : bool
        Whether a release asks for it: what nobody asks for stops nothing where it does not count.
    """

    name: str
    counts: bool
    because: str
    answer: Answer | None = None
    as_expected: bool = True
    superseded: tuple[Superseded, ...] = ()
    on_certificate: bool = True
    asked: bool = True


@dataclass(frozen=True, slots=True)
class Decided:
    """What a named person decided about a line.

    Attributes
    ----------
    by, name : str
        Code and name.
    at : str
        [ISO time]
    says : str
        What the line said then; the decision holds while it says so.
    """

    by: str
    name: str
    at: str
    says: str
    reason: str


@dataclass(frozen=True, slots=True)
class ReleaseFacts:
    """Everything a release looks at.

    Attributes
    ----------
    subject : str
        The lot or batch to be released.
    worked : mapping of str to str
        Code of each person who weighed, dosed or tested, and what they did.
    last_work_at : str
        When the last of it was done. [ISO time with offset]
    needed : tuple of str
        Names of the results that must be there.
    strength_by_name : bool
        Whether somebody may decide by name that it goes without its assay: an extract that no order is made to.
    residue : Residue or None
        None when nobody said anything, which is not the same as "not tested".
    residue_needed : bool
        Whether a clean-up solvent was used.
    content : Answer or None
        Of the product. [% w/w]
    content_because : str
        Why the content is not calculated, where something was weighed in as the extract.
    declared : Answer or None
        [% w/w]
    judged : Judged or None
        The verdict on the ceiling; None where there is nothing to judge.
    steps_open : tuple of str
        Steps of the procedure that nobody has entered.
    names : mapping of str to str
        Names of those who worked, by code.
    lines : tuple of CheckLine
        Lines worked out elsewhere: limits of the formula, dates, papers, mass account.
    decided : mapping of str to Decided
        The last decision on each line, by its key.
    """

    subject: str
    worked: Mapping[str, str]
    last_work_at: str
    lots: tuple[LotFact, ...] = ()
    results: tuple[ResultFact, ...] = ()
    needed: tuple[str, ...] = ()
    strength_by_name: bool = False
    residue: Residue | None = None
    residue_needed: bool = True
    content: Answer | None = None
    content_because: str = ""
    declared: Answer | None = None
    judged: Judged | None = None
    fill: FillCheck | None = None
    fill_needed: bool = True
    steps_open: tuple[str, ...] = ()
    deviations_open: tuple[str, ...] = ()
    retained_units: int = 0
    retained_needed: int = 1
    names: Mapping[str, str] = field(default_factory=dict)
    lines: tuple[CheckLine, ...] = ()
    decided: Mapping[str, Decided] = field(default_factory=dict)
