"""Subcommands that print what is taken along."""
