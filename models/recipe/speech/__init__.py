"""Speech to train on: synthesised, concatenated, and packed in shards."""
