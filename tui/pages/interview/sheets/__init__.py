"""The sheets of questions, in the order they are walked."""
