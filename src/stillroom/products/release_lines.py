"""Lines of the release list from the lots, the work, the results and the product itself.

Promises that every line says how it is closed, and that what this laboratory can do itself ("missing") is never
replaced by anybody's opinion.
"""

import re
from collections.abc import Iterator, Sequence

from stillroom.products.check_lines import CheckLine, Standing
from stillroom.products.release_record import LotFact, ReleaseFacts, ResultFact

SHORTEST_EVIDENCE = 12
"""Letters a sentence on identity has at least: "ok" and "looks right" compare nothing with anything."""


def says_nothing(evidence: str) -> bool:
    """Whether a sentence on identity says too little to be evidence: empty, "ok", one word.

    Parameters
    ----------
    evidence : str
        On what an identity was accepted. [text]
    """
    words = re.findall(r"[^\W\d_]{2,}", evidence)
    return len(words) < 3 or sum(len(one) for one in words) < SHORTEST_EVIDENCE


def lines_of_lot(lot: LotFact) -> Iterator[CheckLine]:
    """Lines about one lot that went in: its identity, its status, its date.

    Parameters
    ----------
    lot : LotFact
        What the book says of it. [record]
    """
    if lot.needs_identity:
        yield _identity(lot)
    if not lot.released:
        what = f"{lot.code} went in and is {lot.status}" if lot.status else f"{lot.code} went in"
        yield CheckLine(
            f"status/{lot.code}",
            lot.code,
            "missing",
            f"{what} and is not released" if not lot.status else f"{what}, not released",
            close=f"Release {lot.code}, or reject this",
        )
    if lot.use_by and lot.used_on:
        late = lot.used_on[:10] > lot.use_by[:10]
        yield CheckLine(
            f"use-by/{lot.code}",
            lot.code,
            "over" if late else "within",
            f"{lot.code} was used on {lot.used_on[:10]}, "
            f"{'after' if late else 'not after'} its use-by date {lot.use_by[:10]}",
            close="Reject this; or correct the receipt where the date was typed wrong" if late else "",
        )


def _identity(lot: LotFact) -> CheckLine:
    key = f"identity/{lot.code}"
    if lot.identity_accepted is None:
        return CheckLine(
            key,
            lot.code,
            "missing",
            f"The identity of {lot.code} is not decided",
            close="Let a competent person compare the retained sample with a reference",
        )
    if not lot.identity_accepted:
        return CheckLine(
            key,
            lot.code,
            "over",
            f"The identity of {lot.code} was not accepted",
            close="Reject what was made from it",
        )
    if lot.evidence is not None and says_nothing(lot.evidence):
        return CheckLine(
            key,
            lot.code,
            "missing",
            f"The identity of {lot.code} rests on {lot.evidence!r}, which compares it with nothing",
            close="Decide its identity again, and write what was compared with which reference",
        )
    return CheckLine(key, lot.code, "within", f"The identity of {lot.code} is accepted")


def lines_of_work(facts: ReleaseFacts) -> Iterator[CheckLine]:
    """Lines about steps, deviations and retained samples.

    Parameters
    ----------
    facts : ReleaseFacts
        What the book says. [record]
    """
    for step in facts.steps_open:
        yield CheckLine(
            f"step/{step}",
            step,
            "missing",
            f"The step {step!r} was not entered",
            close=f"Enter {step!r} with what was weighed",
        )
    if not facts.steps_open:
        yield CheckLine("steps", "Steps", "within", "Every step of the procedure is entered")
    for at, deviation in enumerate(facts.deviations_open, start=1):
        yield CheckLine(
            f"deviation/{at}",
            "Deviation",
            "missing",
            f"Open deviation: {deviation}",
            close="Write what was done about it and close it",
        )
    if not facts.deviations_open:
        yield CheckLine("deviations", "Deviations", "within", "No deviation is open")
    if facts.retained_needed:
        short = facts.retained_units < facts.retained_needed
        close = f"Put {facts.retained_needed - facts.retained_units} aside, in the pack that is sold"
        yield CheckLine(
            "retained",
            "Retained samples",
            "missing" if short else "within",
            f"{facts.retained_units} of {facts.retained_needed} samples are kept back",
            close=close if short else "",
        )


def lines_of_results(facts: ReleaseFacts) -> Iterator[CheckLine]:
    """Lines about tests and results.

    Parameters
    ----------
    facts : ReleaseFacts
        What the book says. [record]
    """
    there = {one.name for one in facts.results}
    for name in facts.needed:
        if name not in there:
            found = [one.name for one in facts.results if one.counts]
            yield _untested(name, found, by_name=facts.strength_by_name)
    for one in facts.results:
        yield from _result(one)


CLOSED_BY = {
    "density at 20 °C": "Weigh the density of the bulk; what was left over serves",
    "fill yield": "It is calculated once the density of the bulk is weighed",
}
"""How a result is come by that no test gives."""


def _untested(name: str, found: Sequence[str], *, by_name: bool) -> CheckLine:
    """What is needed and was not found; all of its kind counted as it is another thing, and there is a way on."""
    key, says, close = f"result/{name}", f"{name} was not tested", CLOSED_BY.get(name) or f"Test {name}"
    group = next((one for one in found if one.endswith(f" as {name}")), None)
    if group is not None:
        counted = group.partition(",")[0]
        says += f": a titration counts all of its kind, {counted}"
        close = f"Enter what another laboratory found of it; or correct the order to {counted}"
    if by_name:
        close += "; or decide that it goes without a strength: then nothing is dosed by it, and no label states one"
    return CheckLine(key, name, "undecided" if by_name else "missing", says, close=close)


