"""The only door to Vosk: sound in, what was heard out, and how sure that is."""

from cutmemo.speech.heard import Alternative, Heard, Partial
from cutmemo.speech.judge import Judged, judge, several_in
from cutmemo.speech.phrase_list import phrases_for
from cutmemo.speech.recogniser import Recogniser, load_model, model_folder

__all__ = [
    "Alternative", "Heard", "Judged", "Partial", "Recogniser", "judge", "load_model", "model_folder", "phrases_for", "several_in",
]  # fmt: skip
