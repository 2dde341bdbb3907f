"""Puts small faults into the core, one at a time, and counts how many of them the unit tests see.

    python tests/bench/mutations.py --seed 1 --count 300
    python tests/bench/mutations.py --seed 1 --count 40 --package planning
    python tests/bench/mutations.py --seed 1 --count 300 --workers 16

The faults are drawn by the seed: in turn from each package, first the operator, then the place, so
that the first 40 of a seed are the first 40 of its 300. Every fault is put into a copy of the tree.
The unit tests that reach the changed line are run on it, then all that reach its module, until one
fails. A fault with which the module cannot be imported is not counted at all, and another is drawn.
Tests that listen, draw screens or drive a browser are not run, so that the share is a lower bound.

What was run is kept, so that a run that was stopped goes on where it was. A change of the code or
the unit tests begins anew. Needs Linux (it forks) and the extra "test".
"""

from __future__ import annotations

import argparse
import difflib
import hashlib
import importlib
import json
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from mutations_equivalent import EQUIVALENT
from mutations_operators import OPERATORS, Fault, counts, faults

ROOT = Path(__file__).resolve().parents[2]
PACKAGES: dict[str, tuple[str, ...]] = {
    "domain": ("cutmemo/domain",),
    "language": ("cutmemo/language",),
    "memo": ("cutmemo/memo", "cutmemo/service.py"),
    "planning": ("cutmemo/planning",),
    "framing": ("cutmemo/framing",),
    "asr": ("cutmemo/asr/confusions.py", "cutmemo/asr/decide.py", "cutmemo/asr/endpointer.py"),
}
"""The core: what must not be wrong, by package."""
LEFT_OUT = ("cutmemo/language/sampler.py", "cutmemo/memo/store.py")
"""Training data; and the database, whose faults are those of a disk (killed by tests of their own)."""
PRELOADED = ("hypothesis", "hypothesis.stateful", "num2words", "numpy", "filelock", "platformdirs")
"""Imported once, before forking: nothing of cutmemo, so that each fault meets a fresh program."""

KILLED, SURVIVED, TIMED_OUT, NOT_IMPORTED, BROKEN = "killed", "survived", "timed out", "not imported", "broken"  # fmt: skip
CPU_SECONDS, CPU_FACTOR = 30, 10
"""A fault may make the tests that much slower than they are before it counts as one that never ends."""
WALL_FACTOR = 20
"""The same by the clock, for one that waits for ever; far away, since the machine may be busy."""


# --- drawing -------------------------------------------------------------------------------------------


def sources(root: Path, places: Sequence[str]) -> dict[str, str]:
    """Return the modules of one package by their path below *root*."""
    found: dict[str, str] = {}
    for place in places:
        path = root / place
        if not path.exists():
            raise SystemExit(f"{place} is not there: put PACKAGES right.")
        for each in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            name = each.relative_to(root).as_posix()
            if name not in LEFT_OUT:
                found[name] = each.read_text("utf-8")
    return found


def draw(package: str, modules: Mapping[str, str], seed: int) -> Iterator[Fault]:
    """Yield the faults of one *package* in the order of *seed*: an operator, then a place."""
    by_operator: dict[str, list[Fault]] = {operator: [] for operator in OPERATORS}
    for path, source in modules.items():
        for fault in faults(path, source):
            if fault.operator in by_operator:
                by_operator[fault.operator].append(fault)
    r = random.Random(f"{seed} {package}")
    for each in by_operator.values():
        r.shuffle(each)
    seen: set[tuple[str, str]] = set()
    while left := [operator for operator in OPERATORS if by_operator[operator]]:
        fault = by_operator[r.choice(left)].pop()
        source = modules[fault.path]
        key = (fault.path, fault.apply(source))
        if key not in seen and counts(fault, source):
            seen.add(key)
            yield fault


def diff(fault: Fault, source: str) -> str:
    """Return what *fault* changes."""
    before, after = source.splitlines(), fault.apply(source).splitlines()
    lines = difflib.unified_diff(before, after, fault.path, fault.operator, n=1, lineterm="")
    return "\n".join(lines)


