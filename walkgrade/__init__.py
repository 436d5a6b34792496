"""walkgrade: grade a recorded, spoken commercial-vehicle inspection against a checklist."""

__version__ = "0.1.0"
