"""What the close reader learns from and how; models/train_close_reader.py joins it."""
