"""Subcommands that search."""
