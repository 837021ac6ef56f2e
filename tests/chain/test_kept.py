"""Results in the job's folder: equal to computed ones, never half, never somebody else's."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from roomcheck.analyse import Analysis
from roomcheck.chain import Activity, NoSuchPlan, NotSigned, Progress, Stopped, open_job
from roomcheck.chain.kept import Results
from roomcheck.cli import main
from roomcheck.job import AlreadySigned
from roomcheck.judge import Verdict, judge
from roomcheck.plain import from_plain, to_plain
from roomcheck.recommend import AIMED, Plan

NAMES = ("before", "after", "verdict", "verdict_after", "plans", "quotes", "sheet")


def test_kept_results_equal_computed_ones_and_nothing_is_computed_twice(computed, folder):
    _, chain, _ = computed
    steps: list[Progress] = []
    again = open_job(folder, on_step=steps.append)
    for name in NAMES:
        assert getattr(again, name) == getattr(chain, name), name
    assert steps == []
    at = again.plans.index(again.plan)
    assert again.plan is again.plans[at] and again.quote == again.quotes[at]
    assert again.plan.kind in AIMED
    assert again.prediction == again.plan.prediction


def test_what_a_stage_returns_survives_the_file(folder):
    chain = open_job(folder)
    verdict = judge(chain.before, chain.job)
    assert from_plain(Verdict, json.loads(json.dumps(to_plain(verdict)))) == verdict
    assert chain.verdict == verdict


def test_a_file_names_its_schema_its_method_and_what_it_was_made_from(folder):
    plain = json.loads((folder / "results" / "plans.json").read_text("utf-8"))
    assert plain["schema"] == "roomcheck plans 2"
    assert plain["method"].startswith("roomcheck ")
    assert len(plain["made_from"]) == len(plain["sha256"]) == 64
    assert [plan["kind"] for plan in plain["result"]] == [p.kind for p in open_job(folder).plans]


def damage() -> dict[str, Callable[[bytes], bytes]]:
    def truncate(blob: bytes) -> bytes:
        return blob[: len(blob) // 2]

    def edited(blob: bytes) -> bytes:
        plain = json.loads(blob)
        plain["result"]["sentence"] = "All is well."
        plain["result"]["mid"] = None
        return json.dumps(plain).encode()

    def other(blob: bytes) -> bytes:
        return json.dumps(json.loads(blob) | {"schema": "roomcheck verdict 1"}).encode()

    return {
        "cut": truncate,
        "edited": edited,
        "other schema": other,
        "empty": lambda blob: b"",
        "binary": lambda blob: b"\xff\xfe\x00",
        "a list": lambda blob: b"[1, 2]",
        "a number": lambda blob: b"3",
        "deep": lambda blob: b"[" * 100_000,
        "nothing in it": lambda blob: b'{"schema": "roomcheck verdict 2"}',
    }


@pytest.mark.parametrize("how", damage())
def test_damaged_and_foreign_files_are_made_anew(folder, how):
    path = folder / "results" / "verdict.json"
    whole, verdict = path.read_bytes(), open_job(folder).verdict
    path.write_bytes(damage()[how](whole))
    assert open_job(folder).verdict == verdict
    assert path.read_bytes() == whole


def test_a_folder_in_a_files_place_keeps_nothing_and_breaks_nothing(folder):
    verdict = open_job(folder).verdict
    path = folder / "results" / "verdict.json"
    path.unlink()
    path.mkdir()
    assert open_job(folder).verdict == verdict


def test_an_analysis_of_another_shape_is_none(tmp_path):
    results = Results(folder=tmp_path)
    results.write("analysis-before", "x", dict[str, int], {"a": 1})
    assert results.read("analysis-before", "x", Analysis) is None
    assert results.read("analysis-before", "x", dict[str, int]) == {"a": 1}
    assert results.read("analysis-before", "y", dict[str, int]) is None


def test_a_job_that_was_moved_away_meanwhile_is_not_made_again(tmp_path):
    job = tmp_path / "job"
    job.mkdir()
    results = Results(folder=job / "results")
    assert results.write("lesson", "x", dict[str, int], {"a": 1}) == {"a": 1}
    job.rename(tmp_path / "moved")
    assert results.write("lesson", "x", dict[str, int], {"a": 2}) == {"a": 2}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["moved"]


def test_two_processes_on_one_job_leave_the_same_bytes(folder, contents):
    before = contents(folder)
    for name in ("verdict", "quotes", "build-sheet"):
        (folder / "results" / f"{name}.json").unlink()
    code = (
        "import sys, roomcheck; c = roomcheck.open_job(sys.argv[1]); c.verdict, c.quotes, c.sheet"
    )
    command = [sys.executable, "-c", code, str(folder)]
    running = [subprocess.Popen(command) for _ in range(2)]
    assert [process.wait() for process in running] == [0, 0]
    assert contents(folder) == before


def test_a_stop_from_the_keyboard_leaves_every_file_as_it_was_or_whole(folder, contents):
    whole = contents(folder)
    cheap = ("verdict", "verdict-after", "quotes", "build-sheet")
    # Begun and done: two verdicts, a price for each plan, the sheet.
    events = 2 * (1 + 1 + len(open_job(folder).found) + 1)
    stopped = 0
    for stop_at in range(events + 1):
        for name in cheap:
            (folder / "results" / f"{name}.json").unlink(missing_ok=True)
        seen: list[Progress] = []

        def on_step(step: Progress, stop_at: int = stop_at, seen: list[Progress] = seen) -> None:
            seen.append(step)
            if len(seen) == stop_at + 1:
                raise KeyboardInterrupt

        chain = open_job(folder, on_step=on_step)
        try:
            for name in ("verdict", "verdict_after", "quotes", "sheet"):
                getattr(chain, name)
        except KeyboardInterrupt:
            stopped += 1
        after = contents(folder)
        assert all(after[name] == whole[name] for name in after), stop_at
        assert whole.keys() - after.keys() <= {f"results/{name}.json" for name in cheap}
    assert stopped == events and contents(folder) == whole


def test_the_work_ends_on_request_and_keeps_what_was_finished(folder):
    for name in ("verdict", "quotes"):
        (folder / "results" / f"{name}.json").unlink()
    steps: list[Progress] = []
    chain = open_job(
        folder, on_step=steps.append, stop=lambda: any(s.kind is Activity.PRICE for s in steps)
    )
    assert chain.verdict
    with pytest.raises(Stopped):
        _ = chain.quotes
    assert [step.kind for step in steps] == [Activity.JUDGE, Activity.JUDGE, Activity.PRICE]
    assert (folder / "results" / "verdict.json").exists()
    assert not (folder / "results" / "quotes.json").exists()
    assert open_job(folder).quotes


def test_a_wrong_number_is_refused_before_anything_is_computed(folder, tmp_path):
    steps: list[Progress] = []
    with pytest.raises(NoSuchPlan, match="plan 9: a job has 5 plans at most"):
        _ = open_job(folder, 9, on_step=steps.append).quote
    with pytest.raises(NoSuchPlan, match="plan 0: a job has 5 plans at most, counted from 1"):
        open_job(folder, 0)
    assert steps == []


def test_what_was_offered_stays_with_the_signature(folder):
    chain = open_job(folder)
    with pytest.raises(NotSigned):
        _ = chain.verification
    offered = chain.offered
    assert [offer.plan for offer in offered] == list(chain.plans)
    agreement = chain.sign("Client A", "2026-05-11")
    assert agreement.offered == offered and agreement.plan == chain.plan
    with pytest.raises(AlreadySigned):
        open_job(folder).sign("Client B", "2026-05-12")
    job = folder / "job.toml"
    before = job.read_text("utf-8")
    job.write_text(re.sub("(?m)^budget = .*$", 'budget = "700"', before), encoding="utf-8")
    assert job.read_text("utf-8") != before
    again = open_job(folder)
    assert again.agreement == agreement
    assert again.offered == offered and again.quote == agreement.quote
    signed = next(offer for offer in offered if offer.plan == agreement.plan)
    assert again.quote.total == signed.quote.total != Decimal(0)


def test_an_older_agreement_shows_the_signed_plan_alone(folder):
    from roomcheck.job import signed_path

    chain = open_job(folder)
    chain.sign("Client A", "2026-05-11")
    path = signed_path(folder)
    text = path.read_text("utf-8")
    path.write_text(text[: text.index("[[offered]]")], encoding="utf-8")
    old = open_job(folder)
    assert [offer.plan for offer in old.offered] == [chain.plan]
    assert [offer.plan for offer in open_job(folder, 1).offered] == list(chain.plans)


def test_documents_are_set_again_only_where_something_changed(folder, capsys, contents):
    assert main(["report", str(folder)]) == 0
    first = contents(folder)
    assert "documents/proposal.pdf" in first
    steps: list[Progress] = []
    again = open_job(folder, on_step=steps.append).documents
    assert steps == [] and contents(folder) == first
    assert {path.relative_to(folder).as_posix() for path in again.files} <= first.keys()
    assert len(again.lacking) == 2
    (folder / "documents" / "proposal.html").write_text("mine", encoding="utf-8")
    assert open_job(folder, on_step=steps.append).documents == again
    assert {step.kind for step in steps} == {Activity.READ, Activity.REPORT}
    assert contents(folder) == first
    capsys.readouterr()
    code = "import sys; from roomcheck.cli import main; main(sys.argv[1:]); print(*sys.modules)"
    command = [sys.executable, "-c", code, "report", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert not {"matplotlib", "typst"} & set(done.stdout.splitlines()[-1].split())


def test_a_kept_analysis_is_shown_without_hearing_the_takes(folder, capsys):
    facts = folder / "takes" / "before" / "S1-P1.toml"
    text = facts.read_text("utf-8")
    # Before the facts' tables: what follows a table's name belongs to it.
    facts.write_text(f"flight_s = 0.00621\n{text}", encoding="utf-8")
    shown = ["analyse", str(folder), "--all"]
    assert main(shown) == 0
    first = capsys.readouterr()
    assert "S1 to P1 6.21 ms" in first.out and first.err
    facts.with_suffix(".flac").unlink()
    code = "import sys; from roomcheck.cli import main; main(sys.argv[1:]); print(*sys.modules)"
    command = [sys.executable, "-c", code, *shown]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    text, modules = done.stdout.rstrip().rsplit("\n", 1)
    assert text == first.out.rstrip() and not done.stderr
    assert not {"scipy", "matplotlib"} & set(modules.split())


@pytest.mark.parametrize("plan", [None, 1])
def test_plans_of_a_kind_are_plans(folder: Path, plan: int | None) -> None:
    chain = open_job(folder, plan)
    assert isinstance(chain.plan, Plan)
    assert chain.sheet.sheets and chain.quote.total > 0
