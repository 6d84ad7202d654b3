from __future__ import annotations

from pathlib import Path

import pytest

from tests import outside


def test_it_reads_json_and_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "a.json").write_text('{"b": [1]}', encoding="utf-8")
    (tmp_path / "data" / "c.csv").write_text("d,e\n1,2\n", encoding="utf-8")
    monkeypatch.setenv("TAREBOOK_CHECKS", str(tmp_path))
    assert outside.data("a.json") == {"b": [1]}
    assert outside.data("c.csv") == [{"d": "1", "e": "2"}]


@pytest.mark.parametrize(
    ("ci", "outcome"), [("", pytest.skip.Exception), ("true", pytest.fail.Exception)]
)
def test_what_isnt_here_skips_and_fails_in_ci(
    ci: str, outcome: type[BaseException], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TAREBOOK_CHECKS", str(tmp_path))
    monkeypatch.setenv("CI", ci)
    with pytest.raises(outcome, match=r"merkle\.json is not here"):
        outside.data("merkle.json")
