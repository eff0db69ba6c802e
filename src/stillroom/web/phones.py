"""Phones: the bench opened to them and closed again, a phone that joins, PINs set, photographs shown."""

from html import escape
from threading import Lock

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from stillroom.actions.house.phones import (
    close_to_phones,
    must_join,
    own_network_address,
    seconds_of_today_left,
)
from stillroom.actions.house.phones_joined import phones_joined, rename_phone, throw_out
from stillroom.actions.house.photographs import photograph
from stillroom.actions.house.pins import has_pin, set_pin
from stillroom.errors import BadEntry, NotAllowed, StillroomError
from stillroom.pages.phones import show_joined, show_phones
from stillroom.texts.catalogue import t
from stillroom.web.access import scan_page
from stillroom.web.duties import Addresses
from stillroom.web.forms import (
    JOINED,
    NOTHING_TYPED,
    Ask,
    Form,
    Trouble,
    Typed,
    TypedForm,
    comes_from_a_phone,
    trouble_of,
)
from stillroom.web.pages import go, lab_of, send_form, send_page, signers, status_of
from stillroom.web.phone_listener import PhoneDoor, listen, own_addresses

router = Addresses()
HERE = "Laboratory"
FIRST_PORT = 8117
_one_at_a_time = Lock()


def _door(request: Request) -> PhoneDoor | None:
    door: PhoneDoor | None = request.app.state.phones
    return door


def _opening(request: Request) -> Form:
    lab, door = lab_of(request), _door(request)
    page = show_phones(lab, door)
    found = own_addresses()
    ask = Ask(
        "address",
        t("Address of this machine in your network"),
        value=found[0] if found else "",
        hint=t("Found: {found}", found=", ".join(found))
        if found
        else t("Look it up in the settings of the network"),
    )
    return Form(
        title=page.title,
        kind=page.kind,
        lead=page.lead,
        action="/laboratory/phones/close" if door else "/laboratory/phones/open",
        button=t("Close the bench to phones") if door else t("Open the bench to phones"),
        rows=() if door else (ask,),
        here=HERE,
        back="/laboratory",
        page=page,
        stops=door is not None,
    )


def _send(
    request: Request, typed: Typed = NOTHING_TYPED, trouble: Trouble | None = None, status: int = 200
) -> Response:
    form = _opening(request)
    joined = phones_joined(lab_of(request)) if _door(request) else ()
    return send_form(request, form, typed, trouble, status=status, template="phones.html", phones=joined)


@router.get("/laboratory/phones", needs="owner")
def phones(request: Request) -> Response:
    """Whether phones may come in, and the code to scan."""
    return _send(request)


@router.post("/laboratory/phones/open", needs="owner")
def open_bench(request: Request, typed: TypedForm) -> Response:
    """Open the bench to phones at one address."""
    try:
        address = own_network_address(typed["address"])
        with _one_at_a_time:
            if _door(request) is None:
                request.app.state.phones = listen(lab_of(request).folder, address, FIRST_PORT)
    except StillroomError as error:
        return _send(request, typed, trouble_of(error, {"address"}), status_of(error))
    return go("/laboratory/phones", t("The bench is open to phones. Let them scan the code."))


@router.post("/laboratory/phones/close", needs="owner")
def close_bench(request: Request) -> Response:
    """Close the bench: no phone comes in any more, joined or not."""
    with _one_at_a_time:
        door = _door(request)
        close_to_phones(lab_of(request))
        request.app.state.phones = None
    if door is not None:
        door.close()
    return go("/laboratory/phones", t("The bench is closed to phones, and those that had joined are out."))


@router.post("/laboratory/phones/{key}/out", needs="owner")
def throw_one_out(request: Request, key: str) -> Response:
    """Throw one phone out; the others stay in."""
    return go("/laboratory/phones", throw_out(lab_of(request), key))


@router.post("/laboratory/phones/{key}/name", needs="owner")
def rename(request: Request, key: str, typed: TypedForm) -> Response:
    """Call a phone otherwise, so that it is known in the list."""
    try:
        says = rename_phone(lab_of(request), key, typed["name"])
    except BadEntry as error:
        return _send(request, typed, trouble_of(error, set()), status_of(error))
    return go("/laboratory/phones", says)


@router.get("/join/{code}", needs="anybody")
def join(request: Request, code: str) -> Response:
    """A phone that scanned the code of the day comes in; the laptop has no need to."""
    lab, door = lab_of(request), _door(request)
    if door is None or not comes_from_a_phone(request.scope):
        return RedirectResponse("/", status_code=303)
    try:
        shown = must_join(lab, code, door.address, request.headers.get("user-agent", ""))
    except NotAllowed as error:  # told in plain words, without the frame: it names the laboratory
        return HTMLResponse(scan_page(escape(error.sentence)), status_code=403)
    doing = ((t("To the bench"), "/bench", ""),)
    response = send_page(request, show_joined(lab), here="Bench", doing=doing)
    response.set_cookie(JOINED, shown, max_age=seconds_of_today_left(lab), httponly=True, samesite="strict")
    return response


def _pin(request: Request, code: str) -> Form:
    lab = lab_of(request)
    return Form(
        title=t("A PIN for {code}", code=code),
        kind="people",
        lead=t("Four to eight digits, asked at every signature. It stands in no entry and on no paper."),
        action=f"/laboratory/people/{code}/pin",
        button=t("Set the PIN"),
        rows=(
            Ask("new", t("New PIN"), "pin"),
            Ask("again", t("The same again"), "pin"),
            Ask(
                "by",
                t("Set by"),
                choices=tuple(signers(lab)),
                value=code,
                hint=t("The person, or one who may release"),
            ),
            *(
                (Ask("pin", t("The PIN of whoever sets it"), "pin", required=False),)
                if _somebody(request)
                else ()
            ),
        ),
        here=HERE,
        back="/laboratory/phones",
    )


def _somebody(request: Request) -> bool:
    lab = lab_of(request)
    return any(has_pin(lab, code) for code, _ in signers(lab))


@router.get("/laboratory/people/{code}/pin", needs="maker")
def ask_pin(request: Request, code: str) -> Response:
    """A PIN to be set."""
    return send_form(request, _pin(request, code), template="unsigned.html")


@router.post("/laboratory/people/{code}/pin", needs="maker")
def write_pin(request: Request, code: str, typed: TypedForm) -> Response:
    """Set a PIN."""
    try:
        typed.must_be_for(lab_of(request))
        if typed["new"] != typed["again"]:
            raise BadEntry(
                "Both must be the same PIN", "two different ones", "Type it once more", where="again"
            )
        says = set_pin(lab_of(request), code, typed["new"], by=typed["by"], pin=typed.pin)
    except StillroomError as error:
        kept = Typed({"by": typed["by"]})
        trouble = trouble_of(error, {"new", "again", "by", "pin"})
        return send_form(
            request, _pin(request, code), kept, trouble, status=status_of(error), template="unsigned.html"
        )
    return go("/laboratory/phones", says)


@router.get("/photographs/{seal}", needs="reader")
def shown_photograph(request: Request, seal: str) -> Response:
    """A photograph that stands beside the book."""
    content = photograph(lab_of(request), seal)
    return Response(
        content,
        media_type="image/jpeg",
        headers={"Cache-Control": "private, max-age=86400, immutable"},
    )
