from __future__ import annotations

import io
import json
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command


def run(*arguments: str) -> str:
    out = io.StringIO()
    call_command("reckon", *arguments, stdout=out)
    return out.getvalue()


def test_it_reads_a_file_and_prints_json(tmp_path: Path) -> None:
    asked = tmp_path / "asked.json"
    asked.write_text('{"value": 1, "from": "oz in", "to": "g·mm"}', encoding="utf-8")
    assert json.loads(run("convert", str(asked))) == {"value": "720.077887375", "exact": True}


def test_it_reads_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    text = io.BytesIO(b'{"value": "0.1000000000000000000000001", "from": "kg", "to": "g"}')
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=text))
    assert json.loads(run("convert"))["value"] == "100.0000000000000000000001"


@pytest.mark.parametrize(
    ("topic", "text", "sentence"),
    [
        ("weighing", '{"scale": {"d_g": 0}, "reading_g": 1}', "scale/d_g: expected"),
        ("convert", '{"value": NaN}', "got NaN"),
        ("convert", "[1]", "expected an object"),
        ("convert", "{", "can't be read"),
        ("convert", '{"a\\nb": 1, "value": 1, "from": "g", "to": "g"}', "unknown key"),
        ("horoscope", "{}", "unknown topic 'horoscope'"),
    ],
)
def test_an_error_is_one_line_and_status_2(
    topic: str, text: str, sentence: str, tmp_path: Path
) -> None:
    asked = tmp_path / "asked.json"
    asked.write_text(text, encoding="utf-8")
    with pytest.raises(CommandError) as refused:
        run(topic, str(asked))
    assert refused.value.returncode == 2
    assert sentence in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_file_that_isnt_there_is_said_plainly(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="no such file") as refused:
        run("convert", str(tmp_path / "absent.json"))
    assert refused.value.returncode == 2
