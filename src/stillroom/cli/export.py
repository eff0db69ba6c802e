"""Verbs that take a table, or everything, out of the book, and bring everything in again."""

from pathlib import Path

import click

from stillroom.cli.asking import at_server_option, in_option, progress_teller, tell_progress

EVERYTHING = "everything"


@click.command("export")
@click.argument("table")
@click.argument("into", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--month", default="", help="Month of the spirit, 2027-03; this month when left out.")
@in_option
@click.option(
    "--by", default="", help="Code of who takes everything; needed where somebody has a PIN or duties."
)
def export_command(table: str, into: Path, month: str, folder: Path, by: str) -> None:
    """Write TABLE (stock, movements, results, batches, orders, spirit or plans) INTO a new file, .csv or .xlsx.

    TABLE may be "everything": the whole book as open files INTO a new folder, for "stillroom import".
    """
    from datetime import UTC, datetime

    from stillroom.actions.house.duties import sign_for
    from stillroom.actions.lots.spirit_account import month_of
    from stillroom.actions.lots.tables_out import table_out
    from stillroom.cli.asking import open_laboratory

    if table == EVERYTHING:
        with open_laboratory(folder) as lab:
            sign_for(lab, by)
        _export_everything(folder, into)
        return
    wanted = month_of(month, datetime.now(UTC).astimezone().date()) if month else ""
    with open_laboratory(folder) as lab:
        content = table_out(lab, table, into.suffix.removeprefix("."), wanted)
    new_file(into, content)
    click.echo(f"{into}: {table}, {len(content) / 1000:,.0f} kB.")


def new_file(into: Path, content: bytes) -> None:
    """Write a table into a new file.

    Raises
    ------
    BookTrouble
        Something stands there, or it cannot be written.
    """
    from stillroom.errors import BookTrouble, worded

    if into.exists():
        raise BookTrouble(
            "A table overwrites nothing",
            worded("{into}, which is there already", into=into),
            "Choose another name",
        )
    try:
        into.write_bytes(content)
    except (OSError, ValueError) as trouble:  # the disk is full, or no file can be called so
        if isinstance(trouble, OSError):
            into.unlink(missing_ok=True)
        raise BookTrouble(
            "A table needs a folder that can be written",
            f"{into}: {trouble}",
            "Choose another",
        ) from trouble


def _export_everything(folder: Path, into: Path) -> None:
    from stillroom.actions.book.backup import export_everything

    tell_progress("Writing every entry")
    entries = export_everything(folder, into, progress_teller())
    click.echo(
        f"{into}: {entries} entries as JSON lines, every table as CSV, every file; columns.csv says what "
        f"each column is. "
        f"Bring it in with: stillroom import {into} NEW-FOLDER"
    )


@click.command("import")
@click.argument("given", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.argument("to", type=click.Path(path_type=Path, file_okay=False))
@at_server_option
def import_command(given: Path, to: Path, at_server: str) -> None:
    """Make the laboratory again in TO from GIVEN, the folder that "export everything" made. Nothing is overwritten."""
    from stillroom.actions.book.backup import import_everything

    tell_progress("Reading every entry")
    digest = import_everything(given, to, progress_teller(), at_server=at_server)
    click.echo(
        f"The laboratory stands in {to}. Its fingerprint, as 'book digest --tables' prints it: {digest}"
    )
