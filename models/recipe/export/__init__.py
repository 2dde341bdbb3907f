"""Between a trained net and the folder that Vosk loads."""
