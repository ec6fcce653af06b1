"""What is wrong, by readings: every cause at every severity solved, weighed against what was read, and where to read next."""
