"""Subcommands for the ladder and the years after."""
