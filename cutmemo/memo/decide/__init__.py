"""What a command makes of the memo: pure functions of the memo, the command and its context."""
