"""The root command: the table of commands, the version, and the one place where errors become messages."""

from __future__ import annotations

import os
from importlib import import_module
from typing import Annotated, Any, cast

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_group

from rampbook import __version__
from rampbook.cli.plain import take_plainly
from rampbook.errors import RampbookError

# A command's module is imported only when that command is asked for: some pull in heavy libraries.
# Command, the module in rampbook.cli that registers it, and the first line of its help.
COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("demo", "Build the invented club, judge its changes, and write its season review."),
    "load": ("load", "Load CSV or xlsx files, or a folder of them, into the store."),
    "settings": ("settings", "Show the settings of an athlete as they stood on a day."),
    "card": ("card", "Write the settings as a card for the chair bag, one page a profile."),
    "change": ("change", "Log one change of one setting."),
    "bundle": ("bundle", "Log several settings that were changed in one go, all or nothing."),
    "goback": ("goback", "Log the return of a setting to its old value; of a bundle, all of them."),
    "practice": ("practice", "Log a practice and its outcomes, all or nothing."),
    "athlete": ("club", "Log an athlete, by code, and what was agreed."),
    "chair": ("chair", "Log a chair, its scale, its days and its goals, or list the chairs."),
    "move": ("move", "Plan the move to a new chair: what carries over, and where to begin."),
    "sheet": ("club", "Log a full check of the settings of one profile."),
    "response": ("response", "Draw what the joystick commands, before and after, with a measured run over it."),
    "run": ("run", "Log a measured run of the chair, and say what it shows."),
    "event": ("club", "Log something else that may change how the chair drives."),
    "ask": ("ask", "Ask what to check first when the chair drives oddly, and what could be tried."),
    "speed": ("speed", "Log measured passes, and show their margin to the speed limit."),
    "limit": ("speed", "Show or state the speed limit that your club plays under."),
    "matchday": ("matchday", "Print the match-day check list: stale measurements, the profile to drive, alerts."),
    "effect": ("effect", "Say whether one change helped, and how far that can be believed."),
    "watch": ("watch", "Watch the changes in force for harm, and say when to go back."),
    "series": ("series", "Say the same for any table of practices, without a store."),
    "review": ("review", "Write the season-end review of one athlete or the squad."),
    "handover": ("handover", "Write the two-page handover for a new coach or technician."),
    "check": ("check", "Check that the store is sound."),
}


class Commands(TyperGroup):
    """The commands, each loaded when it is asked for, inside the error boundary."""

    def list_commands(self, ctx: Any) -> list[str]:
        """Return the names of all commands."""
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> TyperCommand | None:
        """Import the command's module and return the command."""
        if cmd_name not in COMMANDS:
            return None
        room = typer.Typer(rich_markup_mode=None)
        import_module(f"rampbook.cli.{COMMANDS[cmd_name][0]}").register(room)
        found = cast("TyperCommand", get_group(room).commands[cmd_name])
        take_plainly(found.get_params(ctx))
        return found

    def get_params(self, ctx: Any) -> list[Any]:
        """Return the options that stand before a command."""
        params = super().get_params(ctx)
        take_plainly(params)
        return params

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command; a mistyped one is answered with close names."""
        # The parent looks for close names among loaded commands, of which there are none.
        self.commands = dict.fromkeys(COMMANDS, self)
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: Any) -> Any:
        """Run the command; what a person can put right becomes a message and exit 2."""
        try:
            return super().invoke(ctx)
        except RampbookError as error:
            typer.echo(str(error), err=True)
            raise typer.Exit(2) from error


app = typer.Typer(
    cls=Commands,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="A book of powerchair drive settings that says honestly whether a change helped.",
    epilog="Exit codes: 0 done; 1 done, but something needs a person; 2 refused, nothing changed.",
)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"rampbook {__version__}")
        raise typer.Exit


@app.callback()
def root(
    show_version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and stop."),
    ] = False,
) -> None:
    """Take the options that stand before a command."""


def main() -> None:
    """Run the command line."""
    # The matrices are small: threads of the linear algebra wait for each other longer than they work (measured on
    # two busy cores: 3.3 s for one series against 0.4 s). Set before numpy is loaded; a user's own choice stands.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    app()
