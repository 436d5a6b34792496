"""The school room; see DEVELOPERS.md."""
