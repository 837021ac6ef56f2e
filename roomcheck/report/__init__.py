"""Documents, figures, and the same blocks on the terminal.

Names are imported when they are first used: a command that shows a table does not wait for the
typesetter.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

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
    from roomcheck.report.render.blocks import Block, Bullets, Heading, Table, Text
    from roomcheck.report.render.html import html_blocks
    from roomcheck.report.render.names import DOCUMENTS
    from roomcheck.report.render.player import player_html, player_script
    from roomcheck.report.render.terminal import text_of
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
        pairs_blocks,
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
    from roomcheck.report.sound.kept_ears import KEPT_EARS, kept_ears
    from roomcheck.report.sound.tracks import kept_player
    from roomcheck.report.space.gltf import scene_glb
    from roomcheck.report.space.on_photo import jpeg_of, on_photo

__all__ = [
    "AUDIENCES",
    "DOCUMENTS",
    "KEPT_EARS",
    "Block",
    "Bullets",
    "Case",
    "Choice",
    "GluePanel",
    "GlueRow",
    "Heading",
    "Mark",
    "NoSuchDocument",
    "Table",
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
    "kept_ears",
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
    "pairs_blocks",
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

__getattr__, __dir__ = door(__name__)