def equivalent(fault: Fault, source: str) -> str | None:
    """Return why no test can see *fault*, where that was found out."""
    changed = [line[1:].strip() for line in diff(fault, source).splitlines()[3:] if line[0] in "+-"]
    return EQUIVALENT.get((fault.path, fault.operator, "\n".join(changed)))


# --- which tests reach a line ----------------------------------------------------------------------------


@dataclass
class Reach:
    """Which unit tests run which lines, and the CPU seconds each takes."""

    seconds: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    lines: dict[str, dict[str, list[int]]] = field(default_factory=dict)
    """Path to test to the lines that it runs."""

    def of_line(self, path: str, line: int) -> set[str]:
        """Return the tests that run *line*."""
        return {test for test, lines in self.lines.get(path, {}).items() if line in lines}

    def of_module(self, path: str) -> set[str]:
        """Return the tests that run any line of a function in *path*."""
        return set(self.lines.get(path, {}))


def importers(path: str, root: Path) -> list[str]:
    """Return the modules that name the module *path* in an import."""
    module = path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    found = []
    for each in (root / path.split("/")[0]).rglob("*.py"):
        text = each.read_text("utf-8")
        if f"from {module} import" in text or f"import {module}" in text:
            found.append(each.relative_to(root).as_posix())
    return found


class _Recorder:
    """A pytest plug-in that notes which test runs which lines."""

    def __init__(self, coverage: Any, reach: Reach) -> None:
        self.coverage, self.reach = coverage, reach

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        test = item.nodeid.partition("[")[0]
        self.coverage.switch_context(test)
        begun = time.process_time()
        yield
        self.reach.seconds[test] += time.process_time() - begun
        self.coverage.switch_context("")


def measure_reach(tree: Path, file: Path, workers: int = 1) -> Reach:
    """Run all unit tests in *tree* once, write to *file* which lines each reaches, and return it."""
    if file.exists():
        plain = json.loads(file.read_text())
        return Reach(plain["seconds"], plain["lines"])
    print("Which test reaches which line? All unit tests are run once.", flush=True)
    tests = sorted(
        path.relative_to(tree).as_posix() for path in tree.glob("tests/unit/**/test_*.py")
    )
    children = []
    for number in range(min(workers, len(tests))):
        part = file.with_suffix(f".{number}.part")
        record = partial(record_reach, tree, tests[number::workers], part)
        children.append((fork(tree, record, part.with_suffix(".log")), part))
    reach = Reach()
    for child, part in children:
        if wait(child, 3600).code != 0:
            raise SystemExit(f"The unit tests fail as they are: see {part.with_suffix('.log')}")
        plain = json.loads(part.read_text())
        reach.seconds.update(plain["seconds"])
        for path, lines in plain["lines"].items():
            reach.lines.setdefault(path, {}).update(lines)
    file.write_text(json.dumps({"seconds": reach.seconds, "lines": reach.lines}))
    return reach


def record_reach(tree: Path, tests: list[str], file: Path) -> int:
    """Run *tests* in this process, write to *file* which lines each reaches, and return how pytest ended."""
    import coverage

    cov = coverage.Coverage(source=["cutmemo"], data_file=None, config_file=False)
    reach = Reach()
    cov.start()
    code = run_pytest(tests, [_Recorder(cov, reach)])
    cov.stop()
    data = cov.get_data()
    for path in data.measured_files():
        by_test: dict[str, list[int]] = defaultdict(list)
        for line, contexts in data.contexts_by_lineno(path).items():
            for test in contexts:
                if test:
                    by_test[test].append(line)
        reach.lines[Path(path).relative_to(tree).as_posix()] = by_test
    file.write_text(json.dumps({"seconds": reach.seconds, "lines": reach.lines}))
    return code


# --- running -------------------------------------------------------------------------------------------


