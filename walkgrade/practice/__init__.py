"""The practice room; see DEVELOPERS.md."""
