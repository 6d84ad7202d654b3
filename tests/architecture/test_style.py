"""House style that no linter holds: sizes, names, keyword-only deeds, errors of our own."""

import ast
import builtins
import re

from tests.architecture.source import (
    ROOT,
    name_of,
    place,
    shipped_files,
    test_files,
    tree_of,
)

LINES_OF_A_FILE = 300
LINES_OF_A_FUNCTION = 40
EMPTY_NAMES = re.compile(r"(utils?|helpers?|managers?|services?)", re.IGNORECASE)
BUILT_IN = {
    name
    for name, thing in vars(builtins).items()
    if isinstance(thing, type) and issubclass(thing, Exception)
}
Function = ast.FunctionDef | ast.AsyncFunctionDef


def _functions(tree: ast.AST) -> list[Function]:
    return [node for node in ast.walk(tree) if isinstance(node, Function)]


def test_a_file_is_one_thing_under_300_lines() -> None:
    sizes = {
        name_of(path): len(path.read_text(encoding="utf-8").splitlines())
        for path in (*shipped_files(), *test_files())
    }
    assert {name: size for name, size in sizes.items() if size > LINES_OF_A_FILE} == {}


def test_a_function_fits_a_screen() -> None:
    found = [
        f"{place(path, function)} {function.name}: {length} lines"
        for path in shipped_files()
        for function in _functions(tree_of(path))
        if (length := (function.end_lineno or 0) - function.lineno + 1) > LINES_OF_A_FUNCTION
    ]
    assert found == []


def test_shipped_code_does_not_assert() -> None:
    found = [
        place(path, node)
        for path in shipped_files()
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Assert)
    ]
    assert found == []


def test_no_module_or_class_has_a_name_that_says_nothing() -> None:
    modules = [name_of(path) for path in shipped_files() if EMPTY_NAMES.fullmatch(path.stem)]
    classes = [
        f"{place(path, node)} {node.name}"
        for path in shipped_files()
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.ClassDef) and EMPTY_NAMES.fullmatch(node.name)
    ]
    assert modules + classes == []


def _opens_a_deed(function: Function) -> bool:
    called = {
        getattr(node.func, "id", getattr(node.func, "attr", ""))
        for node in ast.walk(function)
        if isinstance(node, ast.Call)
    }
    return bool(called & {"deed", "atomic"})


def test_deeds_are_keyword_only() -> None:
    found = [
        f"{place(path, node)} {node.name}"
        for path in shipped_files()
        if name_of(path).startswith("records/actions/")
        for node in tree_of(path).body
        if isinstance(node, Function) and not node.name.startswith("_") and _opens_a_deed(node)
        if node.args.posonlyargs or node.args.args or node.args.vararg
    ]
    assert found == [], "who opens a deed takes keywords only: def record_weighing(*, …)"


def test_callers_of_actions_name_what_they_give() -> None:
    callers = re.compile(r"^(shop/|api/|records/(management/|tasks\.py|outbox\.py))")
    found = [
        f"{place(path, node)} {ast.unparse(node.func)}"
        for path in shipped_files()
        if callers.match(name_of(path))
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call) and node.args
        if _first_name(node.func) in _names_from_actions(tree_of(path))
    ]
    assert found == []


def _first_name(called: ast.expr) -> str:
    """Return `weighings` of `weighings.record_weighing`, and a bare name as it is."""
    base = called.value if isinstance(called, ast.Attribute) else called
    return base.id if isinstance(base, ast.Name) else ""


def _names_from_actions(tree: ast.AST) -> set[str]:
    """Return the functions (lower case, so no class) that a file takes from records.actions."""
    return {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("records.actions")
        for alias in node.names
        if alias.name.islower()
    }


def test_built_in_exceptions_are_not_raised_where_ours_are_promised() -> None:
    promised = re.compile(r"^records/(domain/|documents/|ledger\.py$)")
    found = [
        f"{place(path, node)} raises {raised.id}"
        for path in shipped_files()
        if promised.match(name_of(path))
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Raise) and node.exc is not None
        for raised in [node.exc.func if isinstance(node.exc, ast.Call) else node.exc]
        if isinstance(raised, ast.Name) and raised.id in BUILT_IN
    ]
    assert found == []


def test_the_domain_has_no_clock_and_no_files() -> None:
    # the offline verifier, run as a program, is the one that reads a file and prints
    told = {"now", "utcnow", "today", "monotonic", "perf_counter", "read_text", "read_bytes"}
    told |= {"write_text", "write_bytes", "urlopen"}
    found = [
        f"{place(path, node)} {called}"
        for path in shipped_files()
        if name_of(path).startswith("records/domain/") and path.stem != "__main__"
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call)
        for called in [
            node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        ]
        if called in told
        or (isinstance(node.func, ast.Name) and called in {"open", "print", "input"})
    ]
    assert found == []


def test_no_request_runs_in_one_transaction() -> None:
    # a handled error would then commit half a deed
    settings = (ROOT / "shop/settings.py").read_text(encoding="utf-8")
    assert "ATOMIC_REQUESTS" not in settings
