"""What people of the laboratory do: their duties given, by an owner."""

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.duties import duties_of, give_duties
from stillroom.documents.entry_words import DUTY_WORDS
from stillroom.texts.catalogue import later, t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed

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


def _give(lab: Laboratory, typed: Typed, sign: Signed, code: str) -> Done:
    return give_duties(lab, code, **{one: typed[one] == "yes" for one in DUTY_WORDS}, **sign)


serve_form(router, AT, _form, _give, then="/laboratory", needs="owner")
