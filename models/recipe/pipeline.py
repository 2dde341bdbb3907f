"""All stages of the recipe in order; a stage whose outputs are there is not run again.

What a stage was run with is kept in WORK/stages. It runs again where that differs, where an output
is missing, or where a stage that it needs has run.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

Run = Callable[[Sequence[str]], object]
"""Runs ``python -m recipe`` with these arguments."""


@dataclass(frozen=True)
class Stage:
    """One command of the recipe."""

    command: str
    arguments: tuple[str, ...]
    outputs: tuple[Path, ...]
    """Files or folders that are there once it has run."""
    needs: tuple[str, ...] = ()
    """The commands whose outputs it uses."""


def run_stages(stages: Sequence[Stage], work: Path, run: Run) -> list[str]:
    """Run what is not there yet; return the commands that ran."""
    ran: list[str] = []
    for stage in stages:
        record = work / "stages" / f"{stage.command}.json"
        given = json.dumps([stage.command, *stage.arguments])
        known = record.is_file() and record.read_text("utf-8") == given
        if (
            known
            and all(path.exists() for path in stage.outputs)
            and not set(stage.needs) & set(ran)
        ):
            print(f"== {stage.command}: there")
            continue
        print(f"== {stage.command}", flush=True)
        record.unlink(missing_ok=True)
        run([stage.command, *stage.arguments])
        record.parent.mkdir(parents=True, exist_ok=True)
        record.write_text(given, "utf-8")
        ran.append(stage.command)
    return ran


def _speech(given: argparse.Namespace) -> list[Stage]:
    """Return the stages that make speech."""
    work, stages = given.work, []
    read = ("--read", str(given.read)) if given.read else ()
    if given.kokoro:
        script, seed = work / "script.jsonl", ("--seed", str(given.seed))
        number = ("--kokoro", str(given.kokoro), "--number", str(given.clips))
        stages.append(Stage("script", (str(script), *number, *seed, *read), (script,)))
        said = (str(given.kokoro), str(script), str(work / "speech"))
        processes = ("--processes", str(given.processes))
        stages.append(Stage("speak", said + processes, (work / "speech",), ("script",)))
    if given.small_voices:
        small = (str(work / "small"), "--clips", str(given.small_voices), *read)
        stages.append(Stage("small-voices", small, (work / "small",)))
    if given.words:
        joined = (str(given.words), str(work / "joined"))
        stages.append(Stage("concatenate", joined, (work / "joined",)))
    return stages


def stages_of(given: argparse.Namespace, training: Sequence[str]) -> list[Stage]:
    """Return all stages; *training* are further options of ``train``."""
    work, model = given.work, given.model or given.work / "model"
    sentences = ("--sentences", str(given.sentences)) if given.sentences else ()
    graph = Stage("graph", (str(model), *sentences), (model / "graph" / "Gr.fst",))
    speech = _speech(given)
    made = [str(path) for stage in speech if stage.command != "script" for path in stage.outputs]
    packs = [source.partition(":")[0] for source in given.sources]
    makers = tuple(stage.command for stage in speech)
    vocabulary, net = work / "vocabulary.json", work / "net.pt"
    words = Stage("vocabulary", (str(vocabulary), *packs, *made, *sentences), (vocabulary,), makers)
    options = ("--out", str(net), "--vocabulary", str(vocabulary), *training)
    train = Stage("train", (*given.sources, *made, *options), (net,), (*makers, "vocabulary"))
    mdl = model / "am" / "final.mdl"
    export = Stage("export", (str(net), str(model)), (mdl,), ("train",))
    stages = [graph, *speech, words, train, export]
    if given.bench:
        bench = (str(model), "--bench", str(given.bench))
        stages.append(Stage("evaluate", bench, (), ("graph", "export")))
    return stages


def main(arguments: Sequence[str] | None = None) -> None:
    """Make a model from speech to measures; what follows -- goes to the command train."""
    options = argparse.ArgumentParser(prog="recipe all", description=main.__doc__)
    options.add_argument("work", type=Path, help="the folder of all that is made")
    options.add_argument("--model", type=Path, help="the model's folder; WORK/model by default")
    options.add_argument("--sources", nargs="*", default=[], help="speech that is there")
    options.add_argument("--kokoro", type=Path, help="its folder: a script is said")
    options.add_argument("--clips", type=int, default=10_000, help="lines of that script")
    options.add_argument("--seed", type=int, default=1, help="of that script")
    options.add_argument("--processes", type=int, default=1, help="that say it")
    options.add_argument("--read", type=Path, help="a pack whose sentences are said, too")
    options.add_argument("--small-voices", type=int, default=0, help="clips of small synthesisers")
    options.add_argument("--words", type=Path, help="a pack of single words, to be joined")
    options.add_argument("--sentences", type=int, help="sampled for graph and vocabulary")
    options.add_argument("--bench", type=Path, help="a manifest to measure with")
    given = list(arguments or [])
    training = given[given.index("--") + 1 :] if "--" in given else []
    chosen = options.parse_args(given[: given.index("--")] if "--" in given else given)
    from recipe.__main__ import main as recipe

    chosen.work.mkdir(parents=True, exist_ok=True)
    run_stages(stages_of(chosen, training), chosen.work, recipe)
