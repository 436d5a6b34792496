"""Sound in, `Transcript` out."""
