"""The plan: what of a design has a place in the room, how it is looked at, and how it is drawn. Knows nothing of the screen."""
