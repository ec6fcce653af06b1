"""Sheets for the wall: what is told of a design to who builds it and works by it, as one page of HTML, as plain text and as tables."""
