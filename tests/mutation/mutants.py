"""Small faults put into a source file, one at a time: what a test ought to notice."""

from __future__ import annotations

import ast
import copy
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType
from typing import Final

SWAPPED: Final[dict[type[ast.AST], tuple[type[ast.AST], ...]]] = {
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.FloorDiv: (ast.Div,),
    ast.Mod: (ast.Mult,),
    ast.Pow: (ast.Mult,),
    ast.BitAnd: (ast.BitOr,),
    ast.BitOr: (ast.BitAnd,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
    ast.Lt: (ast.LtE, ast.Gt),  # the edge, and the other side
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}
_PAIRS: Final = (
    *(("min", "max"), ("any", "all"), ("floor", "ceil"), ("minimum", "maximum")),
    *(("argmin", "argmax"), ("zeros", "ones"), ("zeros_like", "ones_like")),
    *(("expm1", "exp"), ("log1p", "log")),
)
NAMES: Final = dict(_PAIRS) | {second: first for first, second in _PAIRS}
# What no test is to notice: types, decorators, the words of a message.
LEFT_ALONE: Final = ("annotation", "returns", "decorator_list", "bases", "exc")
GUARDS: Final = ("strict",)  # what only demands that two lists be as long as each other
PLACES: Final = (ast.expr, ast.stmt, ast.comprehension, ast.keyword, ast.arguments)
SMALL: Final = (ast.UnaryOp, ast.Slice, ast.Tuple, ast.Starred)  # shown in what they are part of


@dataclass(frozen=True, kw_only=True)
class Mutant:
    """A module with one fault: on which line of which function, what was and what is instead."""

    path: str
    line: int
    name: str  # function: was → is; it stays where lines move
    code: CodeType

    @property
    def module(self) -> str:
        """The module that it stands for."""
        return module_of(self.path)


@dataclass(frozen=True)
class _Site:
    """A place in a tree: the node is ``holder.field``, or is at a place in that list."""

    holder: ast.AST
    field: str
    at: int | None
    function: str
    part: ast.expr | None  # what it is shown in

    @property
    def node(self) -> ast.AST:
        held = getattr(self.holder, self.field)
        return held if self.at is None else held[self.at]

    def put(self, node: ast.AST) -> None:
        if self.at is None:
            setattr(self.holder, self.field, node)
        else:
            getattr(self.holder, self.field)[self.at] = node

    @property
    def shown(self) -> str:
        """The node in what it is part of, of a branch its condition."""
        whole = isinstance(self.holder, ast.Assign | ast.AnnAssign | ast.AugAssign | ast.Return)
        shown = self.part or (self.holder if whole else self.node)
        if isinstance(shown, ast.If | ast.While):
            return f"if {ast.unparse(shown.test)}"
        return " ".join(ast.unparse(shown).split())


def module_of(path: str) -> str:
    """The module of a file."""
    return path.removesuffix(".py").replace("/", ".")


def mutants(path: str, *, root: Path) -> list[Mutant]:
    """Every mutant of a file in the order of its text; the same text gives the same ones."""
    text = (root / path).read_text(encoding="utf-8")
    tree = ast.parse(text)
    found, seen = [], Counter[str]()
    for site in list(_sites(tree, "module")):
        node, was = site.node, site.shown
        for fault in _faults(node):
            site.put(ast.copy_location(fault, node))
            name = f"{site.function}: {was} → {site.shown}"
            seen[name] += 1
            if seen[name] > 1:
                name += f" ({seen[name]})"
            code = compile(ast.fix_missing_locations(tree), str(root / path), "exec")
            found.append(Mutant(path=path, line=_line(node), name=name, code=code))
        site.put(node)
    return found


def _sites(node: ast.AST, function: str, part: ast.expr | None = None) -> Iterator[_Site]:
    """Places of a tree from its beginning to its end."""
    if isinstance(node, ast.expr) and not isinstance(node, SMALL):
        part = node
    elif isinstance(node, ast.stmt | ast.comprehension):
        part = None
    for field, held in ast.iter_fields(node):
        if field in LEFT_ALONE:
            continue
        for at, one in enumerate(held) if isinstance(held, list) else ((None, held),):
            if isinstance(one, PLACES) and getattr(one, "arg", None) not in GUARDS:
                inside = one.name if isinstance(one, ast.FunctionDef | ast.ClassDef) else function
                yield _Site(node, field, at, inside, part)
                yield from _sites(one, inside, part)


def _faults(node: ast.AST) -> Iterator[ast.AST]:
    """What may stand instead of a node."""
    match node:
        case ast.BinOp() | ast.AugAssign() | ast.BoolOp():
            for op in SWAPPED.get(type(node.op), ()):
                yield _with(node, op=op())
        case ast.Compare():
            for at, was in enumerate(node.ops):
                for op in SWAPPED[type(was)]:
                    yield _with(node, ops=[*node.ops[:at], op(), *node.ops[at + 1 :]])
        case ast.UnaryOp(op=ast.USub() | ast.Not() | ast.Invert()):
            yield node.operand
        case ast.Constant(value=bool()):
            yield ast.Constant(not node.value)
        case ast.Constant(value=int() | float()):
            yield ast.Constant(node.value + 1)
            yield ast.Constant(node.value - 1)
        case ast.Name(id=name) if name in NAMES:
            yield _with(node, id=NAMES[name])
        case ast.Attribute(attr=name) if name in NAMES:
            yield _with(node, attr=NAMES[name])
        case ast.Call(func=ast.Attribute(attr="where"), args=[test, then, other]):
            yield _with(node, args=[test, other, then])
        case ast.Call(func=ast.Attribute(attr="clip"), args=[value, low, high]):
            yield _numpy("maximum", value, low)
            yield _numpy("minimum", value, high)
        case ast.IfExp():
            yield _with(node, body=node.orelse, orelse=node.body)
        case ast.comprehension(ifs=[test, *more]):
            yield _with(node, ifs=[_not(test), *more])
        case ast.If() | ast.While():
            yield _with(node, test=_not(node.test))
        case ast.Return(value=ast.expr() as value) if not _is_none(value):
            yield ast.Return(ast.Constant(None))
        case ast.Raise() | ast.Continue():
            yield ast.Pass()


def _line(node: ast.AST) -> int:
    return node.iter.lineno if isinstance(node, ast.comprehension) else node.lineno


def _with(node: ast.AST, **fields: object) -> ast.AST:
    changed = copy.copy(node)
    for field, value in fields.items():
        setattr(changed, field, value)
    return changed


def _is_none(value: ast.expr) -> bool:
    return isinstance(value, ast.Constant) and value.value is None


def _not(test: ast.expr) -> ast.expr:
    return ast.UnaryOp(ast.Not(), test)


def _numpy(name: str, *args: ast.expr) -> ast.expr:
    return ast.Call(ast.Attribute(ast.Name("np", ast.Load()), name, ast.Load()), list(args), [])
