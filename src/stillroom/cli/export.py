"""Verb that takes a table out of the book."""

from pathlib import Path

import click

from stillroom.cli.asking import in_option


@click.command("export")
@click.argument("table")
@click.argument("into", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--month", default="", help="Month of the spirit, 2027-03; this month when left out.")
@in_option
def export_command(table: str, into: Path, month: str, folder: Path) -> None:
    """Write TABLE (stock, movements, results, batches, orders, spirit or plans) INTO a new file, .csv or .xlsx."""
    from datetime import UTC, datetime

    from stillroom.actions.lots.spirit_account import month_of
    from stillroom.actions.lots.tables_out import table_out
    from stillroom.cli.asking import open_laboratory
    from stillroom.errors import BookTrouble, worded

    if into.exists():
        raise BookTrouble(
            "A table overwrites nothing",
            worded("{into}, which is there already", into=into),
            "Choose another name",
        )
    wanted = month_of(month, datetime.now(UTC).astimezone().date()) if month else ""
    with open_laboratory(folder) as lab:
        content = table_out(lab, table, into.suffix.removeprefix("."), wanted)
    try:
        into.write_bytes(content)
    except OSError as trouble:
        raise BookTrouble(
            "A table needs a folder that can be written",
            f"{into}: {trouble.strerror or trouble}",
            "Choose another",
        ) from trouble
    click.echo(f"{into}: {table}, {len(content) / 1000:,.0f} kB.")
