"""What people of the laboratory do: their duties given, by an owner."""

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.house.duties import duties_of, give_duties
from stillroom.documents.entry_words import DUTY_WORDS
from stillroom.texts.catalogue import later, t
from stillroom.web.duties import Addresses
from stillroom.web.forms import Ask, Form, TypedForm
from stillroom.web.pages import lab_of, send_form, write

router = Addresses()
AT = "/laboratory/people/{code}/duties"
DOES = {
    "makes": later("Receives, makes, tests, fills, delivers"),
    "checks": later("Decides what goes out, and what comes back"),
    "owns": later("Sets up the laboratory: people, phones, prices"),
}


def _form(lab: Laboratory, code: str) -> Form:
    with lab.look() as look:
        person, given = look.person(code), duties_of(look, code)
    return Form(
        title=t("What {name} does here", name=person.name),
        kind="people",
        lead=t("Everybody reads. Whoever works alone has all duties, and nothing of this is needed."),
        action=AT.format(code=code),
        button=t("Give these duties"),
        rows=tuple(
            Ask(
                one,
                t(words).capitalize(),
                hint=t(DOES[one]),
                value="yes" if getattr(given, one) else "no",
                choices=(("yes", t("yes")), ("no", t("no"))),
            )
            for one, words in DUTY_WORDS.items()
        ),
        here="Laboratory",
        back="/laboratory",
    )


@router.get(AT, needs="owner")
def ask_duties(request: Request, code: str) -> Response:
    """What a person does, to be said anew."""
    return send_form(request, _form(lab_of(request), code))


@router.post(AT, needs="owner")
def write_duties(request: Request, code: str, typed: TypedForm) -> Response:
    """Write what a person does from now on."""
    said = {one: typed[one] == "yes" for one in DUTY_WORDS}
    return write(
        request,
        typed,
        lambda: _form(lab_of(request), code),
        lambda lab, sign: give_duties(lab, code, **said, **sign),
        then="/laboratory",
    )
