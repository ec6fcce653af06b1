"""The work on a design without the screen: document, selection, edits, fields and their values."""
