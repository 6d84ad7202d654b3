"""What the demo's people do with an engine, step by step, as the product's plan tells them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from records.actions.builds import note_detail, open_build
from records.actions.cards import issue_card
from records.actions.checklist import answer_question
from records.actions.clock import SetClock
from records.actions.findings import dispose
from records.actions.matching import accept_match
from records.actions.parts import Condition, book_part, note_intake, rate_damper
from records.actions.releases import Seal, release_build
from records.domain.practice.evidence import Evidence
from records.domain.practice.planning import plans
from records.domain.practice.promised import BIG_ENDS, SETS, WHOLE_RODS
from records.management.demo.bench import Bench, CutMade
from records.management.demo.engines import PER_PLACE, SHARED, Engine, at_each_place, numbered
from records.management.demo.numbers import INES, MARTA, RUTH, TOMAS
from records.management.demo.shop import spec_of
from records.models import Release
from records.queries.build_facts import facts_of

MOST_ROUNDS = 30
SPREAD_USED = {"any": "one spot", "all round": "all round", "both sides": "both sides"}
RATING_DAYS = 300


def take_in(engine: Engine, clock: SetClock, event_day: date | None) -> None:
    """Open the build and book its parts in."""
    open_build(
        by=MARTA,
        number=engine.build,
        engine=engine.name,
        layout=engine.layout,
        use=engine.use,
        customer=engine.customer,
        rod_length_mm=engine.rod_length_mm,
        stroke_mm=engine.stroke_mm,
        event_day=event_day,
        clock=clock,
    )
    for kind, letter in PER_PLACE:
        for place, number in enumerate(at_each_place(engine, letter), start=1):
            _book(engine, kind, number, place, clock)
    for kind, letter in SHARED:
        _book(engine, kind, numbered(engine, letter, 1), None, clock)
    kinds = [kind for kind, _ in (*PER_PLACE, *SHARED)]
    for kind in kinds:
        note_intake(by=MARTA, build=engine.build, kind=kind, condition=Condition(), clock=clock)


def take_in_crank(engine: Engine, clock: SetClock, valid_until: date) -> None:
    """Book the crankshaft and a rated damper in."""
    note_detail(by=MARTA, build=engine.build, key="crank_in_job", value="yes", clock=clock)
    for kind, letter in (("crankshaft", "C"), ("damper", "D")):
        _book(engine, kind, numbered(engine, letter, 1), None, clock)
        note_intake(by=MARTA, build=engine.build, kind=kind, condition=Condition(), clock=clock)
    rate_damper(
        by=MARTA,
        part=numbered(engine, "D", 1),
        label="BRS-0417",
        body="the sprint series' own scrutineers",
        spec="series rule 7.3",
        expires_on=valid_until,
        clock=clock,
    )


def weigh_all(bench: Bench, engine: Engine) -> None:
    """Weigh every part, rods by big end and whole."""
    bench.check_scale()
    for _, letter in PER_PLACE[:3]:
        for number in at_each_place(engine, letter):
            bench.weigh(number)
    for number in at_each_place(engine, "R"):
        bench.hang(number)
        bench.weigh(number)
    for _, letter in SHARED:
        bench.weigh(numbered(engine, letter, 1))


def match_sets(bench: Bench) -> None:
    """Pair the sets for least metal."""
    accept_match(by=bench.who, build=bench.build, aim="metal", clock=bench.clock)
    bench.clock.forward(minutes=20)


def weigh_sets(bench: Bench) -> None:
    """Weigh each place's set together."""
    facts = facts_of(bench.build)
    evidence = Evidence(facts)
    for place in facts.places:
        bench.weigh_set(place, evidence.set_parts(place))


def bring_sets_together(bench: Bench, *, together: bool) -> None:
    """Cut pistons as planned, until the sets match."""
    _follow(bench, SETS, (lambda place: _reweigh_set(bench, place)) if together else None)


def bring_rods_together(bench: Bench) -> None:
    """Cut big ends, then whole rods, as planned."""
    _follow(bench, BIG_ENDS, lambda place: _rehang(bench, place))
    _follow(bench, WHOLE_RODS, lambda place: _rehang(bench, place))


def card(bench: Bench) -> None:
    """Reckon the bob-weight card, which the machinist takes."""
    issue_card(by=TOMAS, build=bench.build, clock=bench.clock)
    bench.clock.forward(minutes=10)


def answer_all(bench: Bench, answers: dict[str, tuple[str, str]] | None = None) -> None:
    """Answer the safety checklist."""
    special = answers or {}
    for question in facts_of(bench.build).questions:
        answer, detail = special.get(question.key, ("yes", ""))
        answer_question(
            by=INES,
            build=bench.build,
            question=question.key,
            answer=answer,
            detail=detail,
            clock=bench.clock,
        )
        bench.clock.forward(minutes=1)


def look_at_heat(build: str, clock: SetClock) -> None:
    """Ruth looks at every part that showed a colour."""
    for found in facts_of(build).findings:
        if found.code == "heat_seen" and found.disposition is None:
            dispose(
                by=RUTH,
                build=build,
                key=found.key,
                decision="looked at",
                reason="straw on the linished edge only, polished out, no colour left beneath",
                clock=clock,
            )


def release(
    build: str,
    clock: SetClock,
    seals: list[Seal],
    *,
    no_seals_reason: str = "",
    replaces: bool = False,
) -> Release:
    """Ruth releases."""
    return release_build(
        by=RUTH,
        build=build,
        seals=seals,
        no_seals_reason=no_seals_reason,
        seen_conditional=True,
        replaces=replaces,
        clock=clock,
    )


def _book(engine: Engine, kind: str, number: str, place: int | None, clock: SetClock) -> None:
    book_part(
        by=MARTA,
        number=number,
        spec=spec_of(kind),
        build=engine.build,
        place=place,
        serial=f"{engine.seed}-{number}",
        marking="etched beside the pin boss" if kind == "piston" else "paint mark",
        clock=clock,
    )


def _follow(bench: Bench, kind: str, afterwards: Callable[[int], None] | None) -> None:
    """Do what the plan says, weigh again, and ask it anew, until it has nothing more to say."""
    for _ in range(MOST_ROUNDS):
        step = plans(facts_of(bench.build)).of(kind)
        todo = [(one.place, one.part, one.plan) for one in step.places if one.plan.next_cuts]
        if not todo:
            return
        for place, part, plan in todo:
            for cut in plan.next_cuts:
                _cut(bench, part, cut.zone, float(cut.mass_g))
            if afterwards:
                afterwards(place)


def _cut(bench: Bench, part: str, zone_key: str, mass_g: float) -> None:
    facts = facts_of(bench.build)
    zone = next(zone for zone in facts.parts[part].spec.zones if zone.key == zone_key)
    share = 0.0
    if zone.x_mm is not None and facts.rod_length_mm is not None:
        share = float(zone.x_mm / facts.rod_length_mm)
    first_rod = part.startswith("R") and not any(cut.part[0] == "R" for cut in facts.removals)
    cool = "not too hot" if facts.parts[part].spec.metal == "aluminium" else "none"
    bench.cut(
        CutMade(
            part,
            zone_key,
            zone.methods[0],
            SPREAD_USED[zone.spread],
            mass_g,
            "straw" if first_rod else cool,
            share,
        )
    )


def _reweigh_set(bench: Bench, place: int) -> None:
    bench.weigh_set(place, Evidence(facts_of(bench.build)).set_parts(place))


def _rehang(bench: Bench, place: int) -> None:
    rod = Evidence(facts_of(bench.build)).fitted(place, "rod")
    if rod:
        bench.hang(rod)
