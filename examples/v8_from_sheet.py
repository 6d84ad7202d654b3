"""A street V8 from its bench sheet to its certificate, through the JSON front of a demo shop.

    ./deploy/try                                       # in one terminal
    .venv/bin/python examples/v8_from_sheet.py         # in another

Ines takes the sheet in, pairs the sets, cuts what the plan asks for and weighs again; Ruth
releases. The scale is invented: it shows each part's true mass, rounded to 0.1 g.
"""

from __future__ import annotations

import argparse
import csv
import json
import sys
import urllib.error
import urllib.request
import uuid
from collections import defaultdict
from datetime import UTC, datetime, timedelta
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
SHEET = HERE / "sheet_v8.csv"
OUNCE_G = Decimal("28.349523125")
ROD_LENGTH_MM = "152.4"
KINDS = ("piston", "pin", "pin locks", "ring set", "rod", "bearing shells")
CRANK_ELSEWHERE = "the crank stays with the customer"
SPECIAL_ANSWERS = {
    "damper": ("not seen by us", CRANK_ELSEWHERE),
    "rating": ("not applicable", ""),
}
SPARE_G = Decimal("0.3")  # so far inside the tolerance that one cut does
MOST_ROUNDS = 3


class Person:
    """Someone signed in; every POST gets an idempotency key of its own."""

    def __init__(self, base: str, username: str, password: str) -> None:
        self.base, self.token = f"{base}/api/v1/", ""
        self.token = self.post("sign-in", {"username": username, "password": password})["key"]

    def get(self, path: str) -> Any:
        """Return what is read at a path, as JSON."""
        return json.loads(self.raw(path))

    def post(self, path: str, body: Any, content_type: str = "application/json") -> Any:
        """Return the answer to a deed."""
        data = body.encode() if isinstance(body, str) else json.dumps(body).encode()
        headers = {"Content-Type": content_type, "Idempotency-Key": str(uuid.uuid4())}
        return json.loads(self.raw(path, data, headers))

    def raw(
        self, path: str, data: bytes | None = None, headers: dict[str, str] | None = None
    ) -> bytes:
        """Return the bytes of an answer; a problem ends the example with its sentence."""
        request = urllib.request.Request(self.base + path, data, headers or {})  # noqa: S310
        if self.token:
            request.add_header("Authorization", f"Bearer {self.token}")
        try:
            with urllib.request.urlopen(request, timeout=60) as answer:  # noqa: S310
                content: bytes = answer.read()
                return content
        except urllib.error.HTTPError as error:
            raise SystemExit(f"{path}: {error.code} {error.read().decode()}") from error
        except urllib.error.URLError as error:
            raise SystemExit(f"{self.base}: {error.reason}; is ./deploy/try serving?") from error


class Bench:
    """Ines at the bench of one build, in March 2026."""

    def __init__(self, ines: Person, build: str) -> None:
        self.ines, self.at = ines, f"builds/{build}"
        self.now = datetime(2026, 3, 3, 8, 0, tzinfo=UTC)
        self.masses = true_masses()

    def later(self, **span: float) -> str:
        """Let time pass, three minutes unless told, and return it."""
        self.now += timedelta(**(span or {"minutes": 3}))
        return self.now.isoformat()

    def plan_of(self, kind: str) -> Any:
        """Return what the product says is next for a kind."""
        steps = self.ines.get(f"{self.at}/plan")["steps"]
        return next(step for step in steps if step["kind"] == kind)

    def bring_together(self, kind: str) -> None:
        """Cut what the plan asks for until the kind matches."""
        for _ in range(MOST_ROUNDS):
            step = self.plan_of(kind)
            print(f"{kind}: {step['note'] or 'no light one costs all others metal'}")
            if step["matches"]:
                return
            for place in step["places"]:
                self._cut_place(place)

    def weigh(self, of: dict[str, Any], true_g: Decimal) -> None:
        """Weigh twice; the answer says whether it counts."""
        shown = str(true_g.quantize(Decimal("0.1"), ROUND_HALF_EVEN))
        readings = [{"value": shown}, {"value": shown}]
        body = {**of, "scale": "S-02", "readings": readings, "measured_at": self.later()}
        self.ines.post(f"{self.at}/weighings", body)

    def _cut_place(self, place: Any) -> None:
        part, cuts = place["part"], place["plan"]["next_cuts"]
        for index, cut in enumerate(cuts):
            spare_g = SPARE_G if index == 0 else Decimal(0)
            self._cut(part, cut, Decimal(cut["share_g"]) + spare_g)
        if cuts and (part, "big end") in self.masses:
            self.weigh({"part": part, "what": "big end"}, self.masses[part, "big end"])

    def _cut(self, part: str, cut: Any, mass_g: Decimal) -> None:
        is_piston = part.startswith("PA")
        body = {
            "part": part,
            "zones": [cut["zone"]],
            "method": "die grinder" if is_piston else "belt linisher",
            "spread": "all round" if cut["spread"] == "any" else cut["spread"],
            "cut_at": self.later(),
        }
        removal = self.ines.post(f"{self.at}/removals", body)["id"]
        self.masses[part, "whole"] -= mass_g
        if cut["zone"] == "rod-sides":  # they stand at the big end's centre
            self.masses[part, "big end"] -= mass_g
        self.weigh({"part": part, "what": "whole"}, self.masses[part, "whole"])
        heat = "not too hot" if is_piston else "none"
        self.ines.post(f"{self.at}/removals/{removal}/close", {"heat": heat})


