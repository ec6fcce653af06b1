"""Fields of a form and of the interview: what they are, and how what is typed is read."""
