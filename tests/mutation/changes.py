"""Small changes of a module's code, such as a slip of the hand would make.

Left out are annotations, decorators, docstrings, imports, the options of a `Literal`, the first
argument of `cast` and the `strict` of `zip`, none of which does anything while a program without
faults runs. A call's arguments are not replaced by None, and no value is: nearly all of those
changes break whatever calls the code, and would flatter the figure.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from types import CodeType
from typing import Any

_SWAPPED: dict[type[ast.AST], Any] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
    ast.BitXor: ast.BitAnd,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
    ast.Break: ast.Continue,
    ast.Continue: ast.Break,
}
_OTHER_NAME = {"min": "max", "max": "min", "any": "all", "all": "any", "sorted": "list"}
_CONDITIONED = (ast.If, ast.While, ast.IfExp)
_UNUSED_PARTS = {"annotation", "returns", "decorator_list", "type_params", "format_spec"}


@dataclass(frozen=True)
class Change:
    """One node of a module's tree put in the place of another."""

    tree: ast.Module
    holder: ast.AST
    field: str
    index: int | None
    was: ast.AST
    now: ast.AST
    line: int
    where: str
    """The class and function it is in, with dots."""

    def __str__(self) -> str:
        was, now = (" ".join(ast.unparse(n).split()) for n in (self.was, self.now))
        return f"{was} -> {now or '(left out)'}"

    def compiled(self, path: str) -> CodeType:
        """The changed module. The tree is as before afterwards."""
        self._put(self.now)
        try:
            return compile(ast.fix_missing_locations(self.tree), path, "exec", dont_inherit=True)
        finally:
            self._put(self.was)

    def _put(self, node: ast.AST) -> None:
        if self.index is None:
            setattr(self.holder, self.field, node)
        else:
            getattr(self.holder, self.field)[self.index] = node


def changes_of(source: str) -> list[Change]:
    """Every small change of a module's source."""
    tree = ast.parse(source)
    return [
        Change(tree, holder, field, index, node, ast.copy_location(now, node), node.lineno, where)
        for holder, field, index, node, where in _places(tree, "")
        for now in _instead(node)
    ]


_Place = tuple[ast.AST, str, int | None, "ast.expr | ast.stmt", str]


def _places(holder: ast.AST, where: str) -> Iterator[_Place]:
    """Every expression and statement that does something, with what holds it."""
    for field, value in ast.iter_fields(holder):
        if field in _UNUSED_PARTS:
            continue
        for index, node in enumerate(value if isinstance(value, list) else [value]):
            if not isinstance(node, ast.AST) or _does_nothing(holder, field, index, node):
                continue
            inner = where
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                inner = f"{where}.{node.name}".lstrip(".")
            if isinstance(node, ast.expr | ast.stmt):
                yield holder, field, index if isinstance(value, list) else None, node, where
            yield from _places(node, inner)


def _does_nothing(holder: ast.AST, field: str, index: int, node: ast.AST) -> bool:
    if isinstance(node, ast.Import | ast.ImportFrom):
        return True
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return True  # a docstring, or what is said below a field
    if isinstance(holder, ast.keyword) and holder.arg == "strict":
        return True
    if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        return True
    if isinstance(holder, ast.Subscript) and field == "slice":
        return ast.unparse(holder.value) == "Literal"
    if isinstance(holder, ast.Call) and field == "args" and index == 0:
        return ast.unparse(holder.func) in {"cast", "TypeVar", "NewType"}
    return False


def _instead(node: ast.expr | ast.stmt) -> Iterator[ast.AST]:
    """What may stand in the place of a node."""
    match node:
        case ast.Constant(value=bool()):
            yield ast.Constant(not node.value)
        case ast.Constant(value=int() | float() as number):
            yield ast.Constant(number + 1)
        case ast.Constant(value=str() as text):
            yield ast.Constant(f"XX{text}XX")
        case ast.Compare():
            for i, op in enumerate(node.ops):
                ops = [*node.ops[:i], _SWAPPED[type(op)](), *node.ops[i + 1 :]]
                yield ast.Compare(node.left, ops, node.comparators)
        case ast.BoolOp():
            yield ast.BoolOp(_SWAPPED[type(node.op)](), node.values)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield node.operand
        case ast.BinOp() if type(node.op) in _SWAPPED:
            yield ast.BinOp(node.left, _SWAPPED[type(node.op)](), node.right)
        case ast.AugAssign() if type(node.op) in _SWAPPED:
            yield ast.AugAssign(node.target, _SWAPPED[type(node.op)](), node.value)
        case ast.Call():
            yield from _other_calls(node)
        case ast.Break() | ast.Continue():
            yield _SWAPPED[type(node)]()
        case ast.Expr(value=ast.Call() | ast.Await()) | ast.Raise():
            yield ast.Pass()
        case ast.Return(value=ast.expr() as value) if not isinstance(value, ast.Constant):
            yield ast.Return(ast.Constant(None))
    yield from _other_conditions(node)


def _other_calls(call: ast.Call) -> Iterator[ast.AST]:
    if isinstance(call.func, ast.Name) and call.func.id in _OTHER_NAME:
        name = ast.Name(_OTHER_NAME[call.func.id], ast.Load())
        keywords = [] if name.id == "list" else call.keywords
        yield ast.Call(name, call.args, keywords)
    for i, keyword in enumerate(call.keywords):
        if keyword.arg not in {None, "strict"}:
            yield ast.Call(call.func, call.args, [*call.keywords[:i], *call.keywords[i + 1 :]])


def _other_conditions(node: ast.expr | ast.stmt) -> Iterator[ast.AST]:
    """Conditions the other way round, where no comparison in them is changed already."""
    if isinstance(node, _CONDITIONED) and isinstance(
        node.test, ast.Name | ast.Call | ast.Attribute
    ):
        test = ast.UnaryOp(ast.Not(), node.test)
        if isinstance(node, ast.IfExp):
            yield ast.IfExp(test, node.body, node.orelse)
        else:
            yield type(node)(test, node.body, node.orelse)
    if isinstance(node, ast.ListComp | ast.SetComp | ast.GeneratorExp | ast.DictComp):
        for i, made in enumerate(node.generators):
            for j in range(len(made.ifs)):
                ifs = [*made.ifs[:j], *made.ifs[j + 1 :]]
                bare = ast.comprehension(made.target, made.iter, ifs, made.is_async)
                generators = [*node.generators[:i], bare, *node.generators[i + 1 :]]
                parts = {f: getattr(node, f) for f in node._fields if f != "generators"}
                yield type(node)(**parts, generators=generators)
