"""What a solvent left behind, as an outside laboratory reported it; or that nobody tested it, which is said too."""

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.actions.book.acts import Act, Readings
from stillroom.actions.book.laboratory import Done
from stillroom.actions.book.results_kept import RESIDUE, result_of
from stillroom.answers.solvent_residue import Residue, by_outside_laboratory
from stillroom.asking.entries import Flag, maybe, needed
from stillroom.asking.readers import OneOf, Showed, Shown, Words
from stillroom.asking.said import Said
from stillroom.errors import UnknownName
from stillroom.evidence.answer import Answer, leaves, reading
from stillroom.evidence.trails import from_trail
from stillroom.records.entries import ControlTestRead, Entry, ReadingTaken, ResultReckoned
from stillroom.reference.tables import table
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t


@dataclass(frozen=True, slots=True, kw_only=True)
class Reported(Said):
    """What the report says."""

    solvent: str = needed(
        Words(), label=later("Solvent"), must=later("A residue is one of a solvent"),
        do=later("Write which: ethyl acetate"), help='"ethyl acetate".',
    )  # fmt: skip
    found: Shown = needed(Showed(("mg/kg",), zero=True), label=later("Found"), help='"310 mg/kg".')
    below: str | None = maybe(
        OneOf({"yes": later("below this figure")}), label=later("It says"), beside=True, left_out=later("found"),
        flags={"below": Flag("yes", "The laboratory wrote below this figure.")},
    )  # fmt: skip
    uncertainty: Shown | None = maybe(
        Showed(("mg/kg",)), label=later("Standard uncertainty"), help='As the report states it: "31 mg/kg".'
    )
    report: str = needed(
        Words(), label=later("Number of the report"), beside=True,
        must=later("A figure from outside names its report"), do=later("Write the number of the report"),
        help="Number of the report.",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftUntested(Said):
    """Why it was not tested."""

    why: str = needed(
        Words(long=True), label=later("Why"), must=later("What is left untested has a reason"),
        do=later("Say why in a few words"), help="Why it was not tested.",
    )  # fmt: skip


def _write(pen: BookWriter, lot: str, said: Reported) -> Done:
    """Enter the figure of the report, and what it says of the limit."""
    pen.look.lot(lot)
    solvents = [one.key for one in table("solvents").rows]
    if said.solvent not in solvents:
        raise UnknownName.among(said.solvent, "a solvent", solvents, near=0.8).at("solvent")
    spread = said.uncertainty.value("mg/kg") if said.uncertainty else None
    taken = Readings(pen, lot, f"{RESIDUE}/{'below' if said.below else 'found'}")
    called, source = f"{said.solvent} in {lot}", f"report {said.report}"
    answer = taken.take(RESIDUE, said.found, said.report, spread=spread, called=called, source=source)
    residue = by_outside_laboratory(said.solvent, answer, below=bool(said.below))
    return Done(
        (*taken.numbers, pen.enter(_result(lot, residue, answer, said.report, *taken.numbers))),
        residue.because,
    )


def _result(lot: str, residue: Residue, answer: Answer, report: str, *numbers: int) -> ResultReckoned:
    because = f"{residue.status}: {residue.because}"
    return result_of(lot, RESIDUE, residue.upper or answer, report, True, because, numbers)


def _again(
    _: Reader, entry: Entry[ResultReckoned], readings: Sequence[Entry[ReadingTaken]]
) -> ResultReckoned | None:
    """The corrected figure against the limit of its solvent, which the leaf of its trail names."""
    if entry.body.what != RESIDUE:
        return None
    shown, body = readings[-1], readings[-1].body
    leaf = next(one for one in leaves(from_trail(entry.body.trail)) if one.leaf and one.leaf.entry_no)
    answer = reading(
        leaf.name, body.value, leaf.unit, f"entry {shown.entry_no}, report {body.apparatus}",
        entry_no=shown.entry_no, standard_uncertainty=body.standard_uncertainty,
    )  # fmt: skip
    solvent = leaf.name.removesuffix(f" in {body.subject}")
    residue = by_outside_laboratory(solvent, answer, below=body.series.endswith("below"))
    return _result(body.subject, residue, answer, body.apparatus, shown.entry_no)


def _write_untested(pen: BookWriter, lot: str, said: LeftUntested) -> Done:
    """Say that it was not tested; the certificate will say so too."""
    pen.look.lot(lot)
    seen = ("not done", "not done", "not done")
    body = ControlTestRead(lot, RESIDUE, "", *seen, "no result", f"not tested: {said.why}")
    return Done((pen.enter(body),), t("The certificate of {lot} will say: residue not tested.", lot=lot))


report_residue = Act(
    name="residue",
    action="report residue",
    said=Reported,
    writes=_write,
    help="The solvent residue of LOT, as an outside laboratory reported it.",
    title=later("Residue of the solvent"),
    called=later("Solvent residue"),
    lead=later("As an outside laboratory reported it. The upper bound stands against the limit."),
    button=later("Save the residue"),
    address="/test/{code}/residue",
    again=_again,
)
leave_residue_untested = Act(
    name="untested",
    action="leave residue untested",
    said=LeftUntested,
    writes=_write_untested,
    help="The solvent residue of LOT was not tested, and the certificate says so.",
    title=later("Leave the residue untested"),
    called=later("Residue not tested"),
    lead=later("The certificate will say: not tested."),
    button=later("Save that it was not tested"),
    address="/test/{code}/untested",
)
