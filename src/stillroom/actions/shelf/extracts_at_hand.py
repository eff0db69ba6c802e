"""Extracts on the shelf that could be blended with one another: one substance, assayed for the same."""

from stillroom.actions.book.results_kept import assays
from stillroom.documents.doors import question_address
from stillroom.records.lot_kinds import kinds_that
from stillroom.records.lots import Lot, Status, grams
from stillroom.store.reader import Reader

FEWEST = 2
NEVER = (Status.REJECTED, Status.STOPPED)


def blend_address(look: Reader, lot: Lot) -> str:
    """The question that blends a lot of extract with its like on the shelf; "" where there is none."""
    if lot.kind.traits.carrier != "extract":
        return ""
    counted = [one for one in assays(look, lot.code) if one.body.counts]
    if not counted:
        return ""
    what, rows = counted[-1].body.what, []
    kinds = kinds_that(lambda one: one.carrier == "extract")
    others = look.lots(kinds, substances=frozenset({lot.substance}), on_shelf=True)
    look.results_ahead([one.code for one in others])
    for other in others:
        held_g = grams(look.balance_ug(other.code))
        found = [one for one in assays(look, other.code) if one.body.counts and one.body.what == what]
        if held_g > 0 and found and look.status(other.code) not in NEVER and other.owner == lot.owner:
            body = found[-1].body
            doubt = f" ± {2.0 * body.standard_uncertainty:.4g}" if body.standard_uncertainty else ""
            rows.append(f"{other.code} {body.value:.6g}{doubt} % {held_g:.6g} g")
    if len(rows) < FEWEST:
        return ""
    return question_address("strengthen", {"lots": "\n".join(rows), "of": what.partition(",")[0]})
