"""The verb that enters files."""

from pathlib import Path

import click

from stillroom.cli.asking import at_option, by_option, in_option, json_option, moment, tell


@click.command("enter")
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path, exists=True, dir_okay=False)
)
@in_option
@by_option
@at_option
@json_option
def enter_command(files: tuple[Path, ...], folder: Path, by: str, at_text: str, as_json: bool) -> None:
    """Write orders, procedures, people and scales from YAML FILES into the book."""
    from stillroom.actions.entering import enter_file
    from stillroom.cli.asking import open_laboratory

    with open_laboratory(folder) as lab:
        for path in files:
            done = enter_file(lab, path, by=by, at=moment(at_text))
            tell(done.says, as_json=as_json, entries=list(done.entries))
