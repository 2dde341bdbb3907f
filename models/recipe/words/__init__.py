"""What is said: sampled sentences, pronunciations and acoustic units."""
