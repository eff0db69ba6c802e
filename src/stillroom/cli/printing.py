"""The verb that writes documents."""

from pathlib import Path

import click

from stillroom.cli.asking import in_option


@click.command("print")
@click.argument("document", default="")
@click.option(
    "--into", type=click.Path(path_type=Path, file_okay=False), default=None, help="Folder for the files."
)
@click.option(
    "--paper",
    type=click.Choice(("a4", "letter"), case_sensitive=False),
    default="a4",
    help="What is printed on.",
)
@in_option
def print_command(document: str, into: Path | None, paper: str, folder: Path) -> None:
    """Write DOCUMENT (such as certificate-T1), or every document, as PDF and text."""
    from stillroom.cli.asking import open_laboratory
    from stillroom.pages.printing import print_all

    with open_laboratory(folder) as lab:
        for pdf, text in print_all(lab, into or folder / "documents", document, paper=paper):
            click.echo(f"{pdf}  {text.name}")
