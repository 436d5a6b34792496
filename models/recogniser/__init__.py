"""What trains the recogniser on the talk of a vehicle inspection."""
