"""``python -m recipe COMMAND …``: one command a stage, and ``all`` for the stages in order."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence

COMMANDS = {
    "all": ("recipe.pipeline", "all stages in order; what is there is not made again"),
    "graph": ("recipe.graph.build", "the word graph of a model; needs no net"),
    "vocabulary": ("recipe.words.vocabulary", "what training needs to know of words"),
    "data": ("recipe.data", "check the sources named in data.toml"),
    "script": ("recipe.speech.script", "what the synthetic voices are to say"),
    "speak": ("recipe.speech.synthesize", "say a script with Kokoro's voices"),
    "small-voices": ("recipe.speech.small_voices", "speech of small synthesisers"),
    "concatenate": ("recipe.speech.concatenate", "single words of one speaker joined in strings"),
    "pack": ("recipe.speech.shards", "shards as Ogg Opus with a table"),
    "train": ("recipe.training.train", "train the acoustic net"),
    "check-objective": ("recipe.training.lfmmi", "add up a small denominator string by string"),
    "combine": ("recipe.training.combine", "widen a net, or average the parameters of several"),
    "read": ("recipe.export.read", "the net of a final.mdl, to go on training from"),
    "export": ("recipe.export.folder", "the acoustic model of a Vosk folder from a trained net"),
    "validation": ("recipe.evaluation.validation", "recordings to measure with"),
    "bench": ("recipe.evaluation.bench", "the recordings of tests/voice/bench"),
    "evaluate": ("recipe.evaluation.evaluate", "how well a model hears"),
    "doubt": ("recipe.evaluation.doubt", "a measure of doubt against the rules that ask"),
    "baseline": ("recipe.evaluation.baseline", "how well pocketsphinx hears the same"),
    "assets": ("recipe.speech.assets", "the read-back clips and the demo recordings"),
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; its module is imported only then, so that none needs what another uses."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    if not given or given[0] not in COMMANDS:
        width = max(map(len, COMMANDS))
        lines = "\n".join(f"  {name:{width}}  {what}" for name, (_, what) in COMMANDS.items())
        asked = not given or given[0] in ("-h", "--help")
        print(f"python -m recipe COMMAND …\n\n{lines}", file=sys.stdout if asked else sys.stderr)
        return 0 if asked else 2
    importlib.import_module(COMMANDS[given[0]][0]).main(given[1:])
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