def run_pytest(arguments: list[str], plugins: list[Any] | None = None) -> int:
    """Run tests in this process, alike each time: no random order, no deadlines, nothing kept from run to run."""
    import hypothesis

    hypothesis.settings.register_profile(
        "mutations",
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=[hypothesis.HealthCheck.too_slow],
    )
    hypothesis.settings.load_profile("mutations")
    rewrite = "ignore:Module already imported:pytest.PytestAssertRewriteWarning"
    plain = ["-W", rewrite, "-x", "-q", "--no-header", "--tb=line", "-p", "no:cacheprovider"]
    for plugin in ("randomly", "cov"):
        plain += ["-p", f"no:{plugin}"]
    return int(pytest.main([*plain, *arguments], plugins=plugins))


@dataclass(frozen=True)
class Child:
    """A running child, and when it was begun."""

    pid: int
    begun: float


@dataclass(frozen=True)
class Ended:
    """How a child ended: its exit status, or ``None`` where it was stopped, and its CPU seconds."""

    code: int | None
    seconds: float


def fork(tree: Path, work: Any, log: Path, cpu_seconds: float | None = None) -> Child:
    """Begin *work* in a child whose cutmemo is that of *tree*; its exit status is what *work* returns."""
    pid = os.fork()
    if pid:
        return Child(pid, time.monotonic())
    code = 70
    try:
        os.setsid()
        out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(out, 1)
        os.dup2(out, 2)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        if cpu_seconds is not None:
            limit = int(cpu_seconds) + 1
            resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5))
        os.chdir(tree)
        others = [path for path in [os.environ.get("PYTHONPATH")] if path]
        os.environ["PYTHONPATH"] = os.pathsep.join([str(tree), *others])
        sys.path.insert(0, str(tree))
        code = work()
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        os._exit(code)


def wait(child: Child, wall_seconds: float) -> Ended:
    """Return how *child* ends, which is stopped with all it began after *wall_seconds*."""
    while True:
        pid, status, used = os.wait4(child.pid, os.WNOHANG)
        if pid:
            code = os.waitstatus_to_exitcode(status)
            return Ended(code if code >= 0 else None, used.ru_utime + used.ru_stime)
        if time.monotonic() - child.begun > wall_seconds:
            os.killpg(child.pid, signal.SIGKILL)
            _, _, used = os.wait4(child.pid, 0)
            return Ended(None, used.ru_utime + used.ru_stime)
        time.sleep(0.05)


def imports(tree: Path, path: str) -> bool:
    """Return whether the module *path* of *tree* can be imported; in a child only."""
    module = path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    found = importlib.import_module(module)
    assert found.__file__ is not None
    assert Path(found.__file__).is_relative_to(tree), found.__file__
    return True


class Copy:
    """A copy of the tree that faults are put into."""

    def __init__(self, root: Path, folder: Path) -> None:
        """Copy what the unit tests need."""
        self.tree = folder / "tree"
        self.tree.mkdir()
        for name in ("cutmemo", "tests"):
            if (root / name).is_dir():
                ignored = shutil.ignore_patterns("__pycache__", ".hypothesis")
                shutil.copytree(root / name, self.tree / name, ignore=ignored)
        for each in root.iterdir():
            if not each.name.startswith(".") and not (self.tree / each.name).exists():
                (self.tree / each.name).symlink_to(each)
        self._stamp = 1_000_000_000

    def run(
        self, fault: Fault, source: str, tests: Sequence[str], seconds: float
    ) -> tuple[str, float]:
        """Return what became of *fault* under *tests*, which take so many CPU seconds without it, and the CPU seconds taken."""
        path = self.tree / fault.path
        self._write(path, fault.apply(source))
        by_file: dict[str, list[str]] = defaultdict(list)
        for test in tests:
            by_file[test.partition("::")[0]].append(test)

        def work() -> int:
            try:
                imports(self.tree, fault.path)
            except Exception:
                traceback.print_exc()
                return 71
            return run_pytest([test for each in by_file.values() for test in each]) if tests else 0

        limit = CPU_SECONDS + CPU_FACTOR * seconds
        try:
            child = fork(self.tree, work, self.tree.parent / "last.log", limit)
            ended = wait(child, WALL_FACTOR * limit)
        finally:
            self._write(path, source)
        # pytest: 0 all passed, 1 some failed, 2 stopped (a test module could not be imported with the fault)
        known = {0: SURVIVED, 1: KILLED, 2: KILLED, 71: NOT_IMPORTED, None: TIMED_OUT}
        return known.get(ended.code, BROKEN), ended.seconds

    def _write(self, path: Path, text: str) -> None:
        """Write *text* with a time of its own: compiled files are told apart by time and size."""
        path.write_text(text, "utf-8")
        self._stamp += 10
        os.utime(path, (self._stamp, self._stamp))


