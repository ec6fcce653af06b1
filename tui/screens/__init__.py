"""The screens of the session."""
