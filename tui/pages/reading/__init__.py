"""Pages to read: help, health and safety."""
