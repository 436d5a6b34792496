"""A checklist on paper: sheets to print for the clipboard, for learning, and the numbers."""
