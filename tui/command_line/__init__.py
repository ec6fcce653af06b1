"""The `kerfdraft` command, a file for each subcommand. Nothing here imports Textual before the session is wanted."""

from tui.command_line.command import main, run

__all__ = ["main", "run"]
