"""Help that lists the commands under headings, as plain text."""

from itertools import groupby
from typing import Any, Final

from typer.core import TyperGroup

#: More characters than a command's first sentence has, so that none is cut off.
WHOLE: Final = 400


class SectionedGroup(TyperGroup):
    """A group of commands that lists them in the order in which they were added, section by section."""

    # Typer keeps the types of context and formatter to itself.
    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write each section's heading, then its commands with what each is for."""
        found = [(name, self.get_command(ctx, name)) for name in self.list_commands(ctx)]
        commands = [(name, command) for name, command in found if command is not None]
        widest = max(len(name) for name, _ in commands)
        for section, inside in groupby(commands, lambda each: getattr(each[1], "rich_help_panel", None)):
            with formatter.section(section or "Commands"):
                formatter.write_dl(
                    [(f"{name:{widest}}", command.get_short_help_str(WHOLE)) for name, command in inside]
                )
