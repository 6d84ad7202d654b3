"""What must not stand in the repository: words, hosts, paths of a machine, copied files."""

import re

import pytest

from tests.architecture.source import ROOT, committed_files, name_of, shipped_files

# written apart, since this file is committed too
HOSTS = [
    "py" + "pi.org",
    "python" + "hosted.org",
    "npm" + "js.",
    "crates" + ".io",
    "docker" + ".io",
]
WORDS = ["trans" + "cript", "seed" + " document", "vid" + "eo"]
PATHS = ["/" + "work/", "/" + "root/", "/" + "home/"]
COPIED = {".otf", ".ttf", ".woff", ".woff2", ".pfx", ".p12", ".key", ".sqlite3"}
LARGEST_BYTES = 300_000


def _texts() -> list[tuple[str, str]]:
    texts = []
    for path in committed_files():
        raw = path.read_bytes()
        if b"\0" not in raw:
            texts.append((name_of(path), raw.decode("utf-8")))
    return texts


@pytest.mark.parametrize("unwanted", HOSTS + WORDS + PATHS)
def test_no_file_holds(unwanted: str) -> None:
    wanted = re.compile(re.escape(unwanted), re.IGNORECASE)
    found = [
        f"{name}:{number}"
        for name, text in _texts()
        for number, line in enumerate(text.splitlines(), start=1)
        if wanted.search(line)
    ]
    assert found == []


def test_shipped_code_knows_nothing_beside_the_checkout() -> None:
    beside = ".." + "/shared"
    readers = [p for p in (*shipped_files(), *(ROOT / "deploy").glob("*")) if p.is_file()]
    assert [name_of(p) for p in readers if beside in p.read_text(encoding="utf-8")] == []


def test_fonts_scripts_and_keys_come_from_outside() -> None:
    found = [name_of(path) for path in committed_files() if path.suffix in COPIED]
    found += [name_of(path) for path in committed_files() if ".min." in path.name]
    assert found == []


def test_no_committed_file_is_big() -> None:
    big = [name_of(path) for path in committed_files() if path.stat().st_size > LARGEST_BYTES]
    assert big == []
