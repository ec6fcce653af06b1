"""The rules that keep a design valid."""
