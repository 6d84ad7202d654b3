"""The verifier as a program: alone, without Django, database or network, and short."""

import ast
import io
import json
import subprocess
import sys
import tokenize
from pathlib import Path

import pytest

from records.domain.proof.__main__ import main
from tests.domain.proof.small_log import KEY, ORIGIN, bundle_of, small_log

ROOT = Path(__file__).resolve().parents[3]
BUNDLE = bundle_of(small_log())
# loads the program, refuses every connection, and tells what it loaded
ALONE = """
import json, runpy, socket, sys
def refuse(*given, **named): raise SystemExit("the verifier opened a socket")
socket.socket = refuse
try:
    runpy.run_module("records.domain.proof", run_name="__main__", alter_sys=True)
except SystemExit as end:
    print(json.dumps({"rc": end.code, "loaded": sorted(sys.modules)}), file=sys.stderr)
"""


@pytest.fixture
def bundle(tmp_path: Path) -> Path:
    path = tmp_path / "26-014.zip"
    path.write_bytes(BUNDLE)
    return path


def _run(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "records.domain.proof", *arguments]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, env={})


def test_it_ends_with_0_for_a_bundle_that_holds(bundle: Path) -> None:
    done = _run(str(bundle), "--key", KEY)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines()[-1] == "the bundle holds"
    assert _run(str(bundle)).returncode == 0


def test_it_ends_with_1_for_one_that_does_not(bundle: Path) -> None:
    bundle.write_bytes(BUNDLE + b"\n")
    done = _run(str(bundle), "--key", KEY)
    assert done.returncode == 1
    assert done.stdout.splitlines()[-1].startswith("REFUSED: expected a ZIP")


@pytest.mark.parametrize("key", ["", "no key", f"{ORIGIN}+00000000+AAAA"])
def test_it_ends_with_1_for_a_key_that_is_none(bundle: Path, key: str) -> None:
    assert main([str(bundle), "--key", key]) == 1


def test_it_ends_with_1_where_there_is_no_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([str(tmp_path / "nothing.zip")]) == 1
    assert "expected a file to read" in capsys.readouterr().err


def _loaded(bundle: Path) -> list[str]:
    command = [sys.executable, "-c", ALONE, str(bundle), "--key", KEY]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True, env={})
    told = json.loads(done.stderr.splitlines()[-1])
    assert told["rc"] == 0
    return [str(name) for name in told["loaded"]]


def test_it_loads_nothing_but_itself_the_standard_library_and_cryptography(bundle: Path) -> None:
    tops = {name.partition(".")[0] for name in _loaded(bundle)} - sys.stdlib_module_names
    assert "records" in tops
    assert "django" not in tops
    # cffi's parts come with cryptography, the rest with a start of Python in an environment
    assert {top for top in tops if not top.startswith("_")} <= {"records", "cryptography"}


def _lines_of_code(path: Path) -> int:
    source = path.read_text(encoding="utf-8")
    found: set[int] = set()
    told = (tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT)
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type not in (*told, tokenize.ENDMARKER):
            found.update(range(token.start[0], token.end[0] + 1))
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            found.difference_update(range(node.lineno, (node.end_lineno or 0) + 1))
    return len(found)


def test_it_is_under_500_lines_in_all(bundle: Path) -> None:
    # lines of code: blank ones, comments and docstrings not counted, the error tree counted
    names = [name for name in _loaded(bundle) if name.startswith("records.")]
    files = [ROOT / f"{name.replace('.', '/')}.py" for name in names]
    files = [path for path in files if path.is_file()] + [ROOT / "records/domain/proof/__main__.py"]
    assert len(files) == 7
    assert sum(map(_lines_of_code, files)) < 500
