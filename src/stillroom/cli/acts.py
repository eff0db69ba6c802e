"""Verbs that stand together: each is an act of the book, read off its declaration."""

from collections.abc import Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from stillroom.actions.book.acts import Act


class ActGroup(click.Group):
    """Acts of the book, each loaded when it is called, beside the commands that are added.

    Parameters
    ----------
    declared : str
        Where the acts stand: "stillroom.actions.testing.kinds:KINDS".
    """

    def __init__(self, name: str, declared: str, **more: Any) -> None:
        super().__init__(name, **more)
        self._declared = declared

    @property
    def acts(self) -> "Mapping[str, Act[Any]]":
        """The acts by their verbs."""
        module, _, name = self._declared.partition(":")
        found: Mapping[str, Act[Any]] = getattr(import_module(module), name)
        return found

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted([*self.acts, *super().list_commands(ctx)])

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        from stillroom.cli.asked import command_of_act

        if cmd_name in self.acts:
            return command_of_act(self.acts[cmd_name])
        return super().get_command(ctx, cmd_name)


test_command = ActGroup(
    "test",
    "stillroom.actions.testing.kinds:KINDS",
    help="Enter a precipitate test, a titration, or what another laboratory found, as read.",
)
recall_command = ActGroup(
    "recall",
    "stillroom.actions.releasing.recalling:RECALLS",
    help="Write a complaint, what came back, who was told and when, and a recall that was rehearsed.",
)
