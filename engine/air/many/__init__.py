"""The same equations over arrays: many gate sets of one tree solved at once."""
