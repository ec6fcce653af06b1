"""Layouts: where ducts can run between machines and collector, as pieces of a design."""
