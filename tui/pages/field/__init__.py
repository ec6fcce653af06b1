"""Pages for the ladder: quick cards, readings and upkeep. They fit terminals too small to design in."""
