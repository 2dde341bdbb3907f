"""Small faults that can be put into source text, one at a time: a fixed list of operators.

Each operator is a mistake that somebody could make: a comparison turned round, a limit off by one,
a sign, a term forgotten, a return too early, an order not kept, a factor of two.
Text in quotes, annotations and imports are left alone.
"""

from __future__ import annotations

import ast
import copy
from dataclasses import dataclass

OPERATORS = (
    "comparison turned",
    "limit moved by one",
    "sign turned",
    "term dropped",
    "early return",
    "order ignored",
    "constant halved",
)

_TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.Gt,
    ast.Gt: ast.Lt,
    ast.LtE: ast.GtE,
    ast.GtE: ast.LtE,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
_MOVED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
}
_TEXT = (ast.JoinedStr, ast.List, ast.Tuple, ast.ListComp, ast.Dict, ast.Set)
_LEAVES = (ast.Return, ast.Continue, ast.Break, ast.Raise)


@dataclass(frozen=True)
class Fault:
    """One fault: in one file, the text from *start* to *end* is replaced."""

    path: str
    operator: str
    line: int
    at_import: bool
    """Whether the code runs when the module is imported, and not in a function."""
    start: int
    end: int
    text: str

    def apply(self, source: str) -> str:
        """Return *source* with the fault in it."""
        return source[: self.start] + self.text + source[self.end :]


def faults(path: str, source: str) -> list[Fault]:
    """Return every fault that the operators can put into *source*, some of which may change nothing: see :func:`counts`."""
    finder = _Finder(path, source)
    finder.visit(ast.parse(source))
    return finder.found


def counts(fault: Fault, source: str) -> bool:
    """Return whether *source* with *fault* in it still compiles, and to another program than before."""
    changed = fault.apply(source)
    try:
        compile(changed, fault.path, "exec", dont_inherit=True)
    except (SyntaxError, ValueError):
        return False
    return ast.dump(ast.parse(changed)) != ast.dump(ast.parse(source))


