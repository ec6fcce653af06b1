"""`python -m tui` is the `kerfdraft` command."""

from tui.command_line import run

run()
