"""`python -m tui` is the `kerfdraft` command."""

from tui.command_line.command import run

run()
