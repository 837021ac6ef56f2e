"""Words that stand on the terminal alone."""

from __future__ import annotations

SCREENS: dict[str, str] = {
    "ready": "ready",
    "not_yet": "not yet",
    "missing": "missing: {what}",
    "missing_as_before": "missing: what {stage} needs",
    "to_note": "note: {what}",
    "job_is_made": "{file} is made: {volume}, {use}.",
    "fill_in": "Fill in the rest, its comments explain it; then: roomcheck check {folder}",
    "compare_anyway": "To judge all the same, and have the result say so: --compare-anyway",
    "verify_all": "Notes, clarity, reflections and standing waves, before and after: --all",
    "learned_from": (
        "Learned from: {jobs}. Kept in {path}; to undo: --unlearn. Other jobs use it from now on."
    ),
    "unlearned": "What {job} taught was taken out of {path}.",
    "nothing_learned": "{job} had taught nothing to {path}.",
    "files_in": "{count} files written, in {folder}",
    "not_made": "Not made yet",
    "demo_made_up": (
        "Everything here is made up: no such client, no such room; the recordings are simulated."
    ),
    "demo_your_own": "With a recording of your own",
    "demo_go_on": (
        "roomcheck new my-room – make the job folder; fill in source, microphone and visit as its "
        "comments say|roomcheck sweep my-sweep.wav – make a file to play in the room while a "
        "recorder runs, and its facts|roomcheck add my-room REC.wav --visit before --source S1 "
        "--microphone P1 --sweep my-sweep.toml – take in the recording|roomcheck analyse my-room – "
        "see what is wrong"
    ),
    "lack_before": "measurement report: no recordings of the visit before the work",
    "lack_after": "measurement report of the visit after the work: no recordings of it yet",
    "lack_proposal": (
        "proposal: needs plans with their prices, and those need the visit before the work"
    ),
    "lack_shop": "shop and install sheets: need a plan with its build sheet",
    "lack_listening": "files to listen to: need a recording of either visit",
    "lack_certificate": "certificate: needs the signed agreement and a measurement after the work",
}
