"""What a printed sum comes to, by plain arithmetic and nothing of this package."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable

OPERATIONS = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


FUNCTIONS: dict[str, Callable[..., float]] = {"max": max, "abs": abs, "sqrt": math.sqrt, "ln": math.log}


def arithmetic(text: str) -> float:
    """What the printed line comes to; plain arithmetic and nothing of this package."""

    def value(node: ast.expr) -> float:
        if isinstance(node, ast.BinOp):
            return float(OPERATIONS[type(node.op)](value(node.left), value(node.right)))
        if isinstance(node, ast.UnaryOp):
            return -value(node.operand)
        if isinstance(node, ast.Call):
            assert isinstance(node.func, ast.Name)
            return float(FUNCTIONS[node.func.id](*[value(a) for a in node.args]))
        assert isinstance(node, ast.Constant)
        return float(node.value)

    plain = text.replace("×", "*").replace("√", "sqrt").replace("²", "**2")
    return value(ast.parse(plain, mode="eval").body)
