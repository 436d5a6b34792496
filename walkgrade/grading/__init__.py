"""`Findings` and a policy in, a `Grade` out."""
