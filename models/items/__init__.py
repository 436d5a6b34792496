"""What the item reader learns from and how; models/train_item_reader.py joins it."""
