"""The cli room; see DEVELOPERS.md."""
