"""`Transcript` and vocabulary in, what was said out."""