class _Finder(ast.NodeVisitor):
    """Walks through the code that computes."""

    def __init__(self, path: str, source: str) -> None:
        self.path, self.found, self._depth = path, list[Fault](), 0
        self._lines = source.splitlines(keepends=True)
        self._starts = [0]
        for line in self._lines:
            self._starts.append(self._starts[-1] + len(line))

    def _at(self, line: int, column: int) -> int:
        """Return where in the source a place is that ast gives in bytes."""
        text = self._lines[line - 1].encode()[:column].decode()
        return self._starts[line - 1] + len(text)

    def _add(self, operator: str, node: ast.expr | ast.stmt, new: ast.AST | str) -> None:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        start = self._at(node.lineno, node.col_offset)
        end = self._at(node.end_lineno, node.end_col_offset)
        text = new if isinstance(new, str) else ast.unparse(ast.fix_missing_locations(new))
        self.found.append(
            Fault(self.path, operator, node.lineno, self._depth == 0, start, end, text)
        )

    # --- what is left alone ---

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Leave texts: they say and do not compute, and places in them are not known before Python 3.12."""

    def visit_Import(self, node: ast.Import) -> None: ...

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None: ...

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_Subscript(self, node: ast.Subscript) -> None:
        if not (isinstance(node.value, ast.Name) and node.value.id in ("Literal", "Annotated")):
            self.generic_visit(node)

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        for each in node.body:
            self.visit(each)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for default in (*node.args.defaults, *node.args.kw_defaults):
            if default is not None:
                self.visit(default)
        self._depth += 1
        for each in node.body:
            self.visit(each)
        self._depth -= 1

    def visit_Lambda(self, node: ast.Lambda) -> None:
        self._depth += 1
        self.generic_visit(node)
        self._depth -= 1

    # --- the operators ---

    def visit_Compare(self, node: ast.Compare) -> None:
        for k, op in enumerate(node.ops):
            for operator, table in (("comparison turned", _TURNED), ("limit moved by one", _MOVED)):
                if type(op) in table:
                    new = copy.deepcopy(node)
                    new.ops[k] = table[type(op)]()
                    self._add(operator, node, new)
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        value = node.value
        if isinstance(value, bool) or not isinstance(value, int | float):
            return
        if isinstance(value, int):
            self._add("limit moved by one", node, str(value + 1))
            if value > 0:
                self._add("limit moved by one", node, str(value - 1))
            if value >= 2:
                self._add("constant halved", node, str(value // 2))
        elif value:
            self._add("constant halved", node, repr(value / 2))

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.USub):
            self._add("sign turned", node, node.operand)
        if isinstance(node.op, ast.Not):
            self._add("comparison turned", node, node.operand)
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        if isinstance(node.op, ast.Add | ast.Sub) and not (
            _is_text(node.left) or _is_text(node.right)
        ):
            new = copy.deepcopy(node)
            new.op = ast.Sub() if isinstance(node.op, ast.Add) else ast.Add()
            self._add("sign turned", node, new)
            self._add("term dropped", node, node.left)
            if isinstance(node.op, ast.Add):
                self._add("term dropped", node, node.right)
        self.generic_visit(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        if isinstance(node.op, ast.Add | ast.Sub) and not _is_text(node.value):
            new = copy.deepcopy(node)
            new.op = ast.Sub() if isinstance(node.op, ast.Add) else ast.Add()
            self._add("sign turned", node, new)
        self._add("term dropped", node, "pass")
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        for k in range(len(node.values)):
            rest = [value for n, value in enumerate(node.values) if n != k]
            self._add(
                "term dropped",
                node,
                f"({ast.unparse(ast.BoolOp(node.op, rest) if len(rest) > 1 else rest[0])})",
            )
        self.generic_visit(node)

    def visit_If(self, node: ast.If) -> None:
        if isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            return
        if isinstance(node.body[-1], _LEAVES):
            self._add("term dropped", node.test, "False")
            if not isinstance(node.body[-1], ast.Raise):
                self._add("early return", node.test, "True")
        self.generic_visit(node)

    def visit_For(self, node: ast.For) -> None:
        last = node.body[-1]
        if not isinstance(last, _LEAVES) and last.lineno > node.lineno:
            self._add("early return", last, f"{self._text(last)}\n{' ' * last.col_offset}break")
        self.generic_visit(node)

    def _text(self, node: ast.stmt) -> str:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        start = self._at(node.lineno, node.col_offset)
        return "".join(self._lines)[start : self._at(node.end_lineno, node.end_col_offset)]

    def visit_Expr(self, node: ast.Expr) -> None:
        call = node.value
        if (
            isinstance(call, ast.Call)
            and isinstance(call.func, ast.Attribute)
            and call.func.attr == "sort"
        ):
            self._add("order ignored", node, "pass")
        self.generic_visit(node)

    def visit_Call(self, node: ast.Call) -> None:
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        if name in ("sorted", "reversed") and node.args:
            self._add("order ignored", node, ast.Call(ast.Name("list"), node.args[:1], []))
        if name in ("min", "max"):
            other = ast.Name("max" if name == "min" else "min")
            self._add("order ignored", node, ast.Call(other, node.args, node.keywords))
        if name in ("sorted", "min", "max") and any(each.arg == "key" for each in node.keywords):
            rest = [each for each in node.keywords if each.arg != "key"]
            self._add("order ignored", node, ast.Call(node.func, node.args, rest))
        self.generic_visit(node)


def _is_text(node: ast.expr) -> bool:
    """Return whether *node* is plainly no number: turning a sign on it would only be a type error."""
    if isinstance(node, ast.Constant):
        return not isinstance(node.value, int | float)
    if isinstance(node, ast.BinOp):
        return _is_text(node.left) or _is_text(node.right)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id in ("tuple", "list", "str", "sorted", "repr", "bytes")
    return isinstance(node, _TEXT)
