"""Verbs for tests: one for each kind."""

import click


class Tests(click.Group):
    """The kinds of test, each loaded when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        from stillroom.actions.testing.kinds import KINDS

        return sorted(KINDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        from stillroom.actions.testing.kinds import KINDS, kind_of_test
        from stillroom.cli.asked import command_of_act

        return command_of_act(kind_of_test(cmd_name)) if cmd_name in KINDS else None


@click.group("test", cls=Tests)
def test_command() -> None:
    """Enter a precipitate test, a titration, or what another laboratory found, as read."""
