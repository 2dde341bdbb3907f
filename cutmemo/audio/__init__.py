"""Sound in and out: the microphone, recordings, and a player, all in chunks of 16 kHz mono."""
