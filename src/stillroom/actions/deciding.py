"""Lots are released, stopped or rejected: by whom, on what grounds, with what is missing said."""

from datetime import datetime

from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.release_facts import facts_for
from stillroom.errors import BadEntry, NotAllowed, worded
from stillroom.products.release import Review, review
from stillroom.records.entries import IdentityDecided, StatusDecided
from stillroom.records.entry_json import body_to_json
from stillroom.records.lots import LotKind, Status
from stillroom.store.pen import Pen
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t

MADE_HERE = frozenset({LotKind.EXTRACT, LotKind.PRODUCT})


def review_release(lab: Laboratory, lot: str, *, by: str, at: datetime | None = None) -> Review:
    """What is missing or out before a lot made here may go, and whether this person may let it go.

    Parameters
    ----------
    lab : Laboratory
    lot : str
        An extract or product made here.
    by : str
        Who would release it.
    at : datetime or None
        When; now when None.
    """
    with lab.look() as look:
        return _reviewed(look, lot, by, (at or lab.clock()).isoformat(timespec="seconds"))


def release(
    lab: Laboratory,
    lot: str,
    *,
    meaning: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Release a lot.

    A plant lot needs its identity decided; a lot made here needs everything the review asks for. What was received
    otherwise is released on its papers, which ``meaning`` names.

    Raises
    ------
    NotAllowed
        Something is missing or out; the sentence lists it with the quickest way to close it.
    BadEntry
        ``meaning`` is empty.
    """
    if not meaning.strip():
        raise BadEntry("A release says what it rests on", "nothing", "Write what was checked")
    asked = {"lot": lot, "meaning": meaning}
    with lab.act("release", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        known = pen.look.lot(lot)
        status = pen.look.status(lot)
        if status is Status.REJECTED:
            raise NotAllowed("A rejected lot stays rejected", lot, "Receive or make another")
        if not pen.look.person(by).may_release:
            raise NotAllowed(
                "A release is signed by a person who may release", by, "Ask the responsible person"
            )
        alone, says = False, f"{lot} is released."
        if known.kind is LotKind.PLANT:
            _identity_must_be_accepted(pen, lot)
        elif known.kind in MADE_HERE:
            found = _reviewed(pen.look, lot, by, (at or lab.clock()).isoformat(timespec="seconds"))
            if not found.may_release:
                raise NotAllowed(
                    worded("{lot} is released when nothing is missing", lot=lot),
                    "; ".join(one.what for one in found.missing),
                    " ".join(one.close for one in found.missing),
                )
            alone, says = (
                found.alone,
                " ".join(
                    (
                        f"{lot} is released.",
                        *(f"The certificate says: {one}." for one in found.certificate_says),
                    )
                ),
            )
        return Done((pen.enter(StatusDecided(lot, Status.RELEASED, meaning.strip(), alone)),), says)


def stop(
    lab: Laboratory,
    lot: str,
    *,
    meaning: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
    with_what_was_made: bool = False,
) -> Done:
    """Stop a lot, and where asked every product that holds some of it.

    Parameters
    ----------
    with_what_was_made : bool
        True stops everything made from it as well: the first act of a recall.
    """
    if not meaning.strip():
        raise BadEntry("A stop says why", "nothing", "Write what was seen")
    body = StatusDecided(lot, Status.STOPPED, meaning.strip())
    asked = body_to_json(body) | {"with_what_was_made": with_what_was_made}
    with lab.act("stop", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        numbers = [pen.enter(body)]
        stopped = [lot]
        if with_what_was_made:
            for code in pen.look.went_into(lot).lots:
                below = pen.look.lot(code)
                if code != lot and below.kind in MADE_HERE and pen.look.status(code) is not Status.REJECTED:
                    meaning_below = f"holds {lot}: {meaning.strip()}"
                    numbers.append(pen.enter(StatusDecided(code, Status.STOPPED, meaning_below)))
                    stopped.append(code)
        return Done(tuple(numbers), t("done.stopped", stopped=", ".join(stopped)))


def reject(
    lab: Laboratory,
    lot: str,
    *,
    meaning: str,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Reject a lot for good."""
    if not meaning.strip():
        raise BadEntry("A rejection says why", "nothing", "Write what was found")
    body = StatusDecided(lot, Status.REJECTED, meaning.strip())
    with lab.act("reject", body_to_json(body), by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        return Done((pen.enter(body),), t("done.is_rejected", lot=lot))


def _reviewed(look: Reader, lot: str, by: str, at: str) -> Review:
    return review(facts_for(look, lot), look.person(by), at)


def _identity_must_be_accepted(pen: Pen, lot: str) -> None:
    decided = pen.look.identities(lot)
    last = decided[-1].body if decided else None
    if not (isinstance(last, IdentityDecided) and last.accepted):
        raise NotAllowed(
            "Plant material is released once its identity is decided",
            worded("{lot}, not accepted", lot=lot) if decided else worded("{lot}, not decided", lot=lot),
            "Have a competent person compare it with a reference, and write the decision",
        )
