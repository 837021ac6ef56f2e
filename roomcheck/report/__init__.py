"""Documents, figures, and the same blocks on the terminal.

Names are imported when they are first used: a command that shows a table does not wait for the
typesetter.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from roomcheck.report.render.blocks import Block, Bullets, Heading, Text
from roomcheck.report.render.terminal import text_of

if TYPE_CHECKING:
    from roomcheck.report.figures.drawing_files import write_drawings
    from roomcheck.report.figures.room_picture import room_picture
    from roomcheck.report.figures.sketch import Mark, plan_sketch, room_thumb, wall_sketch
    from roomcheck.report.make import (
        AUDIENCES,
        Case,
        Choice,
        NoSuchDocument,
        lacking,
        offer_files,
        report,
        report_files,
        write_files,
    )
    from roomcheck.report.offer.bills import bill_files, bill_name
    from roomcheck.report.offer.front import signature_svg
    from roomcheck.report.pages.certificate import proof_blocks
    from roomcheck.report.pages.noted import found_blocks, hours_blocks
    from roomcheck.report.render.html import html_blocks
    from roomcheck.report.render.player import player_html, player_script
    from roomcheck.report.screens.analyse import analysis_screen, findings_screen
    from roomcheck.report.screens.build import build_blocks, pattern_blocks
    from roomcheck.report.screens.devices import device_blocks
    from roomcheck.report.screens.documents import (
        demo_ending,
        demo_opening,
        files_written,
        packed_blocks,
        unpacked_blocks,
        whole_pack_blocks,
    )
    from roomcheck.report.screens.lists import (
        changed_blocks,
        list_blocks,
        room_blocks,
        undone_blocks,
    )
    from roomcheck.report.screens.photo import corner_texts, fit_texts, measured_texts, photo_blocks
    from roomcheck.report.screens.predict import outlook_blocks
    from roomcheck.report.screens.quote import (
        bill_blocks,
        option_blocks,
        order_blocks,
        quote_blocks,
    )
    from roomcheck.report.screens.recommend import (
        change_blocks,
        plan_blocks,
        plan_hint,
        plans_blocks,
        why_blocks,
    )
    from roomcheck.report.screens.takes import (
        calibrator_blocks,
        noise_blocks,
        piece_blocks,
        take_blocks,
        takes_blocks,
    )
    from roomcheck.report.screens.verify import (
        as_before_blocks,
        lesson_blocks,
        lesson_preview,
        unlearned_blocks,
        verification_blocks,
    )
    from roomcheck.report.screens.visit import sweep_blocks, visit_blocks
    from roomcheck.report.shop_figures.exploded import exploded
    from roomcheck.report.shop_pages.bench import bench_sheets
    from roomcheck.report.shop_pages.one_by_one import (
        GluePanel,
        GlueRow,
        Ticket,
        bar_lines,
        glue_panels,
        piece_reading,
        tickets,
    )
    from roomcheck.report.shop_pages.over_jobs import (
        foretold_blocks,
        no_work_blocks,
        record_blocks,
        unknown_blocks,
        work_blocks,
    )
    from roomcheck.report.shop_pages.shop_files import label_files
    from roomcheck.report.sound.tracks import kept_player
    from roomcheck.report.space.gltf import scene_glb
    from roomcheck.report.space.on_photo import jpeg_of, on_photo

_HOMES = {
    "AUDIENCES": "make",
    "Case": "make",
    "Choice": "make",
    "NoSuchDocument": "make",
    "Mark": "figures.sketch",
    "analysis_screen": "screens.analyse",
    "as_before_blocks": "screens.verify",
    "bench_sheets": "shop_pages.bench",
    "bill_blocks": "screens.quote",
    "findings_screen": "screens.analyse",
    "html_blocks": "render.html",
    "kept_player": "sound.tracks",
    "player_html": "render.player",
    "player_script": "render.player",
    "plan_sketch": "figures.sketch",
    "room_picture": "figures.room_picture",
    "wall_sketch": "figures.sketch",
    "build_blocks": "screens.build",
    "calibrator_blocks": "screens.takes",
    "change_blocks": "screens.recommend",
    "demo_ending": "screens.documents",
    "demo_opening": "screens.documents",
    "device_blocks": "screens.devices",
    "changed_blocks": "screens.lists",
    "exploded": "shop_figures.exploded",
    "no_work_blocks": "shop_pages.over_jobs",
    "record_blocks": "shop_pages.over_jobs",
    "unknown_blocks": "shop_pages.over_jobs",
    "work_blocks": "shop_pages.over_jobs",
    "foretold_blocks": "shop_pages.over_jobs",
    "Ticket": "shop_pages.one_by_one",
    "GlueRow": "shop_pages.one_by_one",
    "GluePanel": "shop_pages.one_by_one",
    "label_files": "shop_pages.shop_files",
    "tickets": "shop_pages.one_by_one",
    "piece_reading": "shop_pages.one_by_one",
    "glue_panels": "shop_pages.one_by_one",
    "bar_lines": "shop_pages.one_by_one",
    "found_blocks": "pages.noted",
    "hours_blocks": "pages.noted",
    "scene_glb": "space.gltf",
    "files_written": "screens.documents",
    "list_blocks": "screens.lists",
    "room_blocks": "screens.lists",
    "undone_blocks": "screens.lists",
    "lacking": "make",
    "lesson_blocks": "screens.verify",
    "lesson_preview": "screens.verify",
    "proof_blocks": "pages.certificate",
    "noise_blocks": "screens.takes",
    "option_blocks": "screens.quote",
    "order_blocks": "screens.quote",
    "outlook_blocks": "screens.predict",
    "pattern_blocks": "screens.build",
    "piece_blocks": "screens.takes",
    "offer_files": "make",
    "plan_blocks": "screens.recommend",
    "plan_hint": "screens.recommend",
    "room_thumb": "figures.sketch",
    "plans_blocks": "screens.recommend",
    "quote_blocks": "screens.quote",
    "report": "make",
    "report_files": "make",
    "signature_svg": "offer.front",
    "sweep_blocks": "screens.visit",
    "packed_blocks": "screens.documents",
    "corner_texts": "screens.photo",
    "fit_texts": "screens.photo",
    "measured_texts": "screens.photo",
    "photo_blocks": "screens.photo",
    "on_photo": "space.on_photo",
    "jpeg_of": "space.on_photo",
    "unpacked_blocks": "screens.documents",
    "whole_pack_blocks": "screens.documents",
    "take_blocks": "screens.takes",
    "takes_blocks": "screens.takes",
    "unlearned_blocks": "screens.verify",
    "verification_blocks": "screens.verify",
    "visit_blocks": "screens.visit",
    "why_blocks": "screens.recommend",
    "bill_files": "offer.bills",
    "bill_name": "offer.bills",
    "write_drawings": "figures.drawing_files",
    "write_files": "make",
}
"""Where the names below are made; add a line here and above for a new one."""

__all__ = [
    "AUDIENCES",
    "Block",
    "Bullets",
    "Case",
    "Choice",
    "GluePanel",
    "GlueRow",
    "Heading",
    "Mark",
    "NoSuchDocument",
    "Text",
    "Ticket",
    "analysis_screen",
    "as_before_blocks",
    "bar_lines",
    "bench_sheets",
    "bill_blocks",
    "bill_files",
    "bill_name",
    "build_blocks",
    "calibrator_blocks",
    "change_blocks",
    "changed_blocks",
    "corner_texts",
    "demo_ending",
    "demo_opening",
    "device_blocks",
    "exploded",
    "files_written",
    "findings_screen",
    "fit_texts",
    "foretold_blocks",
    "found_blocks",
    "glue_panels",
    "hours_blocks",
    "html_blocks",
    "jpeg_of",
    "kept_player",
    "label_files",
    "lacking",
    "lesson_blocks",
    "lesson_preview",
    "list_blocks",
    "measured_texts",
    "no_work_blocks",
    "noise_blocks",
    "offer_files",
    "on_photo",
    "option_blocks",
    "order_blocks",
    "outlook_blocks",
    "packed_blocks",
    "pattern_blocks",
    "photo_blocks",
    "piece_blocks",
    "piece_reading",
    "plan_blocks",
    "plan_hint",
    "plan_sketch",
    "plans_blocks",
    "player_html",
    "player_script",
    "proof_blocks",
    "quote_blocks",
    "record_blocks",
    "report",
    "report_files",
    "room_blocks",
    "room_picture",
    "room_thumb",
    "scene_glb",
    "signature_svg",
    "sweep_blocks",
    "take_blocks",
    "takes_blocks",
    "text_of",
    "tickets",
    "undone_blocks",
    "unknown_blocks",
    "unlearned_blocks",
    "unpacked_blocks",
    "verification_blocks",
    "visit_blocks",
    "wall_sketch",
    "whole_pack_blocks",
    "why_blocks",
    "work_blocks",
    "write_drawings",
    "write_files",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'roomcheck.report' has no attribute {name!r}")
    return getattr(importlib.import_module(f"roomcheck.report.{_HOMES[name]}"), name)
