"""The reports room; see DEVELOPERS.md."""
