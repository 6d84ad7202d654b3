"""Only actions write. Outside them no call has the name of an ORM write, on whatever it is made.

The rule asks for the name alone and not for what stands before the dot, so that no alias, no
queryset kept in a variable and no helper gets round it. Who means a dict or a set writes `|=`.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.source import name_of, place, shipped_files, tree_of

# readers and starters: what stands here calls actions and never writes by itself
READERS = re.compile(
    r"^(shop/web/|records/queries/|records/management/|api/"
    r"|records/(tasks|admin|checks)\.py$)"
)
# the api's own table of keys, and nothing else (contract 6 keeps records.models from it)
OWN_TABLES = {"api/idempotency.py", "api/models.py"}

WRITES = {"save", "create", "update", "delete", "get_or_create", "update_or_create"}
WRITES |= {"bulk_create", "bulk_update"}
WRITES |= {f"a{name}" for name in WRITES}
# these write without a call that one sees
WRITERS = {
    "ModelForm", "modelform_factory", "ModelSerializer", "HyperlinkedModelSerializer",
    "ModelViewSet", "CreateView", "UpdateView", "DeleteView", "CreateAPIView", "UpdateAPIView",
    "DestroyAPIView",
}  # fmt: skip
READING_SQL = re.compile(r"\s*(select|with|explain|pragma|values)\b", re.IGNORECASE)


def _called(node: ast.Call) -> str:
    if isinstance(node.func, ast.Attribute):
        return node.func.attr
    if isinstance(node.func, ast.Name) and node.func.id == "getattr" and len(node.args) > 1:
        asked = node.args[1]
        return str(asked.value) if isinstance(asked, ast.Constant) else ""
    return ""


def _sql_writes(node: ast.Call) -> bool:
    first = node.args[0] if node.args else None
    return isinstance(first, ast.Constant) and not READING_SQL.match(str(first.value))


def writes_in(tree: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    """Yield each node that writes to the database, with the name it writes by."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = _called(node)
            sql = called == "executemany" or (called == "execute" and _sql_writes(node))
            if sql or called in WRITES:
                yield node, called
        elif isinstance(node, ast.alias) and node.name in WRITERS:
            yield node, node.name
        elif isinstance(node, ast.Attribute) and node.attr in WRITERS:
            yield node, node.attr


def _readers() -> list[Path]:
    return [
        path
        for path in shipped_files()
        if READERS.match(name_of(path)) and name_of(path) not in OWN_TABLES
    ]


def test_only_actions_write() -> None:
    found = [
        f"{place(path, node)} calls {name}"
        for path in _readers()
        for node, name in writes_in(tree_of(path))
    ]
    assert not found, "\n".join(["only records/actions may write:", *found])


@pytest.mark.parametrize(
    "dodge",
    [
        "Part.objects.create(number=1)",
        "rows = Part.objects.all(); rows.update(number=1)",
        "part.save()",
        "getattr(part, 'save')()",
        "await part.asave()",
        "Part.objects.bulk_create([part])",
        "cursor.execute('UPDATE records_part SET number = 1')",
        "from django.forms import ModelForm",
        "class Form(forms.ModelForm): pass",
    ],
)
def test_the_rule_sees_each_way_to_write(dodge: str) -> None:
    assert list(writes_in(ast.parse(dodge)))


@pytest.mark.parametrize(
    "reading",
    [
        "Part.objects.filter(number=1).count()",
        "facts |= {'number': 1}",
        "cursor.execute('SELECT 1')",
        "parts.create_part(number=1)",
    ],
)
def test_the_rule_lets_readers_read(reading: str) -> None:
    assert not list(writes_in(ast.parse(reading)))
