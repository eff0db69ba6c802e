"""Who does what here: the duties of the people of a book, given by an owner, and what each needs one for.

Nobody needs any of this where people work on one laptop: whoever was never given duties holds all of them, but for the
check, which is whether the person may release. Once duties were given to a person they hold at every door of the pages.
"""

from typing import Literal, TypeAlias, Unpack

from stillroom.actions.book.laboratory import Done, Laboratory, Signed
from stillroom.actions.house.pins import pin_facts
from stillroom.documents.entry_words import duty_words
from stillroom.errors import BadEntry, NotAllowed, UnknownName, worded
from stillroom.records.entries import DutiesGiven
from stillroom.records.entry_json import body_to_json
from stillroom.store.book_writer import BookWriter
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import later, t

Duty: TypeAlias = Literal["reader", "maker", "checker", "owner"]
FIELD_OF: dict[str, str] = {"maker": "makes", "checker": "checks", "owner": "owns"}
"""Field of ``DutiesGiven`` by the name of the duty; to read needs none."""
NEEDS: dict[str, str] = {
    "maker": later("Who works at the bench has the duty of a maker"),
    "checker": later("Who decides what goes out has the duty of a checker"),
    "owner": later("Who sets up the laboratory has the duty of an owner"),
}


def duties_of(look: Reader, person: str) -> DutiesGiven:
    """What a person does here: as it was said last, or everything, but for the check, where nobody said.

    Parameters
    ----------
    person : str
        Code; a name that is not in the book does nothing.
    """
    given = look.duties().get(person)
    if given is not None:
        return given
    known = {one.code: one.may_release for one in look.people()}
    return DutiesGiven(person, True, known[person], True) if person in known else DutiesGiven(person)


def holds(look: Reader, person: str, duty: str) -> bool:
    """Whether a person has a duty.

    Parameters
    ----------
    duty : str
        One of ``Duty``.
    """
    return duty == "reader" or bool(getattr(duties_of(look, person), FIELD_OF[duty]))


def must_hold(lab: Laboratory, person: str, duty: str) -> None:
    """Refuse what a person does not do here; whoever was never given duties works as before.

    Parameters
    ----------
    person : str
        Who signs, or is signed in.
    duty : str
        What is asked needs it.

    Raises
    ------
    NotAllowed
        The person was given other duties.
    """
    with lab.look() as look:
        if person not in look.duties() or holds(look, person, duty):
            return
        says = duty_words(duties_of(look, person))
    raise NotAllowed(
        worded(NEEDS[duty]),
        worded("{person}, who is: {duties}", person=person, duties=says),
        "Ask who has it, or an owner to give it: Laboratory, People",
        where="by",
    )


def give_duties(
    lab: Laboratory, person: str, *, makes: bool, checks: bool, owns: bool, **sign: Unpack[Signed]
) -> Done:
    """Write what a person does here from now on.

    Parameters
    ----------
    person : str
        Code.
    makes, checks, owns : bool
        Duties of a maker, a checker, an owner; whoever has none reads.

    Raises
    ------
    UnknownName
        There is no such person.
    NotAllowed
        Whoever signs does not have what is given, or nobody would be left to set up or to release.
    """
    given = DutiesGiven(person, makes, checks, owns)
    with lab.act("give duties", body_to_json(given), **sign) as pen:
        if pen.earlier:
            return Done(pen.earlier)
        refuse_duties(pen, given)
        says = t("{person} is from now on: {duties}.", person=person, duties=duty_words(given))
        return Done((pen.enter(given),), says)


def refuse_duties(pen: BookWriter, given: DutiesGiven) -> None:
    """Refuse duties that whoever signs cannot give, or that leave a laboratory without an owner or a checker.

    Parameters
    ----------
    pen : BookWriter
        Of the person who signs.
    given : DutiesGiven
        As the book will have them. [record]

    Raises
    ------
    UnknownName
        There is no such person.
    NotAllowed
        Whoever signs does not have what is given, or nobody would be left.
    """
    look = pen.look
    codes = [one.code for one in look.people()]
    if given.person not in codes:
        raise UnknownName.among(given.person, "a person", codes).at("person")
    if not holds(look, pen.by, "owner"):
        raise NotAllowed("Only an owner gives duties", pen.by, "Ask an owner", where="by")
    checked = holds(look, given.person, "checker")
    if given.checks != checked and not holds(look, pen.by, "checker"):
        raise NotAllowed(
            "Only a person who may release gives that right to another", pen.by, "Ask the responsible person"
        )
    for duty, has in (("owner", given.owns), ("checker", given.checks)):
        others = [one for one in codes if one != given.person and holds(look, one, duty)]
        if not (has or others):
            raise NotAllowed(
                "A laboratory has an owner, and somebody who decides what goes out",
                worded("nobody but {person}", person=given.person),
                "Give that duty to another first",
            )


def sign_for(lab: Laboratory, by: str) -> None:
    """Whoever copies a laboratory signs, where somebody of it has a PIN or was given duties.

    Parameters
    ----------
    by : str
        Code of who copies; "" where nobody was said.

    Raises
    ------
    BadEntry
        Nobody signs, or the PIN is another one.
    UnknownName
        There is no such person.
    NotAllowed
        The person was given other duties than those of an owner.
    """
    with lab.look() as look:
        codes, given = [one.code for one in look.people()], look.duties()
    if not by and not given and not pin_facts(lab):
        return
    if not by:
        raise BadEntry(
            "Whoever copies a laboratory whose people sign, signs too",
            "nobody",
            "Say who with --by",
            where="by",
        )
    if by not in codes:
        raise UnknownName.among(by, "a person", codes).at("by")
    must_hold(lab, by, "owner")
    if lab.asks_pin:
        lab.asks_pin(lab, by)
