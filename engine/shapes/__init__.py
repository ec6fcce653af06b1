"""Points, directions, lines and boxes in space; nothing here knows a design."""
