"""A signed price on the command line: what was signed stands, whatever prices have become."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

import roomcheck
from roomcheck.cli import main
from roomcheck.job import read_signed

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"


@pytest.fixture
def signed(tmp_path):
    folder = tmp_path / "job"
    shutil.copytree(STORY_ROOM, folder)
    return folder


def test_a_signed_price_stays_when_wood_gets_dearer(signed, capsys):
    shop = signed / "shop.toml"
    shop.write_text(shop.read_text("utf-8").replace('price = "78.00"', 'price = "178.00"'), "utf-8")
    assert main(["quote", str(signed), "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert shown["total"] == str(read_signed(signed).plain["quote"]["total"])
    assert main(["quote", str(signed)]) == 0
    assert "As signed by Client A" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["--paid", "5"], "--paid goes with --invoice"),
        (["--order", "PO-17"], "--order goes with --invoice"),
        (["--cost", "70"], "--cost goes with --change"),
        (["--days", "2"], "--days goes with --change"),
    ],
)
def test_what_would_be_left_unread_is_refused(arguments, word, signed, capsys):
    assert main(["quote", str(signed), *arguments]) == 2
    assert word in capsys.readouterr().err
