"""What a release asks for beside its own figures: counts of microbes, the challenge test, papers of the law, the label.

Promises "done", "waived by name with a reason" or "not shown" for each, never silence. A mixture of low risk by its
ethanol needs neither count nor challenge; that is said with the figure it rests on.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from stillroom.products.check_lines import CheckLine, Standing
from stillroom.records.lot_kinds import Traits
from stillroom.substances.rules import rule
from stillroom.texts.catalogue import later, t

Ask: TypeAlias = Literal["decided", "shown"]
PAPERS: dict[str, tuple[Ask, str]] = {
    "microbial count": ("decided", "iso-17516"),
    "challenge test": ("decided", "iso-11930"),
    "label check": ("decided", "iso-22716"),
    "safety report": ("shown", "regulation-1223-2009"),
    "notification": ("shown", "regulation-1223-2009"),
    "metals and pesticides": ("shown", ""),
    "stability": ("shown", ""),
}
"""Each with how it stands while nobody has entered it: decided by name, or printed as not shown; and its source."""
_NAMES = {
    "microbial count": later("Microbial count"),
    "challenge test": later("Challenge test"),
    "label check": later("Label check"),
    "safety report": later("Safety report"),
    "notification": later("Notification"),
    "metals and pesticides": later("Metals and pesticides"),
    "responsible person": later("Responsible person"),
    "stability": later("Stability"),
}
_OPEN = {
    "microbial count": later("{name}: not tested"),
    "challenge test": later("{name}: not tested"),
    "metals and pesticides": later("{name}: not tested"),
    "label check": later("{name}: a person reads the label against the list of ingredients and the order"),
}
_WITHOUT_WATER = later("{name}: not tested; without water in it germs hardly grow")
_NOT_SHOWN = later("{name}: not shown")
OUTCOME_WORDS = {
    "shown": later("shown"),
    "passes": later("passes"),
    "fails": later("fails"),
}
OF_MICROBES = ("microbial count", "challenge test")
LOW_RISK = "spirit-that-keeps"


def papers_asked(traits: Traits) -> tuple[str, ...]:
    """Which papers may be shown of a lot: all of a product, a count of microbes of what brings germs into one."""
    if traits.made_as == "formula":
        return tuple(PAPERS)
    return OF_MICROBES[:1] if traits.counts_germs else ()


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper or test as it was entered."""

    what: str
    """One of ``PAPERS``."""
    outcome: str
    says: str
    document: str
    dated: str = ""


def paper_lines(
    shown: Iterable[Paper], *, ethanol_percent_v: float | None = None, without_water: bool = False
) -> tuple[CheckLine, ...]:
    """The lines of every paper a product asks for; stability is judged with the date.

    Parameters
    ----------
    shown : iterable of Paper
        What was entered, the last of each counts. [records]
    ethanol_percent_v : float or None
        Ethanol in the product; None where nobody knows. [% v/v]
    without_water : bool
        Nothing watery is in it: of low risk, and a person says so. [bool]

    Returns
    -------
    tuple of CheckLine
        One for each. [records]

    References
    ----------
    iso-29621
    """
    last: Mapping[str, Paper] = {one.what: one for one in shown}
    found = []
    for what, (ask, source) in PAPERS.items():
        if what == "stability":
            continue
        name = paper_name(what)
        paper = last.get(what)
        if paper is not None:
            found.append(_entered(what, name, paper, source))
        elif what in OF_MICROBES and _low_risk(ethanol_percent_v):
            says = t(
                "{name}: not needed, {percent} % v/v of ethanol",
                name=name,
                percent=f"{ethanol_percent_v:.0f}",
            )
            found.append(CheckLine(f"paper/{what}", name, "within", says, source="iso-29621"))
        else:
            standing: Standing = "undecided" if ask == "decided" else "cannot be seen here"
            dry = without_water and what in OF_MICROBES
            found.append(
                CheckLine(
                    f"paper/{what}",
                    name,
                    standing,
                    t(_WITHOUT_WATER if dry else _OPEN.get(what, _NOT_SHOWN), name=name),
                    source="iso-29621" if dry else source,
                    close=t(
                        "Decide by name that it needs none, if nothing wet comes to it in use; or enter what was found"
                        if dry
                        else "Enter what was found; or decide by name why it is left out"
                        if ask == "decided"
                        else "Enter it with its number; until then the certificate says so",
                        name=name,
                    ),
                )
            )
    return tuple(found)


def count_of_germs(shown: Iterable[Paper], *, awaited: bool) -> tuple[CheckLine, ...]:
    """The line about the microbes of what is no product, where a count was entered or one is awaited.

    Parameters
    ----------
    shown : iterable of Paper
        What was entered, the last counts. [records]
    awaited : bool
        Whether the list says that nobody counted them. [bool]
    """
    what = OF_MICROBES[0]
    name, source = paper_name(what), PAPERS[what][1]
    last = next((one for one in reversed(tuple(shown)) if one.what == what), None)
    if last:
        return (_entered(what, name, last, source),)
    says, close = t(_OPEN[what], name=name), t("Let them be counted, and enter what was found")
    line = CheckLine(f"paper/{what}", name, "cannot be seen here", says, source=source, close=close)
    return (line,) if awaited else ()


def paper_name(what: str) -> str:
    """One of ``PAPERS`` in the language spoken at the moment."""
    return t(_NAMES[what])


def _entered(what: str, name: str, paper: Paper, source: str) -> CheckLine:
    fails = paper.outcome == "fails"
    says = t(
        "{name}: {says} ({document}{dated})",
        name=name,
        says=paper.says or t(OUTCOME_WORDS[paper.outcome]),
        document=paper.document,
        dated=f", {paper.dated}" if paper.dated else "",
    )
    close = t("Find the cause; reject it, or enter the result of a new sample") if fails else ""
    return CheckLine(f"paper/{what}", name, "over" if fails else "within", says, source=source, close=close)


def _low_risk(ethanol_percent_v: float | None) -> bool:
    return ethanol_percent_v is not None and ethanol_percent_v > rule(LOW_RISK).value
