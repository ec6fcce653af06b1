"""A design whose sizes are open: what sizes there are, what they cost, and what they give."""

from engine.search.sizing.plant.choices import Choice, Choices, Option, choices_of
from engine.search.sizing.plant.plant import Plant, plant_of

__all__ = ["Choice", "Choices", "Option", "Plant", "choices_of", "plant_of"]