def try_fault(copy: Copy, fault: Fault, source: str, reach: Reach) -> dict[str, Any]:
    """Return what became of *fault*: first under the tests that reach its line, then under those that reach its module."""
    near = reach.of_line(fault.path, fault.line)
    far = set(reach.of_module(fault.path))
    if fault.at_import:
        for path in importers(fault.path, copy.tree):
            far |= reach.of_module(path)
    result, used, ran = SURVIVED, 0.0, 0
    for tests in (near, far - near):
        if ran and not tests:
            continue
        quick = sorted(tests, key=lambda test: (reach.seconds[test], test))
        seconds = sum(reach.seconds[test] for test in quick)
        result, took = copy.run(fault, source, quick, seconds)
        used, ran = used + took, ran + len(quick)
        if result != SURVIVED:
            break
    return {"result": result, "reaching": len(near), "tests": ran, "seconds": round(used, 1)}


# --- the whole run -------------------------------------------------------------------------------------


def fingerprint(root: Path) -> str:
    """Return what stands for the code and the unit tests as they are."""
    digest = hashlib.blake2b(digest_size=8)
    files = [
        *root.glob("cutmemo/**/*.py"),
        *root.glob("tests/unit/**/*.py"),
        *root.glob("tests/*.py"),
    ]
    for path in sorted(files):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


def plan(root: Path, packages: Sequence[str], seed: int) -> Iterator[tuple[str, Fault, str]]:
    """Yield package, fault and source, in turn from each package."""
    modules = {package: sources(root, PACKAGES[package]) for package in packages}
    drawn = {package: draw(package, modules[package], seed) for package in packages}
    while drawn:
        for package in [*drawn]:
            fault = next(drawn[package], None)
            if fault is None:
                del drawn[package]
            else:
                yield package, fault, modules[package][fault.path]


Place = tuple[str, int, str, int]
"""What tells a fault from all others: path, start, new text, end."""


def place_of(told: Mapping[str, Any]) -> Place:
    """Return which fault *told* is about."""
    return told["path"], told["start"], told["text"], told["end"]


def kept(file: Path) -> dict[Place, dict[str, Any]]:
    """Return what was run before and written to *file*."""
    lines = file.read_text("utf-8").splitlines() if file.exists() else []
    return {place_of(told): told for told in map(json.loads, lines)}


def tried_and_kept(
    copy: Copy, package: str, fault: Fault, source: str, reach: Reach, file: Path
) -> dict[str, Any]:
    """Run one fault, and write to *file* what became of it."""
    told = {"package": package, **asdict(fault), **try_fault(copy, fault, source, reach)}
    with file.open("a", encoding="utf-8") as out:
        out.write(json.dumps(told) + "\n")
    return told


def share(
    root: Path, planned: list[tuple[str, Fault, str]], reach: Reach, file: Path, workers: int
) -> None:
    """Run the faults *planned* in so many processes, each with a copy of its own."""
    known = kept(file)
    left = [each for each in planned if place_of(asdict(each[1])) not in known]
    children = []
    for number in range(workers):

        def work(mine: list[tuple[str, Fault, str]] = left[number::workers]) -> int:
            with tempfile.TemporaryDirectory(prefix="cutmemo-mutations-") as folder:
                copy = Copy(root, Path(folder))
                for each in mine:
                    tried_and_kept(copy, *each, reach, file)
            return 0

        children.append(fork(root, work, file.with_suffix(f".{number}.log")))
    for child in children:
        wait(child, 24 * 3600)


