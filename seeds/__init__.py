"""Seed data: invented runs with their truth, the machine that speaks them, and the demo yard."""
