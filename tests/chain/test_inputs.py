"""What a result is made from: what its stage reads, no more and no less."""

from __future__ import annotations

import ast
from dataclasses import fields, replace
from decimal import Decimal
from pathlib import Path

import pytest

import roomcheck
from roomcheck.chain import Activity
from roomcheck.chain.inputs import READS, job_inputs, takes_digest
from roomcheck.chain.method import STAGES, method_of
from roomcheck.chain.results import Chain
from roomcheck.geometry import Rectangle
from roomcheck.job import Forbid, Job, Rates, Shop, load_job

READS_IN = {
    Activity.READ: ("measure",),
    Activity.ANALYSE: ("measure", "analyse"),
    Activity.JUDGE: ("judge",),
    Activity.CALIBRATE: ("recommend", "predict"),
    Activity.PLAN: ("recommend", "predict"),
    Activity.BUILD: ("workshop",),
    Activity.PRICE: ("workshop", "quote"),
}
"""The stages that a step runs."""

PACKAGE = Path(roomcheck.__file__).parent
OWNERS = {
    "job": ("", Job),
    "bare": ("", Job),
    "shop": ("shop.", Shop),
    "rates": ("shop.rates.", Rates),
}
"""What holds a job, a shop or its rates is called so everywhere between the edges."""
METHODS = {
    "visit": "visits",
    "speed_of_sound_m_s": "visits",
    "material_of": "materials",
    "framing_of": "framing",
    "dangers_of": "found",
    "fixing_of": "fixings",
    "look_of": "looks",
    "shop.piece": "shop.stock",
    "pairs": "sources",
    "pairs_at": "pairs_after",
}
WHOLES = {"folder", "shop", "shop.rates"}


def in_source(stage: str) -> set[str]:
    """Every field of a job that a stage's source names."""
    found = set()
    for path in (PACKAGE / stage).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Attribute):
                continue
            owner = node.value
            name = owner.id if isinstance(owner, ast.Name) else getattr(owner, "attr", "")
            if name not in OWNERS:
                continue
            before, kind = OWNERS[name]
            read = METHODS.get(before + node.attr, before + node.attr)
            if read.rpartition(".")[2] in {field.name for field in fields(kind)}:
                found.add(read)
    return found - WHOLES


@pytest.mark.parametrize("stage", READS)
def test_a_stage_is_said_to_read_what_its_source_reads(stage):
    assert in_source(stage) == READS[stage]


def test_nothing_else_is_read_while_a_step_runs(computed):
    _, _, watch = computed
    assert len(watch.read) >= 6
    for work, read in watch.read.items():
        said = set().union(*(READS[stage] for stage in READS_IN[work]))
        assert read - WHOLES <= said, work


def digests(chain: Chain) -> dict[str, str]:
    inputs = job_inputs(chain.job, ("workshop",)), job_inputs(chain.job, ("workshop", "quote"))
    return {
        "analysis": chain.analysis_from("before"),
        "verdict": chain.verdict_from("before"),
        "plans": chain._plans_from,
        "sheet": str(inputs[0]),
        "quotes": str(inputs[1]),
        "documents": str(roomcheck.chain.inputs.all_of(chain.job)),
    }


def changed_rates(job: Job, **rates: Decimal | str) -> Job:
    return replace(job, shop=replace(job.shop, rates=replace(job.shop.rates, **rates)))


CHANGES = {
    "client": (lambda job: replace(job, client="Another client"), {"documents"}),
    "complaint": (lambda job: replace(job, complaint="It booms."), {"documents"}),
    "letterhead": (
        lambda job: replace(job, shop=replace(job.shop, address="2 Sample Lane")),
        {"documents"},
    ),
    "budget": (lambda job: replace(job, budget=Decimal(99)), {"plans", "documents"}),
    "forbid": (
        lambda job: replace(job, forbids=(Forbid(face="north"),)),
        {"plans", "documents"},
    ),
    "deposit": (lambda job: changed_rates(job, deposit_pct=Decimal(11)), {"quotes", "documents"}),
    "terms": (lambda job: changed_rates(job, terms="in ten days"), {"documents"}),
    "hour": (
        lambda job: changed_rates(job, hour=Decimal(99)),
        {"plans", "quotes", "documents"},
    ),
    "kerf": (
        lambda job: replace(job, shop=replace(job.shop, kerf_m=0.005)),
        {"sheet", "quotes", "documents"},
    ),
    "use": (
        lambda job: replace(job, use="cafe"),
        {"verdict", "plans", "documents"},
    ),
    "another visit": (
        lambda job: replace(
            job,
            visits=tuple(
                replace(v, temperature_c=9.0) if v.name == "after" else v for v in job.visits
            ),
        ),
        {"plans", "documents"},
    ),
    "patch": (
        lambda job: replace(
            job, patches=tuple(replace(p, place=Rectangle(0, 0, 0.1, 0.1)) for p in job.patches[:1])
        ),
        {"analysis", "verdict", "plans", "sheet", "quotes", "documents"},
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_makes_anew_what_it_can_change_and_nothing_else(computed, change):
    folder, _, _ = computed
    job = load_job(folder)
    alter, expected = CHANGES[change]
    before, after = digests(Chain(job=job)), digests(Chain(job=alter(job)))
    assert {name for name in before if before[name] != after[name]} == expected


def test_a_recording_counts_by_its_content_and_a_draft_does_not_count(folder):
    job = load_job(folder)
    before = takes_digest(job, "before")
    (folder / "takes" / "before" / ".coming").mkdir()
    (folder / "takes" / "before" / ".coming" / "x.wav").write_bytes(b"not judged yet")
    assert takes_digest(job, "before") == before
    take = folder / "takes" / "before" / "S1-P1.flac"
    take.write_bytes(take.read_bytes()[:-1] + b"x")
    assert takes_digest(job, "before") != before
    assert takes_digest(job, "after") == takes_digest(load_job(folder), "after")


def test_a_method_is_its_source_and_all_above_it(tmp_path, monkeypatch):
    from roomcheck.chain import method

    copy = tmp_path / "roomcheck"
    for stage in (*STAGES, "chain"):
        (copy / stage).mkdir(parents=True)
        (copy / stage / "x.py").write_text("a = 1\n", encoding="utf-8")
    monkeypatch.setattr(method, "_PACKAGE", copy)

    def digests() -> dict[str, str]:
        for cached in (method.method_of, method._shared, method._folder):
            cached.cache_clear()
        return {stage: method_of(stage) for stage in STAGES}

    before = digests()
    (copy / "recommend" / "x.py").write_text("a = 2\n", encoding="utf-8")
    after = digests()
    first = STAGES.index("recommend")
    assert [stage for stage in STAGES if before[stage] != after[stage]] == list(STAGES[first:])
    for cached in (method.method_of, method._shared, method._folder):
        cached.cache_clear()


def test_versions_by_folder_are_those_of_pythons_own_reader():
    from importlib.metadata import version

    from roomcheck.chain.method import _version

    for library in ("numpy", "scipy", "soundfile", "matplotlib"):
        assert _version(library) == version(library)
    assert _version("no-such-library") == "none"
