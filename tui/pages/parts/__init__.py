"""The parts page: take-off, cuts, setting out."""
