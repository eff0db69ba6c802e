"""Precipitate tests and solvent residues are entered as read: the outcome is reckoned from them, never typed."""

from datetime import datetime

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.book.results_kept import RESIDUE, result_of
from stillroom.actions.shelf.reagent_dates import use_by_of
from stillroom.actions.testing.reagent_bottles import failed_before_use
from stillroom.answers.control_test import read_control_test
from stillroom.answers.solvent_residue import Residue, by_outside_laboratory
from stillroom.errors import BadEntry, worded
from stillroom.evidence.answer import reading
from stillroom.quantities.entry import entry
from stillroom.quantities.parse import parse
from stillroom.records.entries import ControlTestRead, ReadingTaken
from stillroom.records.lots import Status
from stillroom.texts.catalogue import t


def read_test(
    lab: Laboratory,
    lot: str,
    test: str,
    reagent_lot: str,
    *,
    sample: str,
    blank: str,
    positive_control: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Enter a precipitate test: it counts only with blank, positive control and a reagent released and in date.

    Parameters
    ----------
    lot : str
        What was tested.
    test : str
        Key of the reagent table.
    reagent_lot : str
        Lot of the reagent that was used.
    sample, blank, positive_control : str
        What was seen: "precipitate", "clear", "unclear" or "not done".
    """
    asked = {
        "lot": lot,
        "test": test,
        "reagent_lot": reagent_lot,
        "sample": sample,
        "blank": blank,
        "positive": positive_control,
    }
    with lab.act("read test", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.lot(lot)
        reagent = pen.look.lot(reagent_lot)
        if reagent.substance != test:
            raise BadEntry(
                worded("The reagent of this test is {test}", test=test),
                worded(
                    "{reagent_lot}, which is {substance}",
                    reagent_lot=reagent_lot,
                    substance=reagent.substance,
                ),
            )
        rule = use_by_of(pen.look, reagent)
        failed = failed_before_use(pen.look, reagent_lot)
        found = read_control_test(
            test,
            sample=sample,
            blank=blank,
            positive_control=positive_control,
            reagent_released=pen.look.status(reagent_lot) is Status.RELEASED,
            reagent_use_by=rule.last_day if rule else None,
            use_by_rule=rule.says if rule else "",
            reagent_failed=failed,
            tested_on=(at or lab.clock()).date().isoformat(),
        )
        says = " ".join((found.because, *found.lore))
        body = ControlTestRead(lot, test, reagent_lot, sample, blank, positive_control, found.outcome, says)
        return Done(
            (pen.enter(body),),
            t("{test} on {lot}: {outcome}. {says}", test=test, lot=lot, outcome=found.outcome, says=says),
        )


def report_residue(
    lab: Laboratory,
    lot: str,
    solvent: str,
    found: str,
    *,
    laboratory_report: str,
    below: bool = False,
    standard_uncertainty: str = "",
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Write the solvent residue an outside laboratory found.

    Parameters
    ----------
    found : str
        "310 mg/kg".
    laboratory_report : str
        Number of the report.
    below : bool
        True when the laboratory wrote "below" this figure.
    standard_uncertainty : str
        As the report states it: "31 mg/kg"; a bare figure is in mg/kg.
    """
    asked = {
        "lot": lot,
        "solvent": solvent,
        "found": found,
        "report": laboratory_report,
        "below": below,
        "u": standard_uncertainty,
    }
    if not laboratory_report.strip():
        raise BadEntry("A figure from outside names its report", "none", "Write the number of the report")
    value = parse(found, basis_required=False, where="found").in_unit("mg/kg")
    spread = (
        entry(standard_uncertainty, "mg/kg", basis_required=False, where="uncertainty").in_unit("mg/kg")
        if standard_uncertainty
        else None
    )
    with lab.act("report residue", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.lot(lot)
        number = pen.enter(
            ReadingTaken(
                lot,
                RESIDUE,
                value,
                "mg/kg",
                found,
                laboratory_report,
                f"{RESIDUE}/{'below' if below else 'found'}",
                spread,
            )
        )
        answer = reading(
            f"{solvent} in {lot}",
            value,
            "mg/kg",
            f"entry {number}, report {laboratory_report}",
            entry_no=number,
            standard_uncertainty=spread,
        )
        residue: Residue = by_outside_laboratory(solvent, answer, below=below)
        body = result_of(
            lot,
            RESIDUE,
            residue.upper or answer,
            laboratory_report,
            True,
            f"{residue.status}: {residue.because}",
            (number,),
        )
        return Done((number, pen.enter(body)), residue.because)


def leave_residue_untested(
    lab: Laboratory,
    lot: str,
    *,
    why: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Say that the residue of the clean-up solvent was not tested; the certificate will say so too."""
    if not why.strip():
        raise BadEntry("What is left untested has a reason", "none", "Say why in a few words")
    body = ControlTestRead(
        lot, RESIDUE, "", "not done", "not done", "not done", "no result", f"not tested: {why.strip()}"
    )
    with lab.act(
        "leave residue untested", {"lot": lot, "why": why}, by=by, at=at, request_key=request_key
    ) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        pen.look.lot(lot)
        return Done((pen.enter(body),), t("The certificate of {lot} will say: residue not tested.", lot=lot))
