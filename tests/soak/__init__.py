"""Long trials: the commands run as long as they are told to; the suite runs a short stretch of each."""
