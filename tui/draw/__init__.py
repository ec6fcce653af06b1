"""What is drawn, as lines of text with roles, and how a widget shows them."""
