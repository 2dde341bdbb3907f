"""The word graph of a Vosk model, written without OpenFst; needs no net and no PyTorch."""
