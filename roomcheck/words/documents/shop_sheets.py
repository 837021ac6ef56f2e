"""Words of the shop's and the installer's sheets."""

from __future__ import annotations

SHOP_SHEETS: dict[str, str] = {
    "shop_title": "Shop and install sheets",
    "shop_sub": "{title}: {plan}",
    "shop_only": "For the shop only: these pages show costs.",
    "first": "Before anything else",
    "buy": "Buy list",
    "head_need": "Needed",
    "head_waste": "With waste",
    "head_packs": "Packs",
    "head_cost": "Cost",
    "head_left": "Left",
    "cuts": "Cut list",
    "head_part": "Part",
    "head_stock": "From",
    "head_count": "Pieces",
    "head_hangs": "Called",
    "head_length": "Length",
    "head_width": "Width",
    "head_note": "Note",
    "steps_of": "{piece}: steps",
    "caution": "Caution",
    "piece_facts": "{count} × {piece}: {names}. Each {weight}; {hours} h for all of them.",
    "jigs": "Jigs, before the first piece",
    "jigs_say": "From offcuts: not on the buy list. Each is tried on one piece before the batch.",
    "labels": "Labels",
    "label_top": "TOP ↑ FRONT is the other side",
    "label_made_up": "MADE UP: {title}",
    "label_place": "{face}, {left} from the left",
    "label_level": "top at {top}",
    "label_far": "far edge at {far}",
    "label_cleat": "wall cleat {length}, {face}",
    "label_rail": "rail {length}, {face}, for {names}",
    "name_on_rail": "{name} ({rail})",
    "screws_of_rail": "with {name}",
    "label_bevel": "bevel up, point into the room",
    "label_stack": "{count} × {part}",
    "label_for": "{piece}: {names}",
    "row_map": "Row map",
    "alt_piece_drawing": "{piece}, front, back, side and two sections with parts {letters}",
    "cap_piece": (
        "{piece}, drawn. Letters are those of the cut list. Sections are cut where the numbered "
        "strokes stand; the broken ones leave out what repeats. Dashed: the wall's cleat, which "
        "stays on the wall."
    ),
    "head_letter": "",
    "walls_title": "Wall sheets",
    "walls_say": (
        "The room as it was typed, before anything was measured: nothing here says what the "
        "pieces do. Find and probe every stud before drilling."
    ),
    "walls_all": "Every wall",
    "cap_bare": (
        "Seen from inside, in the room; distances from the left corner and from the floor. Above: "
        "studs. Crossed: openings; dashed: what must stay clear."
    ),
    "cap_wall": (
        "Seen from inside, in the room; distances from the left corner and from the floor. Left "
        "side: bottom edges of cleats, and tops. Above: studs with screws. White: cleat, with its "
        "screws."
    ),
    "cap_overhead": (
        "Drawn as on the floor plan, from above: looking up, left and right are swapped. Circles: "
        "lift points; crosses: safety wires."
    ),
    "cap_unnamed": "Without room for a name: {names}.",
    "alt_wall": "{face} to scale, with {names}, studs, cleats, screws and dimensions",
    "half_from": "{name} reaches over from {wall}: its marks stand on that sheet.",
    "studs_off_title": "A stud is elsewhere, the wall leans:",
    "studs_off": (
        "mark the real studs first. A cleat goes where its screws meet as many studs as the table "
        "names, and its piece with it, by no more than {most} from the mark to either side: the "
        "promise counts with that. The slide on the cleat evens out gaps and nothing else. Fewer "
        "studs behind it, or further off: hang nothing, ring the shop. Where the wall leans or "
        "bulges, pack behind the cleat at its studs with solid shims, screws through them no "
        "longer than the table's depth in wood allows; pack the bottom strip until the piece is "
        "plumb."
    ),
    "moved_title": "Moved to meet their studs:",
    "moved_already": "{name} {side} (from here at most {left} to the left, {right} to the right).",
    "of_face": "{what}: {face}",
    "in_mm": "{what}, in mm",
    "turned": "turned",
    "turned_names": (
        "Hang the long way across: {names}. Turn the drawing; their cleats and bottom strips run "
        "along the long sides."
    ),
    "cleat_for": "{note}: {names}",
    "other_half": "{name}, other half",
    "round_corner": "and on {wall}",
    "sheet_of": "sheet {number} of {all}",
    "view_front": "FRONT",
    "view_bare": "FRONT, cloth left off",
    "view_back": "BACK",
    "view_side": "SIDE",
    "section_up": "SECTION 1, up the piece ({scale})",
    "corner_plan": "IN ITS CORNER, from above ({scale})",
    "section_across": "SECTION 2, across it, from above ({scale})",
    "row_short": "row {row}",
    "steps_inches": "Heights in inches",
    "steps_numbers": "Heights by number: {steps}",
    "head_row": "Row",
    "head_done": "Done",
    "head_blocks": "Heights, left to right",
    "head_row_counts": "Blocks {steps}",
    "counts": "Blocks to cut: {counts}.",
    "hang": "Hanging lines",
    "hang_ceiling_says": (
        "Left and far edge as on the floor plan, from above: looking up, left and right are "
        "swapped. Joists: find and probe each one before drilling."
    ),
    "head_piece": "Piece",
    "head_size": "Size",
    "head_left_edge": "Left",
    "head_top": "Top",
    "head_far": "Far edge",
    "head_studs": "Studs",
    "head_joists": "Joists",
    "head_drop": "Hangs down",
    "head_bottom": "Underside",
    "head_points": "Lift points",
    "head_wires": "Safety wires",
    "across_corner": "{name} goes across the corner: on the {face} wall from {left} to the corner.",
    "strips_held": (
        "{name}: its strip on the {face} takes {fixings}; no load and no ratio is given."
    ),
    "point": "{along} / {across}",
    "fixing_steel_anchor": "anchor for steel studs",
    "fixing_masonry_anchor": "anchor for masonry",
    "fixing_concrete_anchor": "anchor for concrete",
    "lift_says": (
        "Lift points and safety wires: from the left edge and from the near edge of the ceiling, "
        "in "
        "the plan. Each lift point is plumb over the middle of a frame board; hangs down: from the "
        "ceiling to the top of the frame, the length of its wire once level. No load and no ratio "
        "stands here: a licensed person approves points, hardware and structure first."
    ),
    "day": "The day",
    "totals": "In all: {weight}; {build} h in the shop, {install} h on site.",
    "bench_title": "Build sheets",
    "planning": (
        "Prices, hours and weights come from the file that roomcheck ships: planning values, not "
        "yours. Put your own into shop.toml."
    ),
    "from_rack": "rack {number}",
    "with_reserve": "{packs}, and {reserve} to bring back",
    "reserve_says": (
        "To bring back: taken along against knots, bow and splits, not in the cost; what stays "
        "whole goes back."
    ),
    "unpriced": "Not on this list, because shop.toml has no price for it: {items}.",
    "tickets": "Cut tickets",
    "tickets_say": (
        "One line per stop setting, longest first. Set it, cut one, measure it, then cut the "
        "rest. Stop: from the near side of the blade. Tick each line when its bin is full. "
        'Cuts, joints and holes: within {1/16"|1.5 mm}; cloth and wrapping: within {1/4"|5 mm}'
        "."
    ),
    "head_stop": "Stop",
    "head_for": "For",
    "bars_say": (
        "What comes out of each bar. {trim} off each end first; {kerf} goes with every cut{hold}."
    ),
    "bars_hold": "; {hold} stay in the clamp",
    "bars_proved": "No plan takes less.",
    "bars_open": "A plan with less may exist; none was found.",
    "head_bars": "Bars",
    "head_parts": "Parts out of one",
    "head_left_over": "Left",
    "offcut": "offcut on the rack",
    "rips": "Sheets: rip, then crosscut",
    "rips_say": "Fence: width of the strip. Strips are in the order they come off the sheet.",
    "head_sheet": "Sheet",
    "head_fence": "Fence",
    "head_crosscuts": "Crosscuts, in order",
    "cloth": "Fabric off the roll",
    "cloth_says": "{item}: {length} off a roll {roll} wide. Each line is one cut across the roll.",
    "head_along": "Along the roll",
    "head_side_by_side": "Side by side: across × along",
    "rack": "Back on the rack",
    "rack_says": "Long enough to use again: pencil length and job on each.",
    "days": "Days",
    "head_day": "Day",
    "head_place": "Where",
    "head_work": "Work",
    "head_hours": "Hours",
    "place_shop": "shop",
    "place_site": "on site",
    "pick": "For the van",
    "waits": "{name}, then {hours} h to dry",
    "facts_array": "Blocks",
    "facts_outside": "Outside, with frame",
    "facts_outside_plain": "Outside",
    "facts_pattern": "Pattern",
    "facts_works": "Scatters",
    "facts_works_says": "about {low} to {high} Hz, planning range",
    "facts_diffusion": "Evenness",
    "facts_diffusion_says": (
        "{told} (normalised diffusion against a flat panel: 1 is even; far-field model, to choose "
        "by)"
    ),
    "facts_weight": "Weight of one",
    "facts_weight_says": "{weight}; its parts make {made}",
    "facts_tuned": "Resonates",
    "facts_tuned_says": "about {hz} Hz by a closed form: build one and measure it",
    "facts_finish": "Finish",
    "facts_finish_says": "{area} a coat",
    "facts_hours": "Hours",
    "facts_over": "{size} over what was asked",
    "facts_under": "{size} under what was asked",
    "facts_depths": "Wells, from the left",
    "map_mirror": (
        "Seen from the FRONT, top row first, left to right. {unit}; 0 is no block. Looking at the "
        "back, or laying face down, everything is mirrored: turn the map, not the panel."
    ),
    "laid_title": "How each panel is laid, from the top down",
    "head_laid": "Rows of the map, the top one first",
    "head_read": "Read each row",
    "laid_as_drawn": "from left to right, as drawn",
    "laid_mirrored": "from right to left",
    "map_columns": "Columns {first} to {last} of {all}, seen from the front",
    "fetch_of": "{piece}: blocks to fetch, four rows at a time",
    "head_rows": "Rows",
    "head_so_far": "So far",
    "marks": "Marks",
    "cleats": "Cleats and screws",
    "head_right_edge": "Right",
    "head_off_centre": "Off centre",
    "head_cleat_line": "Cleat at",
    "head_cleat_from": "From",
    "head_cleat_long": "Long",
    "head_hook": "Hook",
    "head_slide": "Slides",
    "head_screws": "Screws",
    "head_depth": "In wood",
    "head_ratio": "Ratio",
    "off_left": "{size} left",
    "off_right": "{size} right",
    "on_centre": "centred",
    "marks_say": (
        "Off centre: the piece's middle from the wall's middle. Left and right within {1/4\"|5 mm}"
        ', tops and cleat lines level within {1/16"|1.5 mm}.'
    ),
    "cleats_title": "Columns of the cleats:",
    "cleats_say": (
        "At: its bottom edge above the floor, by the planned hook; hook a scrap of cleat "
        "into the real "
        "piece, measure down to it, move the line if that differs. Slides: no further, once hung. "
        "Ratio: under {least} refused, never an approval."
    ),
    "ratio_title": "What a ratio counts:",
    "ratio_says": (
        'Screws: an equal number in each of the studs named, in a zigzag from {5/8"|16 mm} above '
        "the cleat's lower edge over {1 1/2\"|38 mm}. The heavier of the file's weight and the "
        "drawn parts', and the cleat; {1/4\"|6 mm} off its mark; the turning moment, on "
        "one "
        "stud by those screws' spacing, on more by the studs' distances; the 45° bevel's push off "
        "the wall, as much as the weight, about the cleat's lower edge, or the piece's depth about "
        "its bottom strip where that is more. Screws alone carry, in spruce-pine-fir, after the "
        "wood screw rules of AWC NDS and TR 12 (from memory); gypsum and friction carry nothing. "
        "Wood studs alone get a ratio: elsewhere the anchor's published approval and a licensed "
        "person decide."
    ),
    "refused": "Do not hang as drawn",
    "rows_title": "Row:",
    "order": "Order of work",
    "bill_title": "Invoice {number}",
    "bill_number": "Invoice",
    "bill_order": "Your order",
    "bill_report": "Measured",
    "bill_report_says": "certificate of before and after",
    "bill_terms": "Terms",
    "bill_tax": "Tax",
    "bill_tax_pct": "Tax, {pct} %",
    "bill_paid": "Paid so far",
    "bill_ahead": "Paid beyond earlier invoices",
    "bill_billed": "On earlier invoices",
    "bill_not_yet": "Due when the result is measured: not billed yet",
    "bill_credit": "In your favour, goes back to you",
    "bill_credit_title": "Credit note {number} for invoice {credits}",
    "bill_credit_number": "Credit note",
    "bill_from": "From",
    "bill_due_on": "Due on",
    "bill_pay_to": "Pay to",
    "bill_tax_id": "Tax number",
    "bill_retained": "Held back until the last open point is done, {pct} %",
    "bill_due": "Due now",
    "bill_lien": (
        "Where local law asks for a notice of lien with an invoice, it is attached separately."
    ),
    "change_title": "Change order {number}",
    "change_what": "What changes",
    "change_days": "Days added to the schedule: {days}.",
    "change_signed": "Agreed by {name} on {day}, before the work.",
    "change_pieces": "Pieces",
    "change_added": "new",
    "change_removed": "left out",
    "change_exchanged": "another piece",
    "change_moved": "hung elsewhere",
    "head_change_name": "Piece",
    "head_change_what": "What",
    "head_change_was": "Was",
    "head_change_now": "Now",
    "change_at": "{piece}, {face}, {left} from the left, {bottom} up",
    "change_corner": "{piece}, corner left of the {face}, {bottom} up",
    "change_promise": "Promise from then on",
    "change_mid": "Mean decay {range} s, measured again as agreed.",
    "change_before": "Until then [s]",
    "change_unreached": "With these pieces the target is not reached as surely as was asked.",
    "change_total": "All together from then on",
    "change_draft": "Nothing is signed and nothing was changed. To sign: --sign NAME.",
    "our_price": "What it costs us",
    "our_price_says": (
        "For the shop alone. Cost {cost}; margin {margin}, which is {margin_pct} % of the price, "
        "or {markup_pct} % on top of the cost. The client pays {net} before tax."
    ),
    "head_step": "Payment",
    "stands": "This offer stands for {days} days.",
    "head_tax": "Tax",
    "all_pieces": "All",
    "screen_build": (
        "Build {pieces}: {weight} in all, {build} h in the shop, {install} h on site."
    ),
    "screen_build_rest": (
        "Cut lists, steps, saw tickets, days and every caution: roomcheck build --all, and the "
        "shop sheets. Read the cautions before you begin. Nothing here certifies a load, an anchor "
        "or a fire class."
    ),
    "screen_patterns": (
        "{piece}: normalised diffusion against a flat panel, best mean first (1 is even)"
    ),
    "screen_patterns_note": (
        "* repeats over the panel: even in sum, with lobes at single frequencies. Far-field model "
        "without edges and losses: good enough to choose by, no promise. Take one with --pattern "
        '"quadratic residues 7", or --seed N for a draw.'
    ),
    "screen_quote": "{total} with tax.",
    "screen_signed": "As signed by {name} on {day}, with all changes since.",
    "screen_options": "Options, prices with tax",
    "screen_due": "Due now: {due} of {total}.",
    "screen_change": "Change {number}: {total} with tax, {days} days more.",
    "head_plan": "Plan",
    "head_total": "Total",
    "head_mean": "Mean",
    "head_stick": "Stick",
}
