"""What a formula asks for besides its steps: the dose decided, the bottles filled."""

from dataclasses import replace

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.bench.form_choices import filling_in_hand
from stillroom.actions.bench.lots_offered import dose_choices, lot_choices
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.products.filling import fill_units
from stillroom.actions.releasing.flash_point_check import ROOM, RoomAndFlash, room_and_flash
from stillroom.actions.releasing.list_lines import best_before_offered
from stillroom.errors import NotAllowed, StillroomError
from stillroom.pages.dose import show_dose
from stillroom.records.lot_kinds import kinds_that
from stillroom.reference.cautions import Caution, caution
from stillroom.texts.catalogue import t
from stillroom.web.acts import tools
from stillroom.web.duties import Addresses
from stillroom.web.forms import Ask, Form, Signed, Typed, TypedForm, trouble_of
from stillroom.web.pages import lab_of, send_form, status_of, write

router = Addresses()
HERE = "Make"


def _choose(lab: Laboratory, batch: str, extract: str = "", scale: str = "") -> Form:
    lots = dose_choices(lab, batch)
    may = tuple(
        (one.code, t("{code}: {amount} on the shelf", code=one.code, amount=one.on_shelf))
        for one in lots
        if not one.refused
    )
    lead = t("The dose follows the assay of the extract that is taken, on the scale that is used.")
    refused = "; ".join(t("{code} is {why}", code=one.code, why=one.refused) for one in lots if one.refused)
    return Form(
        title=t("The dose of {batch}", batch=batch),
        kind=t("batch {code}", code=batch),
        lead=f"{lead} {refused}." if refused else lead,
        action=f"/make/{batch}/dose",
        button=t("Calculate the dose"),
        here=HERE,
        back=f"/make/{batch}",
        rows=(
            Ask("extract", t("Extract"), choices=may, value=extract),
            Ask("scale", t("Weighed on"), choices=tools(lab, "scale"), value=scale),
        ),
    )


def _confirm(lab: Laboratory, batch: str, extract: str, scale: str) -> Form:
    page = show_dose(lab, batch, extract=extract, scale=scale)
    return Form(
        title=page.title,
        kind=t("batch {code}", code=batch),
        lead=page.lead,
        action=f"/make/{batch}/dose",
        button=t("Take this dose"),
        here=HERE,
        back=f"/make/{batch}/dose",
        rows=(
            Ask("extract", t("Extract"), "hidden", value=extract),
            Ask("scale", t("Scale"), "hidden", value=scale),
        ),
        page=page,
        links=((t("Another extract or scale"), f"/make/{batch}/dose"),),
    )


@router.get("/make/{batch}/dose", needs="maker")
def dose_page(request: Request, batch: str, extract: str = "", scale: str = "") -> Response:
    """Choose extract and scale; then see the dose before it is taken."""
    lab = lab_of(request)
    form = _choose(lab, batch, extract, scale)
    if not extract:
        return send_form(request, form, asks=True)
    try:
        confirm = _confirm(lab, batch, extract, scale)
    except StillroomError as error:
        trouble = trouble_of(error, {"extract", "scale"})
        return send_form(request, form, trouble=trouble, status=status_of(error), asks=True)
    return send_form(request, confirm)


@router.post("/make/{batch}/dose", needs="maker")
def take_dose(request: Request, batch: str, typed: TypedForm) -> Response:
    """Take the dose."""

    def act(lab: Laboratory, sign: Signed) -> Done:
        done = decide_dose(lab, batch, typed["extract"], scale=typed["scale"], **sign)
        # its reasons were read on the page before: the step comes first now
        told = t("The dose of {batch} is taken; its reasons stand on the sheet.", batch=batch)
        return replace(done, says=told) if done.says else done

    def again() -> Form:
        return _choose(lab_of(request), batch, typed["extract"], typed["scale"])

    return write(request, typed, again, act, then=f"/make/{batch}/step", more=lambda: {"asks": True})