def run(
    root: Path, packages: Sequence[str], seed: int, count: int, store: Path, workers: int = 1
) -> list[dict[str, Any]]:
    """Run *count* faults that count, and return what became of each; what *store* holds already is not run again."""
    store.mkdir(parents=True, exist_ok=True)
    mark = fingerprint(root)
    kept_in = store / f"{mark}.jsonl"
    for name in PRELOADED:
        importlib.import_module(name)
    results: list[dict[str, Any]] = []
    counted = 0
    with tempfile.TemporaryDirectory(prefix="cutmemo-mutations-") as folder:
        copy = Copy(root, Path(folder))
        reach = measure_reach(copy.tree, store / f"{mark}.reach.json", workers)
        reach.seconds = defaultdict(float, reach.seconds)
        if workers > 1:
            share(root, list(islice(plan(root, packages, seed), count)), reach, kept_in, workers)
        known = kept(kept_in)
        for package, fault, source in plan(root, packages, seed):
            if counted == count:
                break
            told = known.get(place_of(asdict(fault)))
            if told is None:
                told = tried_and_kept(copy, package, fault, source, reach, kept_in)
            told = {**told, "diff": diff(fault, source), "equivalent": equivalent(fault, source)}
            results.append(told)
            counted += told["result"] in (KILLED, SURVIVED, TIMED_OUT)
            where = f"{fault.path}:{fault.line}"
            print(
                f"{counted:4} {told['result']:12} {where:44} {fault.operator:20} {told['seconds']:6} s",
                flush=True,
            )
    return results


def report(results: Sequence[Mapping[str, Any]]) -> str:
    """Return the survivors with their diffs, then the share that was killed, by package and operator."""
    lines = []
    for each in results:
        if each["result"] == SURVIVED and not each["equivalent"]:
            lines += [
                f"\nSURVIVED {each['tests']} tests, {each['reaching']} of which reach the line",
                each["diff"],
            ]
    lines.append("")
    for key in ("operator", "package"):
        for name in dict.fromkeys(each[key] for each in results):
            lines.append(_share(name, [each for each in results if each[key] == name]))
        lines.append("")
    lines.append(_share("all", results))
    return "\n".join(lines)


def _share(name: str, results: Sequence[Mapping[str, Any]]) -> str:
    found = Counter(
        "equivalent" if each["result"] == SURVIVED and each["equivalent"] else each["result"]
        for each in results
    )
    killed, counted = (
        found[KILLED] + found[TIMED_OUT],
        found[KILLED] + found[TIMED_OUT] + found[SURVIVED],
    )
    share = f"{100 * killed / counted:.0f} %" if counted else "-"
    aside = {
        what: found[what] for what in (TIMED_OUT, "equivalent", NOT_IMPORTED, BROKEN) if found[what]
    }
    more = f"  ({', '.join(f'{n} {what}' for what, n in aside.items())})" if aside else ""
    return f"{name:20} {killed:4} of {counted:4} killed  {share:>5}{more}"


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=300, help="faults that count (300)")
    parser.add_argument(
        "--package", action="append", choices=PACKAGES, help="only this one; may be said again"
    )
    parser.add_argument("--workers", type=int, default=1, help="processes (1)")
    store = Path(tempfile.gettempdir()) / "cutmemo-mutations"
    parser.add_argument(
        "--store", type=Path, default=store, help=f"where what was run is kept ({store})"
    )
    chosen = parser.parse_args()
    packages = chosen.package or [*PACKAGES]
    results = run(ROOT, packages, chosen.seed, chosen.count, chosen.store, chosen.workers)
    print(report(results))


if __name__ == "__main__":
    main()
