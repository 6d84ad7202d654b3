"""The project's own files, as the architecture tests read them."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ("records", "shop", "api")


def _inside(folder: str) -> Iterator[Path]:
    for path in sorted((ROOT / folder).rglob("*.py")):
        if "migrations" not in path.parts:
            yield path


@cache
def shipped_files() -> tuple[Path, ...]:
    """Return every Python file that is shipped; migrations are made by Django and left out."""
    return tuple(path for folder in SHIPPED for path in _inside(folder))


@cache
def test_files() -> tuple[Path, ...]:
    """Return every Python file below tests/."""
    return tuple(_inside("tests"))


test_files.__test__ = False  # type: ignore[attr-defined]


@cache
def tree_of(path: Path) -> ast.Module:
    """Return the file's syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def name_of(path: Path) -> str:
    """Return the path as one writes it in the project: records/ledger.py."""
    return path.relative_to(ROOT).as_posix()


def place(path: Path, node: ast.AST) -> str:
    """Return where a node stands, so that an editor can jump there."""
    return f"{name_of(path)}:{getattr(node, 'lineno', 1)}"


@cache
def committed_files() -> tuple[Path, ...]:
    """Return what git holds or would take in: tracked files, and new ones that aren't ignored."""
    listed = subprocess.run(
        # a build machine may run as another user than the one who cloned
        [
            "git",
            "-c",
            "safe.directory=*",
            "ls-files",
            "-z",
            "--cached",
            "--others",
            "--exclude-standard",
        ],
        cwd=ROOT,
        capture_output=True,
        check=True,
        text=True,
    )
    named = (ROOT / name for name in listed.stdout.split("\0") if name)
    return tuple(path for path in named if path.is_file())
