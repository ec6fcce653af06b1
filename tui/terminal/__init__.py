"""The terminal around the session: its driver, its looks, its clipboard."""
