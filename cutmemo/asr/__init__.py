"""The only door to Vosk: sound in, what was heard out, and how sure that is."""

from cutmemo.asr.attention import Attention
from cutmemo.asr.decide import Interpretation, interpret, split_recognition
from cutmemo.asr.decoder import Recogniser, load_model, model_folder
from cutmemo.asr.hypotheses import Hypothesis, Partial, Recognition
from cutmemo.asr.phrase_list import phrases_for

__all__ = [
    "Attention",
    "Hypothesis",
    "Interpretation",
    "Partial",
    "Recogniser",
    "Recognition",
    "interpret",
    "load_model",
    "model_folder",
    "phrases_for",
    "split_recognition",
]
