"""What works beside the screens."""
