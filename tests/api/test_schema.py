"""The description of the front: valid OpenAPI 3.1, complete, and true of the answers."""

import json
from typing import Any

import pytest
from django.test import Client
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]
from openapi_spec_validator import validate

from tests.api.caller import Caller
from tests.api.test_scopes import routes
from tests.records import factory


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    GENERATOR_STATS.reset()
    generator: Any = SchemaGenerator  # its methods bear no types
    made: dict[str, Any] = generator(api_version="v1").get_schema(request=None, public=True)
    return made


def answers_of(schema: dict[str, Any], path: str, method: str = "get") -> Any:
    operation = schema["paths"][path][method]
    code = next(code for code in ("200", "201") if code in operation["responses"])
    return operation["responses"][code]["content"]["application/json"]["schema"]


def test_it_is_valid_and_makes_no_warning(schema: dict[str, Any]) -> None:
    assert schema["openapi"] == "3.1.1"
    validate(schema)
    assert not GENERATOR_STATS


def test_it_tells_of_every_address_and_method(schema: dict[str, Any]) -> None:
    told = sum(len(methods) for methods in schema["paths"].values())
    assert told == len(routes())


def test_no_keyword_of_the_version_before_is_left(schema: dict[str, Any]) -> None:
    assert '"nullable"' not in json.dumps(schema)


def test_every_deed_asks_for_a_key_and_every_operation_tells_its_problems(
    schema: dict[str, Any],
) -> None:
    keyless = set()
    for path, methods in schema["paths"].items():
        for method, operation in methods.items():
            told = operation["responses"]
            problems = [code for code in told if code >= "400"]
            assert problems
            assert all(
                list(told[code]["content"]) == ["application/problem+json"] for code in problems
            )
            names = {one["name"] for one in operation.get("parameters", [])}
            if method == "post" and "Idempotency-Key" not in names:
                keyless.add(path.removeprefix("/api/v1/"))
    assert keyless == {"sign-in", "sign-out", "tokens", "reckon/{topic}"}


@pytest.mark.parametrize(
    ("template", "path"),
    [
        ("builds", "builds"),
        ("builds/{number}", "builds/B-1"),
        ("builds/{number}/facts", "builds/B-1/facts"),
        ("builds/{number}/findings", "builds/B-1/findings"),
        ("builds/{number}/plan", "builds/B-1/plan"),
        ("builds/{number}/parts", "builds/B-1/parts"),
        ("builds/{number}/weighings", "builds/B-1/weighings"),
        ("builds/{number}/bob-weight-cards", "builds/B-1/bob-weight-cards"),
        ("builds/{number}/checklist", "builds/B-1/checklist"),
        ("builds/{number}/entries", "builds/B-1/entries"),
        ("parts/{number}", "parts/P-1"),
        ("parts/{number}/history", "parts/P-1/history"),
        ("scales", "scales"),
        ("scales/{number}", "scales/S-02"),
        ("due-list", "due-list"),
        ("check-weights", "check-weights"),
        ("specs", "specs"),
        ("settings", "settings"),
        ("people", "people"),
        ("tokens", "tokens"),
        ("certificates", "certificates"),
        ("certificates/{number}", "certificates/FLB-26-0001"),
    ],
)
def test_answers_are_as_it_says(
    schema: dict[str, Any], marta: Caller, template: str, path: str
) -> None:
    build, part = factory.a_build("B-1"), factory.a_part("P-1")
    scale = factory.a_scale("S-02")
    factory.fitted(build, part, place=1)
    factory.checked(scale)
    factory.weighed(part, "445.9", scale=scale, build=build)
    factory.released(build)
    answer = marta.seen(path)
    shape = {**answers_of(schema, f"/api/v1/{template}"), "components": schema["components"]}
    errors = [error.message for error in Draft202012Validator(shape).iter_errors(answer)]
    assert errors == []


class TestThePage:
    def test_the_schema_is_served(self, db: None) -> None:
        answer = Client().get("/api/schema", headers={"Accept": "application/json"})
        assert answer.status_code == 200
        assert json.loads(answer.content)["openapi"] == "3.1.1"

    def test_the_page_needs_nothing_inline_and_nothing_from_elsewhere(self, db: None) -> None:
        answer = Client().get("/api/docs")
        html = answer.content.decode()
        assert answer.status_code == 200
        assert "style=" not in html and "<style" not in html and "http" not in html
        assert html.count("<script") == html.count("<script src=") == 3
        policy = answer["Content-Security-Policy"]
        assert "script-src 'self';" in policy and "unsafe-inline" not in policy
        script = Client().get("/api/docs?script=")
        assert script["Content-Type"].startswith("application/javascript")
