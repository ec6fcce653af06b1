"""The frame around every page: title, status, questions and keys."""
