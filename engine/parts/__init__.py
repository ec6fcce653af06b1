"""What is bought, cut and hung: the take-off, the cutting of sticks, the setting out."""
