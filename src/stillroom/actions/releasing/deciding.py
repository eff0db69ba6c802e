"""Lots are released, stopped or rejected: by whom, on what grounds, line by line, with what is missing said."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.releasing.issuing import issue_certificate
from stillroom.actions.releasing.received_lines import lines_of_received
from stillroom.actions.releasing.reviewing import reviewed
from stillroom.errors import BadEntry, NotAllowed, UnknownName, worded
from stillroom.products.check_lines import CheckLine
from stillroom.products.release import Review
from stillroom.records.entries import LineDecided, StatusDecided
from stillroom.records.entry_json import body_to_json
from stillroom.records.lots import Status
from stillroom.records.written_values import names_nothing
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t


def review_release(lab: Laboratory, lot: str, *, by: str, at: datetime | None = None) -> Review:
    """The release list of a lot, and whether this person may let it go.

    Parameters
    ----------
    lot : str
        Made here, or received and released on its papers.
    by : str
        Who would release it.
    at : datetime or None
        When; now when None.
    """
    with lab.look() as look:
        if not look.lot(lot).kind.traits.on_release_list:
            return Review(lot, lines_of_received(look, lot, _on(lab, at)), {}, False, None, ())
        return reviewed(look, lot, look.person(by), _on(lab, at))


def decide_lines(
    lab: Laboratory,
    lot: str,
    decisions: Mapping[str, str],
    *,
    by: str,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Keep decisions on lines of the release list that the book cannot decide; the lot itself stays as it stands.

    Parameters
    ----------
    decisions : mapping of str to str
        The line, by its key or as the list calls it, and the reason.

    Raises
    ------
    UnknownName
        The list has no such line.
    NotAllowed
        The line stops and nobody's decision lifts it, or this person may not release.
    BadEntry
        A reason is empty, or the line needs none.
    """
    asked = {"lot": lot, "decisions": dict(decisions)}
    with lab.act("decide lines", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        numbers = _keep_decisions(pen, lot, decisions, by, _on(lab, at))
        if not numbers:
            raise BadEntry(
                "A decision names its line and its reason",
                "nothing",
                "Write why at the line, or LINE=reason in the terminal",
            )
        return Done(tuple(numbers), t("{count} decisions on {lot} are kept.", count=len(numbers), lot=lot))


def release(
    lab: Laboratory,
    lot: str,
    *,
    meaning: str,
    by: str,
    decisions: Mapping[str, str] | None = None,
    at: datetime | None = None,
    request_key: str | None = None,
) -> Done:
    """Release a lot, for the first time or again after it was suspended or stopped.

    A lot made here needs every line of the release list. What was received is released on its papers, which
    ``meaning`` names; a plant lot needs its identity decided, a reagent made here its trial.

    Parameters
    ----------
    decisions : mapping of str to str, optional
        Key and reason of lines decided at the same time.

    Raises
    ------
    NotAllowed
        Something stops or is undecided; the sentence lists it with how it is closed.
    BadEntry
        ``meaning`` is empty.
    """
    if not meaning.strip():
        raise BadEntry("A release says what it rests on", "nothing", "Write what was checked")
    told = {key: one.strip() for key, one in (decisions or {}).items() if one.strip()}
    asked = {"lot": lot, "meaning": meaning, **({"decisions": told} if told else {})}
    with lab.act("release", asked, by=by, at=at, request_key=request_key) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        known = pen.look.lot(lot)
        status = pen.look.status(lot)
        if status is Status.REJECTED:
            raise NotAllowed("A rejected lot stays rejected", lot, "Receive or make another")
        _must_be_a_releaser(pen, by)
        if not known.kind.traits.on_release_list:
            _refuse_open(lot, [one for one in lines_of_received(pen.look, lot, _on(lab, at)) if one.stops])
            number = pen.enter(StatusDecided(lot, Status.RELEASED, meaning.strip()))
            return Done((number,), t("{lot} is released.", lot=lot))
        changed = changed_since(pen.look, lot)
        numbers = _keep_decisions(pen, lot, told, by, _on(lab, at))
        found = reviewed(pen.look, lot, pen.look.person(by), _on(lab, at))
        _refuse_open(lot, found.missing)
        numbers.append(pen.enter(StatusDecided(lot, Status.RELEASED, meaning.strip(), found.alone)))
        numbers.append(issue_certificate(pen, lot, why=meaning.strip(), changed=changed))
        says = " ".join(
            (
                t("{lot} is released.", lot=lot),
                *(
                    t("The certificate says: {says}.", says=one.removesuffix("."))
                    for one in found.certificate_says
                ),
            )
        )
        return Done(tuple(numbers), says)


def stop(
    lab: Laboratory, lot: str, *, meaning: str, with_what_was_made: bool = False, **sign: Unpack[Signed]
) -> Done:
    """Stop a lot, and where asked everything that was made from it.

    Parameters
    ----------
    with_what_was_made : bool
        True stops everything made from it as well, hydrosol and recovered spirit too: the first act of a recall.
        Otherwise what was released of it is suspended until somebody has looked.
    """
    if not meaning.strip():
        raise BadEntry("A stop says why", "nothing", "Write what was seen")
    body = StatusDecided(lot, Status.STOPPED, meaning.strip())
    asked = body_to_json(body) | {"with_what_was_made": with_what_was_made}
    with lab.act("stop", asked, **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        numbers = [pen.enter(body)]
        stopped = [lot]
        if with_what_was_made:
            for code in pen.look.went_into(lot).lots:
                below = pen.look.lot(code)
                if (
                    code != lot
                    and below.kind.traits.released_on != "nothing"
                    and pen.look.status(code) is not Status.REJECTED
                ):
                    meaning_below = f"holds {lot}: {meaning.strip()}"
                    numbers.append(pen.enter(StatusDecided(code, Status.STOPPED, meaning_below)))
                    stopped.append(code)
        return Done(tuple(numbers), t("Stopped: {stopped}.", stopped=", ".join(stopped)))


def reject(lab: Laboratory, lot: str, *, meaning: str, **sign: Unpack[Signed]) -> Done:
    """Reject a lot for good; what was released of it is suspended until somebody has looked."""
    if not meaning.strip():
        raise BadEntry("A rejection says why", "nothing", "Write what was found")
    body = StatusDecided(lot, Status.REJECTED, meaning.strip())
    with lab.act("reject", body_to_json(body), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        return Done((pen.enter(body),), t("{lot} is rejected.", lot=lot))


def changed_since(look: Reader, lot: str) -> tuple[str, ...]:
    """What changed of a lot since it was released last, old → new; nothing for a lot never released."""
    changed: dict[str, None] = {}
    for one in look.decisions(lot):
        changed = {} if one.body.to is Status.RELEASED else changed | dict.fromkeys(one.body.changed)
    return tuple(changed)


def _keep_decisions(pen: BookWriter, lot: str, decisions: Mapping[str, str], by: str, at: str) -> list[int]:
    """Write the decisions as entries; their numbers."""
    if not decisions:
        return []
    _must_be_a_releaser(pen, by)
    lines = reviewed(pen.look, lot, pen.look.person(by), at).lines
    numbers = []
    for named, reason in decisions.items():
        line = _line_named(lines, named)
        key = line.key
        if names_nothing(reason):
            raise BadEntry(
                "A decision names its reason",
                repr(reason.strip()[:40]),
                "Say what was looked at, and why it is enough",
                where=f"decide-{key}",
            )
        if line.stops:
            raise NotAllowed(
                "What stops is closed by what is done, never by a decision", line.says, line.close
            )
        if not line.needs_a_name:
            raise BadEntry(
                "A decision is taken where the book cannot know",
                worded("{line}, which is {standing}", line=line.called, standing=line.standing),
                "Leave it out",
            )
        numbers.append(pen.enter(LineDecided(lot, key, line.about, line.says, reason.strip())))
    return numbers


def _line_named(lines: Sequence[CheckLine], named: str) -> CheckLine:
    """A line by its key, or as a person calls it where no other is called so."""
    called = [one for one in lines if one.called.casefold() == named.casefold()]
    found = [one for one in lines if one.key == named] or called
    if len({one.key for one in found}) != 1:
        known = [one.key for one in called] or [one.called for one in lines]
        raise UnknownName.among(named, "a line of the release list", known)
    return found[0]


def _refuse_open(lot: str, missing: tuple[CheckLine, ...] | list[CheckLine]) -> None:
    if missing:
        raise NotAllowed(
            worded("{lot} is released when nothing stops it and nothing is undecided", lot=lot),
            "; ".join(one.says if one.stops else f"undecided, {one.called}: {one.says}" for one in missing),
            " ".join(f"{one.close}." for one in missing if one.close).replace("..", "."),
        )


def _must_be_a_releaser(pen: BookWriter, by: str) -> None:
    if not pen.look.person(by).may_release:
        raise NotAllowed("A release is signed by a person who may release", by, "Ask the responsible person")


def _on(lab: Laboratory, at: datetime | None) -> str:
    moment = at or lab.clock()
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=lab.clock().tzinfo)
    return moment.isoformat(timespec="seconds")
