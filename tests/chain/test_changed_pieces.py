"""After signing: a change of pieces that the client signs is followed by everything, one that
nobody signed by nothing."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from roomcheck.chain import CannotChange, open_job, pieces_after, propose_change, sign_change
from roomcheck.cli import main
from roomcheck.errors import RoomcheckError
from roomcheck.job import read_changes, read_signed
from roomcheck.plain import from_plain, to_plain
from roomcheck.quote import Agreement, read_change_orders
from roomcheck.recommend import Exchange

WHO = ("Client A", "2026-06-01")


@pytest.fixture
def signed(folder):
    chain = open_job(folder)
    chain.sign("Client A", "2026-05-11")
    return folder


def one_less(folder: Path):
    """A chain, and its pieces without the first that may be left out."""
    chain = open_job(folder)
    gone = chain.plan.pieces[-1].name
    return chain, gone, pieces_after(chain, Exchange(remove=(gone,)))


def outside(contents, folder):
    """What lies in a job beside its kept results."""
    return {name: data for name, data in contents(folder).items() if not name.startswith("results")}


def test_a_signed_change_is_followed_by_everything(signed, contents):
    before = outside(contents, signed)
    chain, gone, pieces = one_less(signed)
    first, agreement = chain.agreement, read_signed(signed).plain
    sheet, total = chain.sheet, chain.quote.total
    order = propose_change(chain, pieces, text="one piece less")
    assert outside(contents, signed) == before  # nobody signed it
    assert open_job(signed).plan == chain.plan and order.total < 0
    kept, files = sign_change(chain, order, *WHO)
    assert kept.job_total == total + order.total and all(path.is_file() for path in files)
    for now in (chain, open_job(signed)):
        assert gone not in {piece.name for piece in now.plan.pieces}
        assert {p.name for p in now.plan.pieces} == {p.name for p in pieces}
        assert now.plan.promise == order.plan.promise != first.plan.promise
        assert now.quote.total == kept.job_total
        assert now.agreement == first and read_signed(signed).plain == agreement
        assert now.changed_by_hand == ()
    assert chain.sheet != sheet and sheet_names(chain.sheet) == {p.name for p in pieces}
    assert chain.kept_sheet() == chain.sheet
    assert chain.verification.bands != open_with(signed, first).bands
    assert chain.offered[-1].plan == chain.plan


def sheet_names(sheet):
    return {name for piece in sheet.sheets for name in piece.names}


def open_with(folder, agreement: Agreement):
    """The verification against what was signed first."""
    from roomcheck.verify import verify

    chain = open_job(folder)
    return verify(chain.job, chain.before, chain.after, agreement)


def test_hard_rules_refuse_and_nothing_is_written(signed, contents):
    before = outside(contents, signed)
    chain = open_job(signed)
    first = chain.plan.pieces[0]
    outside_room = replace(first, place=replace(first.place, u_m=-1.0))
    others = chain.plan.pieces[1:]
    with pytest.raises(CannotChange, match=rf"{first.name}, .* Nothing was changed"):
        propose_change(chain, (outside_room, *others), text="x")
    with pytest.raises(CannotChange, match="stand already"):
        propose_change(chain, chain.plan.pieces, text="x")
    with pytest.raises(CannotChange, match="one name"):
        propose_change(chain, (*others, others[0]), text="x")
    assert outside(contents, signed) == before


def test_a_change_is_signed_whole_or_not_at_all_and_once(signed, contents, monkeypatch):
    from roomcheck.report.offer import bills

    chain, gone, pieces = one_less(signed)
    order = propose_change(chain, pieces, text="one piece less")
    before = outside(contents, signed)

    def failing(*_args):
        raise RoomcheckError("the typesetter fails")

    with monkeypatch.context() as patch:
        patch.setattr(bills, "pdf_of", failing)
        with pytest.raises(RoomcheckError, match="typesetter"):
            sign_change(chain, order, *WHO)
    with pytest.raises(CannotChange, match="needs the name"):
        sign_change(chain, order, " ", "2026-06-01")
    assert outside(contents, signed) == before
    sign_change(chain, order, *WHO)
    with pytest.raises(RoomcheckError, match="signed already"):
        sign_change(open_job(signed), order, *WHO)
    with pytest.raises(CannotChange, match="meanwhile"):
        sign_change(open_job(signed), replace(order, text="in other words"), *WHO)
    assert [one.number for one in read_change_orders(signed)] == [1]
    back = replace(open_job(signed).agreement.plan.pieces[-1], reasons=())
    with pytest.raises(CannotChange, match=f"{gone} was the name of a piece that is gone"):
        propose_change(open_job(signed), (*pieces, back), text="back again")
    assert read_changes(signed)[0].by_hand is False


def test_what_hands_did_to_a_signed_change_is_said_and_refused(signed, capsys):
    chain, _, pieces = one_less(signed)
    sign_change(chain, propose_change(chain, pieces, text="one piece less"), *WHO)
    path = signed / "signed" / "change-1.toml"
    text = path.read_text("utf-8")
    path.write_text(text.replace('text = "one piece less"', 'text = "two"'), "utf-8")
    assert open_job(signed).changed_by_hand == (path,)
    for old, new, says in (
        ('signed_by = "Client A"', 'signed_by = ""', "signed_by"),
        ('face = "', 'face = "no', "needed one of"),
    ):
        path.write_text(text.replace(old, new, 1 if "by" in old else -1), "utf-8")
        with pytest.raises(RoomcheckError, match=says):
            _ = open_job(signed).plan
        assert main(["check", str(signed)]) == 2
        assert says in capsys.readouterr().err


def test_the_command_shows_first_and_signs_with_a_name(signed, capsys):
    gone = open_job(signed).plan.pieces[-1].name
    change = ["quote", str(signed), "--change", "one less", "--remove", gone]
    assert main([*change, "--json"]) == 0
    draft = json.loads(capsys.readouterr().out)
    assert draft["signed_by"] == "" and not (signed / "signed" / "change-1.toml").exists()
    assert main([*change, "--sign", WHO[0], "--date", WHO[1]]) == 0
    shown = capsys.readouterr().out
    assert "left out" in shown and "All together from then on" in shown
    assert main(["quote", str(signed), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["total"] == str(
        open_job(signed).agreement.quote.total + read_change_orders(signed)[0].total
    )
    page = (signed / "documents" / "change-1.html").read_text("utf-8")
    assert gone in page and "Promise from then on" in page
    for word in ("margin", "markup", "burden"):
        assert word not in page.split("<body>")[1].lower()
    assert main(["quote", str(signed), "--remove", gone]) == 2
    assert "--remove goes with --change" in capsys.readouterr().err
    order = read_change_orders(signed)[0]
    assert from_plain(type(order), to_plain(order)) == order
