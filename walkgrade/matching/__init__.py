"""What was said and a `Checklist` in, `Findings` out."""