def true_masses() -> dict[tuple[str, str], Decimal]:
    """Take each part's true mass as the mean of its readings on the sheet."""
    given: dict[tuple[str, str], list[Decimal]] = defaultdict(list)
    with SHEET.open(encoding="utf-8") as sheet:
        for row in csv.DictReader(sheet):
            if row["serial"]:
                unit_g = OUNCE_G if row["unit"] == "oz" else Decimal(1)
                given[row["serial"], row["what"]].append(Decimal(row["reading"]) * unit_g)
    return {of: sum(masses, Decimal(0)) / len(masses) for of, masses in given.items()}


def take_in(ines: Person, at: str) -> None:
    """Take the sheet in, and say what it can't say."""
    query = f"open_layout=v8-90&rod_length_mm={ROD_LENGTH_MM}&stroke_mm=88.4"
    taken = ines.post(f"{at}/sheets?{query}", SHEET.read_text(encoding="utf-8"), "text/csv")
    print(f"{len(taken['new_parts'])} parts, {taken['readings']} readings taken in")
    for kind in KINDS:
        ines.post(f"{at}/intake", {"kind": kind, "condition": {}})
    elsewhere = {"key": "crank_in_job", "value": "no", "reason": CRANK_ELSEWHERE}
    ines.post(f"{at}/details", elsewhere)


def work(ines: Person, bench: Bench) -> None:
    """Pair, cut, weigh again, rods big ends first; then the card and the checklist."""
    at = bench.at
    matched = ines.post(f"{at}/matches", {"aim": "metal", "matched_at": bench.later()})
    print(f"sets paired to {matched['spread_g']} g")
    for _ in range(2):  # the sets weighed together are the better evidence, and may ask for more
        bench.bring_together("set")
        weigh_sets(bench, matched["sets"])
    bench.later(hours=20)
    bench.bring_together("big end")
    bench.later(hours=18)
    bench.bring_together("whole rod")
    ines.post(f"{at}/bob-weight-cards", {"issued_at": bench.later()})
    for question in ines.get(f"{at}/checklist")["questions"]:
        answer, detail = SPECIAL_ANSWERS.get(question["key"], ("yes", ""))
        body = {"question": question["key"], "answer": answer, "detail": detail}
        ines.post(f"{at}/checklist", {**body, "answered_at": bench.later()})


def weigh_sets(bench: Bench, sets: Any) -> None:
    """Weigh each place's set together; one pair of locks stands for every place."""
    for one in sets:
        parts = [*one["parts"], "LA01"]
        together_g = sum((bench.masses[part, "whole"] for part in parts), Decimal(0))
        bench.weigh({"place": one["place"], "what": "set"}, together_g)


def release(ruth: Person, at: str, password: str, folder: Path) -> Path:
    """Release the build, and fetch its certificate."""
    state = ruth.get(at)
    for block in state["blocks"]:
        print("blocks:", block["text"])
    body = {
        "password": password,
        "no_seals_reason": "the customer assembles the engine",
        "seen_conditional": bool(state["conditional"]),
    }
    released = ruth.post(f"{at}/release", body)
    number, revision = released["certificate_number"], released["revision"]
    paper = folder / f"{number}-r{revision}.pdf"
    paper.write_bytes(ruth.raw(f"certificates/{number}/revisions/{revision}/pdf"))
    return paper


def main(arguments: list[str]) -> None:
    """Play the example."""
    parser = argparse.ArgumentParser(description="A V8 from its bench sheet to its certificate.")
    parser.add_argument("--base", default="http://127.0.0.1:8000")
    parser.add_argument("--build", default="26-003")
    parser.add_argument("--var", type=Path, default=HERE.parent / "var")
    given = parser.parse_args(arguments)
    password = (given.var / "demo-password").read_text().strip()
    ines, ruth = (Person(given.base, name, password) for name in ("ines", "ruth"))
    at = f"builds/{given.build}"
    take_in(ines, at)
    work(ines, Bench(ines, given.build))
    paper = release(ruth, at, password, given.var)
    print(f"certificate: {paper}")
    print(f"verify it: .venv/bin/python manage.py verify-certificate {paper}")


if __name__ == "__main__":
    main(sys.argv[1:])
