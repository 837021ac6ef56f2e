"""Documents that are no longer made are taken away where nobody changed them."""

from __future__ import annotations

from roomcheck.chain.documents import Manifest, _take_away
from roomcheck.chain.inputs import file_digest


def test_what_is_no_longer_made_goes_and_what_somebody_changed_stays(tmp_path):
    (tmp_path / "documents" / "listening").mkdir(parents=True)
    (tmp_path / "takes").mkdir()
    names = (
        "documents/proposal.pdf",
        "documents/quote.pdf",
        "documents/measurement-before.pdf",
        "documents/listening/claps.wav",
        "documents/../takes/S1-P1.pdf",
    )
    for name in names:
        (tmp_path / name).write_text(name)
    before = Manifest(
        files=tuple((name, file_digest(tmp_path / name)) for name in names), lacking=()
    )
    (tmp_path / "documents" / "quote.pdf").write_text("changed by hand")
    _take_away(tmp_path, before, {"documents/measurement-before.pdf"})
    left = [name for name in names if (tmp_path / name).exists()]
    assert left == list(names[1:])
