"""What a command makes of the memo: pure decisions."""
