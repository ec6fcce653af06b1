"""The terminal session: a view on a Document, driven by the keyboard."""
