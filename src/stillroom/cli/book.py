"""Verbs of the book itself: begin one, correct an entry, verify, copy, bring back."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.asking import (
    Sign,
    at_server_option,
    by_option,
    in_option,
    json_option,
    new_pin,
    perhaps_in_the_book,
    progress_teller,
    right_option,
    tell,
    tell_progress,
)

if TYPE_CHECKING:
    from stillroom.actions.book.laboratory import Done, Laboratory
    from stillroom.documents.blocks import Page
    from stillroom.records.people import Person


def _named_folder(_: click.Context, __: click.Parameter, text: str) -> Path:
    """The folder of a new laboratory: it has a name."""
    from stillroom.errors import BadEntry

    if not text.strip():
        raise BadEntry("A laboratory is begun in a folder", repr(text), 'Name it, such as "our-laboratory"')
    return Path(text)


@click.command("new")
@click.argument("folder", callback=_named_folder)
@click.option(
    "--name", default="", help="Name of the laboratory, printed on every document; asked when left out."
)
@click.option(
    "--person",
    default="",
    help='Code and name of the first person, "MA: Mira Ansel"; asked when left out, the code offered.',
)
@click.option(
    "--altitude-m", "altitude", default="", help='Height above the sea, for boiling points: "240 m".'
)
@click.option("--address", default="", help="Printed on certificates and labels.")
@click.option("--responsible-person", default="", help="Who answers for what is sold.")
@click.option("--currency", default="", help="EUR")
@click.option("--telephone", default="", help="Printed where it is given.")
@click.option("--email", default="", help="Printed where it is given.")
@at_server_option
@click.option("--with-pin", is_flag=True, help="Set the PIN of the first person too, typed unseen.")
@right_option
def new_command(
    folder: Path, name: str, person: str, altitude: str, address: str, responsible_person: str,
    currency: str, telephone: str, email: str, at_server: str = "", with_pin: bool = False,
) -> None:  # fmt: skip
    """Begin an empty laboratory in FOLDER, beside any other."""
    from stillroom.actions.book.laboratory import begin_laboratory
    from stillroom.actions.house.describing import describe_house
    from stillroom.actions.house.pins import set_pin
    from stillroom.quantities.entry import entry
    from stillroom.records.written_values import one_line

    name = one_line(name or _typed("Name of the laboratory", "--name"), "--name")
    first = _first_person(person)
    pin = new_pin(first.code) if with_pin else ""
    said = {
        "address": address, "responsible person": responsible_person, "currency": currency,
        "telephone": telephone, "email": email,
    }  # fmt: skip
    height = (
        entry(altitude, "m", negative_allowed=True, zero_allowed=True, where="altitude") if altitude else None
    )
    altitude_m = height.in_unit("m") if height else None
    with begin_laboratory(folder, name, first, altitude_m=altitude_m, at_server=at_server) as lab:
        if pin:
            set_pin(lab, first.code, pin, by=first.code)
        if any(one.strip() for one in said.values()):
            describe_house(lab, said, by=first.code)
        click.echo(
            f"{name} is begun in {folder}, and {first.name} signs as {first.code}. "
            f"Next: stillroom serve --in {folder}"
        )


def _first_person(written: str) -> "Person":
    from stillroom.errors import BadEntry
    from stillroom.records.people import Person, signature_of
    from stillroom.records.written_values import code as code_in
    from stillroom.records.written_values import one_line

    if written:
        code, colon, full = written.partition(":")
        if not colon:
            raise BadEntry('A person is written "MA: Mira Ansel"', repr(written), where="--person")
    else:
        full = one_line(_typed("Your name", "--person"), "--person")
        code = click.prompt("You sign as", default=signature_of(full), err=True)
    return Person(code_in(code, "--person"), one_line(full, "--person"), may_release=True)


def _typed(what: str, option: str) -> str:
    """What a person types at a terminal; where nobody can type, the option is asked for."""
    from stillroom.errors import BadEntry, worded

    if not sys.stdin.isatty():
        raise BadEntry(
            "Somebody must name the laboratory and its first person",
            "no terminal to ask at",
            worded("Give {option}", option=option),
        )
    return str(click.prompt(what, err=True))


@click.command("correct")
@click.argument("entry")
@click.argument("text", default="")
@click.option("--line", default="", help="Line of the step, or another of the lines that ENTRY shows.")
@click.option("--why", default="", help="How the error happened.")
@perhaps_in_the_book
def correct_command(
    lab: "Laboratory", sign: Sign, entry: str, text: str, line: str, why: str
) -> "Done | Page":
    """Correct ENTRY, a number: its LINE should have said TEXT. Both values and the reason stay.

    Without TEXT, shows the lines of ENTRY; of the code of a lot, batch or order instead, the entries about it.
    """
    from stillroom.actions.correcting.entries import correct_entry
    from stillroom.errors import BadEntry, worded
    from stillroom.pages.entries import show_entries, show_lines
    from stillroom.pages.paging import Wanted

    if not text and not line:
        return show_lines(lab, int(entry)) if entry.isdecimal() else show_entries(lab, Wanted(about=entry))
    if not entry.isdecimal():
        raise BadEntry(
            "An entry is corrected by its number",
            repr(entry),
            worded("'stillroom correct {code}' shows the numbers", code=entry),
        )
    if not (sign["by"] and why):
        raise BadEntry("A correction is signed, with how the error happened", "less", "Give --by and --why")
    return correct_entry(lab, int(entry), text, line=line, why=why, **sign)


@click.group("book")
def book_command() -> None:
    """Verify, mend, back up, restore or fingerprint the book."""


@book_command.command("verify")
@click.option("--new", "new_only", is_flag=True, help="Only what was written since it was verified last.")
@in_option
@json_option
def verify_command(folder: Path, as_json: bool, new_only: bool) -> None:
    """Prove the chain, and compare every entry with the index made from it."""
    from stillroom.actions.book.backup import verify
    from stillroom.errors import BookTrouble

    tell_progress("Reading every new entry again" if new_only else "Reading every entry again")
    report = verify(folder, new_only=new_only, progress=progress_teller())
    if report.troubles:
        raise BookTrouble(
            "The book must agree with itself",
            "; ".join(report.troubles),
            report.advice,
        )
    tell(
        f"The book holds: {report.entries} entries, {report.rows} rows of its index; "
        f"its chain ends in {report.digest[:16]}.{report.untold and f' {report.untold}.'}",
        as_json=as_json,
        entries=report.entries,
        rows=report.rows,
        digest=report.digest,
        untold=report.untold,
    )


@book_command.command("mend")
@in_option
@json_option
def mend_command(folder: Path, as_json: bool) -> None:
    """Make everything in the book again from its journal. Nobody else may have it open."""
    from stillroom.actions.book.backup import mend

    mended = mend(folder)
    unread = mended.unread and f" Set again what could not all be read: {', '.join(mended.unread)}."
    tell(
        f"Made again from all {mended.entries} entries of its journal. The file as it was found is "
        f"{mended.aside.name}.{''.join(f' {one}. {mended.advice}.' for one in mended.lacks)}{unread or ''}",
        as_json=as_json,
        entries=mended.entries,
        lacks=mended.lacks,
        unread=mended.unread,
        aside=str(mended.aside),
    )


@book_command.command("backup")
@click.argument("into", type=click.Path(path_type=Path))
@in_option
@click.option("--by", default="", help="Code of who copies it; needed where somebody has a PIN or duties.")
def backup_command(into: Path, folder: Path, by: str) -> None:
    """Copy the book to INTO, and verify the copy."""
    from stillroom.actions.book.backup import back_up
    from stillroom.actions.house.duties import sign_for
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        sign_for(lab, by)
        click.echo(f"Copied and verified: {back_up(lab, into)}")


@book_command.command("restore")
@click.argument("copy", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.argument("to", type=click.Path(path_type=Path, file_okay=False))
@by_option
@right_option
@at_server_option
def restore_command(copy: Path, to: Path, by: str, at_server: str) -> None:
    """Go on from COPY in the folder TO. A book already there is never overwritten."""
    from stillroom.actions.book.backup import bring_back

    click.echo(f"The book goes on in {bring_back(copy, to, by=by, at_server=at_server)}.")


@book_command.command("digest")
@click.option(
    "--tables", is_flag=True, help="Fingerprint of journal and tables instead: equal means nothing changed."
)
@right_option
@in_option
def digest_command(folder: Path, tables: bool) -> None:
    """Print a signed line that stands for the whole book. Keep it on paper or elsewhere."""
    from stillroom.actions.book.backup import digest
    from stillroom.actions.book.signing import signed_head
    from stillroom.cli.asking import open_laboratory

    if tables:
        click.echo(digest(folder))
        return
    with open_laboratory(folder) as lab:
        click.echo(signed_head(lab))


@book_command.command("check")
@click.argument("line")
@click.argument("copy", type=click.Path(path_type=Path, exists=True, dir_okay=False))
def check_command(line: str, copy: Path) -> None:
    """Whether COPY is the book that LINE was printed from by "book digest", up to its entry."""
    from stillroom.actions.book.signing import check_line

    click.echo(check_line(line, copy))
