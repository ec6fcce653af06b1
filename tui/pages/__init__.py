"""Pages: what fills the screen."""
