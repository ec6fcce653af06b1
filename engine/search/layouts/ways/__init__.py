"""The ways that ducts of a layout take."""
