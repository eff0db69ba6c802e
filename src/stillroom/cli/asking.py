"""What most verbs ask: where the laboratory is, who signs, and whether the answer is for a program."""

import json
import os
import re
import sys
import warnings
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from functools import wraps
from getpass import GetPassWarning
from pathlib import Path
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, TypedDict, TypeVar

import click

from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.documents.blocks import Page
from stillroom.errors import BadEntry

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory

    Told = Done | Page | Iterable[Done]

Command = TypeVar("Command", bound=Callable[..., Any])
Typed = ParamSpec("Typed")
PRACTICE_FOLDER = "stillroom-practice"
PIN_WORD = "STILLROOM_PIN"

in_option = click.option(
    "--in",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    envvar="STILLROOM",
    default=PRACTICE_FOLDER,
    show_default=True,
    help="Folder of the laboratory.",
)
by_option = click.option("--by", required=True, help="Code of the person who signs.")


def _is_right(context: click.Context, _: click.Parameter, said: bool) -> None:
    if said:
        from stillroom.actions.book.clock import TIME_IS_RIGHT

        before = TIME_IS_RIGHT.set(True)
        context.call_on_close(lambda: TIME_IS_RIGHT.reset(before))


at_server_option = click.option(
    "--at-server",
    default="",
    metavar="ADDRESS",
    help="Keep the book in an empty PostgreSQL database, postgresql+psycopg:///stillroom.",
)
right_option = click.option(
    "--time-is-right",
    is_flag=True,
    expose_value=False,
    callback=_is_right,
    help="The time is right although it cannot be; the entry keeps the doubt.",
)


def at_option(command: Command) -> Command:
    """When it was done, and that the time is right where it was asked about."""
    asked = click.option(
        "--at", "at_text", default="", help="When it was done (2026-11-02 08:15); now when left out."
    )
    return asked(right_option(command))


json_option = click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")


def open_laboratory(folder: Path) -> "Laboratory":
    """Open the laboratory of a folder; whoever signs and has a PIN is asked for it, once.

    Parameters
    ----------
    folder : Path
        Folder that holds the book.
    """
    from stillroom.actions.book.laboratory import open_laboratory as open_folder

    proved: set[str] = set()

    def ask(lab: "Laboratory", person: str) -> None:
        from stillroom.actions.house.pins import has_pin, prove

        if person not in proved and has_pin(lab, person):
            prove(lab, person, type_pin(f"PIN of {person}"))
            proved.add(person)

    return replace(open_folder(folder), asks_pin=ask)


class Sign(TypedDict):
    """Who did it, and when."""

    by: str
    at: datetime | None


def in_the_book(
    does: "Callable[Concatenate[Laboratory, Sign, Typed], Told]", *, signed: Callable[[Any], Any] = by_option
) -> Callable[..., None]:
    """A verb that writes: it asks where the laboratory is, who signs, when, and tells what was done, or shows a page.

    Parameters
    ----------
    does : function
        Takes the open laboratory, who signs, and what is typed.
    signed : option
        That asks who signs.
    """

    @wraps(does)
    def run(*, folder: Path, by: str, at_text: str, as_json: bool, **typed: Any) -> None:
        at = moment(at_text)
        with open_laboratory(folder) as lab:
            told = does(lab, Sign(by=by, at=at), **typed)  # type: ignore[call-arg]
            if isinstance(told, Page):
                tell_page(told, as_json=as_json)
                return
            for done in told if isinstance(told, Iterable) else (told,):
                tell_done(lab, done, as_json=as_json)

    asked: Callable[..., None] = in_option(signed(at_option(json_option(run))))
    return asked


def perhaps_in_the_book(
    does: "Callable[Concatenate[Laboratory, Sign, Typed], Told]",
) -> Callable[..., None]:
    """The same for a verb that shows a page where nothing is done: then nobody signs."""
    return in_the_book(does, signed=click.option("--by", default="", help="Code of the person who signs."))


def type_pin(whose: str) -> str:
    """A PIN, typed unseen; from STILLROOM_PIN where that is set, "" where nobody can type."""
    told = os.environ.get(PIN_WORD)
    if told is not None:
        return told
    return str(click.prompt(whose, hide_input=True, err=True)) if sys.stdin.isatty() else ""


def new_pin(person: str) -> str:
    """A PIN that is set, typed unseen and twice; refused here where anybody would try it first."""
    from stillroom.actions.house.pins import must_be_hard_to_guess

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", GetPassWarning)  # where no terminal is, nobody sees it either
            typed = click.prompt(
                f"New PIN of {person}", hide_input=True, confirmation_prompt="Once more", err=True, type=str
            )
    except click.Abort as nothing:
        if sys.stdin.isatty():
            raise
        raise BadEntry(
            "A PIN is typed unseen, twice", "no terminal to type it at", "Start this in a terminal"
        ) from nothing
    must_be_hard_to_guess(typed)
    return str(typed)


def moment(text: str) -> datetime | None:
    """The time a person wrote, or None for now.

    Raises
    ------
    BadEntry
        It is not a date and time.
    """
    if not text:
        return None
    try:
        return datetime.fromisoformat(text).astimezone()
    except (ValueError, OverflowError) as trouble:
        raise BadEntry("A time is written 2026-11-02 08:15", repr(text), where="--at") from trouble


def tell_page(page: Page, *, as_json: bool) -> None:
    """Print a page as text, or as JSON."""
    click.echo(
        json.dumps(page_json(page), ensure_ascii=False, indent=1) if as_json else page_text(page), nl=as_json
    )


def tell(says: str, *, as_json: bool, **more: Any) -> None:
    """Print one sentence, or the same with its entries as JSON."""
    click.echo(json.dumps({"says": says, **more}, ensure_ascii=False) if as_json else says)


def tell_done(lab: "Laboratory", done: "Done", *, as_json: bool) -> None:
    """Print what was done, with the released lots it suspended; the same with its entries as JSON."""
    from stillroom.actions.releasing.suspended import told_with_what_followed

    told = told_with_what_followed(lab, done)
    tell(told.says, as_json=as_json, entries=list(told.entries))


def pair_in(text: str) -> tuple[str, str]:
    """Two readings in one word of a command, "0.4085 g, 20.06 mL"; the second is "" where there is one only.

    A comma inside a number is its decimal comma: between the two stands a comma and a space, or a semicolon.
    """
    first, _, second = re.sub(r";\s*|,\s+|,(?=\d*[.])|(?<=[a-zA-Z]),", "|", text, count=1).partition("|")
    return first.strip(), second.strip()


def tell_progress(says: str) -> None:
    """Say on the terminal what takes a moment; nothing when nobody watches."""
    if sys.stderr.isatty():
        click.echo(f"{says} …", err=True)


MANY_ENTRIES = 5000
"""A longer book says how far it was read. [1]"""


def progress_teller() -> Callable[[int, int], None]:
    """What says on the terminal, at each tenth, how many entries of a long book were read."""
    said = [0]

    def progress(done: int, of: int) -> None:
        if of > MANY_ENTRIES and done * 10 // of > said[0]:
            said[0] = done * 10 // of
            tell_progress(f"{done:,} of {of:,} entries")

    return progress
