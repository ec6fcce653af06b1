"""What each sheet holds, as blocks."""