def _result(one: ResultFact) -> Iterator[CheckLine]:
    key, found = f"result/{one.name}", len(one.superseded)
    does_not = f"{one.name} does not count: {one.because.removeprefix('It does not count.').strip()}"
    if not one.counts and not one.asked:
        yield CheckLine(key, one.name, "cannot be seen here", does_not)
        return
    if not one.counts:
        found += 1
        yield CheckLine(
            key,
            one.name,
            "missing",
            does_not,
            close=f"Test {one.name} again",
        )
    elif not one.as_expected:
        found += 1
        yield CheckLine(
            key,
            one.name,
            "over",
            f"{one.name} is out: {one.because}",
            close="Find the cause; reject it, or test a new sample",
        )
    for corrected in one.superseded:
        yield CheckLine(
            f"{key}/corrected",
            one.name,
            "missing",
            f"{one.name} rests on a corrected reading: {corrected.says}",
            close=f"Calculate {one.name} again",
        )
    if one.on_certificate and one.answer is not None and one.answer.rests_on_an_assumption:
        found += 1
        yield CheckLine(
            f"{key}/assumed",
            one.name,
            "missing",
            f"{one.name} rests on an assumption, and it stands on the certificate",
            close="Measure what was assumed, and calculate again",
        )
    if not found:
        yield CheckLine(key, one.name, "within", f"{one.name}: {one.because or 'it counts'}")


def lines_of_product(facts: ReleaseFacts) -> Iterator[CheckLine]:
    """Lines about residue, ceiling, content and filling.

    Parameters
    ----------
    facts : ReleaseFacts
        What the book says. [record]
    """
    if facts.residue_needed:
        yield _residue(facts)
    if facts.judged is not None:
        yield from _ceiling(facts)
    yield from _content(facts)
    if facts.fill_needed and facts.fill is None:
        yield CheckLine(
            "fill",
            "Filling",
            "missing",
            "The filling was not checked",
            close="Weigh the bottles, all of them below a hundred",
        )
    if facts.fill is not None:
        wrong = facts.fill.verdict == "wrong"
        close = "Top up the short bottles and weigh them again" if wrong else ""
        yield CheckLine("fill", "Filling", "over" if wrong else "within", facts.fill.because, close=close)


def _residue(facts: ReleaseFacts) -> CheckLine:
    key, about = "residue", "Residue of the clean-up solvent"
    if facts.residue is None:
        return CheckLine(
            key,
            about,
            "missing",
            "Nothing is said about the residue of the clean-up solvent",
            close='Measure it, or let the certificate say "not tested"',
        )
    standing: Standing = "over" if facts.residue.status == "over" else "within"
    if facts.residue.status == "not tested":
        standing = "cannot be seen here"
    close = "Dry the extract further and measure again" if standing == "over" else ""
    return CheckLine(key, about, standing, facts.residue.because, close=close)


def _ceiling(facts: ReleaseFacts) -> Iterator[CheckLine]:
    judged = facts.judged
    if judged is None:
        return
    rule = judged.ceiling
    key, about = f"ceiling/{rule.substance.casefold()}", rule.substance
    row = f"limits_eu, {rule.limit_row}" if rule.limit_row and rule.source else rule.limit_row
    year = rule.state_of_data
    if judged.verdict == "no rule found" and not rule.limit_row:
        yield CheckLine(
            key,
            about,
            "missing",
            f"No rule found for {rule.substance} in {rule.product_type} ({rule.market})",
            close="Look it up, and state the ceiling with its source: no rule found is not permission",
        )
    elif judged.blocks:
        close = "Dilute the bulk below the ceiling with its formula, or reject it"
        yield CheckLine(key, about, "over", judged.says, row, rule.source, year, close)
    elif judged.verdict == "within":
        yield CheckLine(key, about, "within", judged.says, row, rule.source, year)
    elif judged.verdict == "no rule found":
        yield CheckLine(key, about, "cannot be seen here", judged.says, row, rule.source, year)
    else:
        close = "Read the rule and its condition; decide by name whether it is met"
        yield CheckLine(key, about, "undecided", judged.says, row, rule.source, year, close)


def _content(facts: ReleaseFacts) -> Iterator[CheckLine]:
    content, declared = facts.content, facts.declared
    if declared is not None and content is None:
        yield CheckLine(
            "content",
            "Content",
            "missing",
            f"The content of the product is not calculated. {facts.content_because}".strip(),
            close="Correct the weighing" if facts.content_because else "Enter the dose that was weighed in",
        )
    elif declared is not None and content is not None:
        below = content.value < declared.value
        yield CheckLine(
            "content",
            "Content",
            "over" if below else "within",
            f"{content.value:.4g} % is {'below' if below else 'at least'} the declared {declared.value:g} %",
            close="Dose the difference and mix, or declare less" if below else "",
        )
    if content is not None and content.rests_on_an_assumption:
        yield CheckLine(
            "content/assumed",
            "Content",
            "missing",
            "The content of the product rests on an assumption",
            close="Measure what was assumed, and calculate again",
        )
