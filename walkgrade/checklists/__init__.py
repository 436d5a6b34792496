"""YAML in, `Checklist` and `VehicleProfile` out."""