def _fill(lab: Laboratory, batch: str, room: str = "") -> Form:
    facts = filling_in_hand(lab, batch)
    by_mass = bool(facts.ordered) and facts.ordered.by_mass
    warm = room_and_flash(lab, batch, room)
    packed = tuple(
        Ask(
            f"pack-{one.code}",
            f"{one.name} ({one.code})",
            "figure",
            required=False,
            hint=t("{amount} on the shelf; left empty, none is taken", amount=one.on_shelf)
            if not one.refused
            else t("may not be used: {why}", why=one.refused),
        )
        for one in lot_choices(lab, kinds=kinds_that(lambda one: one.used_to == "pack"))
    )
    return Form(
        title=t("Fill the bottles") if not by_mass else t("Fill {size} into each", size=facts.ordered.words),
        kind=t("batch {code}", code=batch),
        lead=facts.says,
        action=f"/make/{batch}/fill",
        button=t("Save the filling"),
        here=HERE,
        back=f"/make/{batch}",
        links=((t("Weigh the density, or weigh it again"), f"/make/{batch}/density"),),
        cautions=(*_of_the_room(warm), *(caution(key) for key in facts.cautions)),
        rows=(
            *_asks_of_the_room(warm),
            Ask(
                "nominal",
                t("What each holds") if by_mass else t("What a bottle holds"),
                "figure",
                facts.ordered.unit,
                required=not facts.ordered,
                hint=t("left empty, {size} as ordered", size=facts.ordered.words)
                if facts.ordered
                else t("Of what is sold by mass with its unit: 30 g"),
            ),
            (
                Ask("units", t("How many were filled") if by_mass else t("Bottles filled"), "figure"),
                Ask("left-over", t("Left over, weighed"), "figure", "g"),
            ),
            Ask(
                "check-weight",
                t("Net content of those weighed") if by_mass else t("Net content of bottles weighed"),
                "long",
                hint=t("In g, one on each line: the first, the last, every tenth"),
            ),
            Ask("scale", t("Scale"), choices=tools(lab, "scale")),
            *packed,
            Ask(
                "use-by",
                t("Use by"),
                "date",
                value=best_before_offered(lab, batch),
                hint=t("Printed on the label"),
            ),
            Ask(
                "note", t("Note"), "long", required=False, hint=t("Needed when the check of the fill is out")
            ),
        ),
    )


@router.get("/make/{batch}/fill", needs="maker")
def fill_page(request: Request, batch: str) -> Response:
    """Room for the filling."""
    return send_form(request, _fill(lab_of(request), batch))


@router.post("/make/{batch}/fill", needs="maker")
def write_fill(request: Request, batch: str, typed: TypedForm) -> Response:
    """Write the filling."""
    room = typed.amount("room-temperature", "°C")

    def act(lab: Laboratory, sign: Signed) -> Done:
        warm = room_and_flash(lab, batch, room)
        if room and warm.is_warm and typed["warm-room"] != "yes":
            raise NotAllowed(
                "In a room warmer than the flash point nothing is filled before it is cooled or aired",
                warm.says,
                "Say below that it was done",
                where="room-temperature",
            )
        done = fill_units(
            lab,
            batch,
            typed.whole("units", t("The number of bottles")),
            left_over=typed.amount("left-over", "g"),
            check_weights=typed.amounts("check-weight", "g"),
            packaging=_packaging(typed),
            scale=typed["scale"],
            use_by=typed["use-by"],
            note=typed["note"],
            nominal=typed.amount("nominal", filling_in_hand(lab, batch).ordered.unit),
            **sign,
        )
        if room:
            key = sign["request_key"]
            own_key = f"{key[:58]}-room" if key else None
            note_condition(lab, ROOM, room, by=sign["by"], at=sign["at"], request_key=own_key)
        return done

    return write(request, typed, lambda: _fill(lab_of(request), batch, room), act, then=f"/make/{batch}")


def _of_the_room(warm: RoomAndFlash) -> tuple[Caution, ...]:
    """What stands first on the filling page: that the room is warmer than the flash point, or may be."""
    if warm.flash is None:
        return ()
    found = caution("room-above-flash")
    if not warm.is_warm:
        found = replace(
            found, hazard=t("Flash point"), moment=t("read the room thermometer before the bulk is opened")
        )
    return (replace(found, wording=f"{warm.says} {found.wording}"),)


def _asks_of_the_room(warm: RoomAndFlash) -> tuple[Ask, ...]:
    if warm.flash is None:
        return ()
    asked = Ask("room-temperature", t("Room temperature"), "figure", "°C", hint=warm.offered)
    if not warm.is_warm:
        return (asked,)
    done = (("", t("choose")), ("yes", t("Cooled or aired; no flame, no spark, nobody smokes")))
    return (asked, Ask("warm-room", t("What was done about it"), choices=done))


def _packaging(typed: Typed) -> dict[str, int]:
    names = [name for name in typed.fields if name.startswith("pack-") and typed[name] not in ("", "0")]
    return {name.removeprefix("pack-"): typed.whole(name, t("A count of packaging")) for name in names}
