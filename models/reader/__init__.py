"""How the run reader is trained: needs PyTorch, used by models/train_reader.py alone."""
