"""A shop's file is taken along with its logo, wherever that lies."""

from __future__ import annotations

import shutil
import threading
from pathlib import Path

import pytest

from roomcheck.job import (
    FileChanged,
    ThereAlready,
    keep_practice,
    load_job,
    own_shop,
    read_shop,
    write_together,
)

STORY_ROOM = Path(__file__).parents[2] / "roomcheck" / "demo" / "story-room"


@pytest.fixture(params=["mark.svg", "pictures/mark.svg"])
def job(tmp_path, request):
    """A job whose shop file, in the folder above, names a logo."""
    above = tmp_path / "customers" / "2026"
    shutil.copytree(STORY_ROOM, above / "job")
    logo = above / request.param
    logo.parent.mkdir(exist_ok=True)
    (above / "job" / "mark.svg").rename(logo)
    text = (above / "job" / "shop.toml").read_text("utf-8")
    text = text.replace('"mark.svg"', f'"{request.param}"')
    (above / "shop.toml").write_text(text, encoding="utf-8")
    (above / "job" / "shop.toml").unlink()
    return load_job(above / "job")


def test_the_copy_is_read_again_with_its_logo(job):
    write_together(job.folder, own_shop(job))
    again = load_job(job.folder)
    assert again.shop.logo is not None and again.shop.logo.is_relative_to(job.folder)
    assert again.shop.logo.read_bytes() == job.shop.logo.read_bytes()


def test_a_picture_of_the_same_name_is_not_written_over(job):
    own = job.folder / job.shop.logo.relative_to(job.folder.parent)
    own.parent.mkdir(exist_ok=True)
    own.write_bytes(b"a photograph of the room")
    with pytest.raises(ThereAlready):
        write_together(job.folder, own_shop(job))
    assert own.read_bytes() == b"a photograph of the room"
    assert not (job.folder / "shop.toml").exists()


def test_a_setting_and_the_copy_are_one_step(job):
    shop = keep_practice(job, {"stick": "1.515 in"}, {})
    assert load_job(job.folder).shop.practice == shop.practice
    assert shop.practice != job.shop.practice and own_shop(job) == []


def test_a_shop_file_that_changed_meanwhile_is_not_copied(job):
    above = job.folder.parent / "shop.toml"
    text = above.read_text("utf-8")
    above.write_text(text.replace('price = "78.00"', 'price = "79.00"'), encoding="utf-8")
    with pytest.raises(FileChanged):
        write_together(job.folder, own_shop(job))
    assert not (job.folder / "shop.toml").exists()


def test_settings_of_two_at_once_are_both_kept(job):
    write_together(job.folder, own_shop(job))
    job = load_job(job.folder)
    settings = [{"stick": "1.515 in"}, {"clearance": "0.1 in"}]
    threads = [threading.Thread(target=keep_practice, args=(job, one, {})) for one in settings]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    practice = read_shop(job.folder / "shop.toml").practice
    alone = [keep_practice(job, one, {}) for one in settings]
    assert alone[0].practice == alone[1].practice == practice
