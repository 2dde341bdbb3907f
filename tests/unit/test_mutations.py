"""The run of small faults is sound: what it calls killed was seen by a test, and what does not import is not counted."""

from __future__ import annotations

import ast
import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

BENCH = Path(__file__).resolve().parents[1] / "bench"


@pytest.fixture(scope="module")
def operators() -> ModuleType:
    """Return the module of operators, which is no part of a package."""
    spec = importlib.util.spec_from_file_location("ops", BENCH / "mutations_operators.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["ops"] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("operator", "before", "after"),
    [
        ("comparison turned", "x = a < b", {"x = a > b"}),
        ("comparison turned", "x = not a", {"x = a"}),
        ("limit moved by one", "x = a <= 12", {"x = a < 12", "x = a <= 13", "x = a <= 11"}),
        ("sign turned", "x = (a + b) * -c", {"x = (a - b) * -c", "x = (a + b) * c"}),
        ("term dropped", "x = a - b", {"x = a"}),
        ("term dropped", "x = a and b", {"x = (a)", "x = (b)"}),
        ("term dropped", "if a:\n    raise E", {"if False:\n    raise E"}),
        ("early return", "if a:\n    continue", {"if True:\n    continue"}),
        ("early return", "for a in b:\n    c()", {"for a in b:\n    c()\n    break"}),
        ("order ignored", "x = sorted(a, key=k)", {"x = list(a)", "x = sorted(a)"}),
        ("order ignored", "x = min(a, b)", {"x = max(a, b)"}),
        ("constant halved", "x = a / 2 + 0.5", {"x = a / 1 + 0.5", "x = a / 2 + 0.25"}),
        ("constant halved", 'x = "½ ″"; y = 6', {'x = "½ ″"; y = 3'}),
        ("sign turned", 'x = "a" + b', set()),
        ("limit moved by one", 'x: Literal[8] = f"{a[1]}"', set()),
    ],
)
def test_each_operator_makes_its_own_mistake_and_no_other(
    operators: ModuleType, operator: str, before: str, after: set[str]
) -> None:
    found = [each for each in operators.faults("m.py", before) if each.operator == operator]
    assert {fault.apply(before) for fault in found} == after


def test_every_fault_drawn_from_the_core_compiles_to_another_program(operators: ModuleType) -> None:
    path = BENCH.parents[1] / "cutmemo" / "domain" / "length.py"
    source = path.read_text("utf-8")
    found = operators.faults("length.py", source)
    counted = [fault for fault in found if operators.counts(fault, source)]
    assert len(counted) > 20
    for fault in counted:
        assert ast.dump(ast.parse(fault.apply(source))) != ast.dump(ast.parse(source))


CORE = """\
LIMIT = 12


def fits(length):
    return length <= LIMIT


def untested(length):
    return length < 3


TABLE = {1: "one", 2: "two"}[LIMIT - 11]
"""
TESTS = """\
from cutmemo.core import fits


def test_at_the_limit():
    assert fits(12)


def test_over_the_limit():
    assert not fits(13)
"""


def test_a_run_tells_killed_from_survived_and_leaves_out_what_does_not_import(
    tmp_path: Path,
) -> None:
    root = tmp_path / "root"
    (root / "cutmemo").mkdir(parents=True)
    (root / "tests" / "unit").mkdir(parents=True)
    (root / "cutmemo" / "__init__.py").touch()
    (root / "cutmemo" / "core.py").write_text(CORE)
    (root / "tests" / "unit" / "test_core.py").write_text(TESTS)
    (root / "pyproject.toml").write_text(
        '[tool.pytest.ini_options]\naddopts = "--import-mode=importlib"\n'
    )
    code = (
        f"import sys; sys.path.insert(0, {str(BENCH)!r})\n"
        "import json, mutations\n"
        "from pathlib import Path\n"
        "mutations.PACKAGES, mutations.LEFT_OUT = {'core': ('cutmemo',)}, ()\n"
        "mutations.OPERATORS = ('comparison turned', 'limit moved by one')\n"
        f"told = mutations.run(Path({str(root)!r}), ['core'], 1, 100, Path({str(tmp_path)!r}), 2)\n"
        "print(json.dumps(told))\n"
    )

    def run() -> list[dict[str, object]]:
        # What the run of this suite was asked for is no matter of the one inside.
        bare = {name: value for name, value in os.environ.items() if name != "PYTEST_ADDOPTS"}
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=bare
        )
        found: list[dict[str, object]] = json.loads(done.stdout.splitlines()[-1])
        return found

    told = run()
    results = {(each["line"], each["text"]): each["result"] for each in told}
    assert results[5, "length < LIMIT"] == "killed"
    assert results[5, "length >= LIMIT"] == "killed"
    assert results[9, "length <= 3"] == "survived"
    assert results[1, "13"] == "killed"  # TABLE[2] is there: it imports, and 13 fits
    assert results[1, "11"] == "not imported"  # TABLE has no 0
    assert (root / "cutmemo" / "core.py").read_text() == CORE
    assert run() == told  # from what was kept
