"""What the engine finds, as text and as JSON."""
