"""Pages to choose from: lists, files, commands, what was left behind."""
