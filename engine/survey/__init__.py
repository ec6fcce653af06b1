"""A shop put in by tape measure: what is said in a breath, read into a design."""
