"""Captions, axes and the texts that stand for pictures."""

from __future__ import annotations

FIGURES: dict[str, str] = {
    "fig_measured": "measured, bars: 95 %",
    "fig_target": "target range",
    "fig_promised": "promised",
    "fig_modal": "modes: not judged",
    "fig_unmatched": "explained by no mode of the room",
    "fig_others": "other positions",
    "fig_transition": "modes below, reverberation above",
    "fig_no_decay": "no decay above the noise",
    "fig_curve": "decay curve",
    "fig_noise": "noise",
    "fig_no_cause": "?",
    "fig_then": " then ",
    "fig_or_other": "{faces} or …",
    "mode_axial": "axial",
    "mode_tangential": "tangential",
    "mode_oblique": "oblique",
    "axis_hz": "frequency [Hz]",
    "axis_mode_decay": "time for 60 dB [s]",
    "axis_map_level": "level [dB re loudest]",
    "axis_map_time": "time after the onset [s]",
    "axis_level": "level [dB, relative]",
    "axis_still": "energy remaining [dB]",
    "axis_after": "time after the onset [s]",
    "low_title": "Below the transition frequency: modes",
    "cap_modes": (
        "How long each mode rings, with its 95 % range. Dots: axial, squares: tangential, "
        "triangles: oblique, crosses: explained by no mode of a room of this size."
    ),
    "alt_modes": "Chart of the decay of each mode: {values}.",
    "cap_map": (
        "How each low note dies away from {source} to {microphone}; each step of grey is 6 dB. A "
        "dark streak is a note that rings."
    ),
    "alt_map": (
        "Map of level over frequency and time from {source} to {microphone}. What rings: {values}."
    ),
    "alt_map_none": "no single note",
    "response_title": "Frequency response",
    "cap_response": (
        "Level at each frequency, smoothed over 1/12 octave (1/24 below 200 Hz), relative to the "
        "mean of 250 Hz to 2 kHz. Bold: the seat."
    ),
    "alt_response": "Chart of level over frequency at {count} places. {values}.",
    "alt_response_ends": "{source} to {microphone}: lowest {low}, highest {high}",
    "cap_curves": (
        "Decay curves from {source} to {microphone}, all on the same axes, each with its T20, the "
        "lines of the T20 and T30 fits and the noise floor."
    ),
    "alt_curves": (
        "Charts of the decay curve of each octave from {source} to {microphone}. T20: {values}."
    ),
    "head_mode": "Mode [Hz]",
    "head_decay": "Decay [s]",
    "head_q": "Q [1]",
    "head_late": "After 150 ms [dB]",
    "head_which": "Standing wave",
    "note_modes": (
        "After 150 ms: level above the median of the neighbouring frequencies. Standing wave: "
        "the one that the room's dimensions predict there."
    ),
    "sure": "Certainty: {text}",
    "see_decays": "See the chart of decays above.",
    "see_modes": "See the chart of modes and the decay map below.",
    "see_response": "See the frequency response below.",
    "axis_octave": "octave band [Hz]",
    "axis_decay": "decay T20 [s]",
    "axis_delay": "after the direct sound [ms]",
    "axis_relative": "level, 1 to 8 kHz [dB re direct sound]",
    "fig_limit": "limit: {db} dB within {ms} ms",
    "fig_named": "from a surface",
    "fig_unnamed": "from no known surface",
    "alt_reflections": (
        "Level over time after the direct sound from {source} to {microphone}, with arrivals: "
        "{values}."
    ),
    "cap_reflections": (
        "What arrives after the direct sound from {source} to {microphone}, 1 to 8 kHz, "
        "corrected for the loudspeaker. Numbers as in the table and the drawings below."
    ),
    "reflections_title": "Early reflections and where they come from",
    "head_number": "No.",
    "head_delay": "Delay [ms]",
    "head_level": "Level [dB]",
    "head_surface": "Surface, and where on it",
    "note_reflections": (
        "Level relative to the direct sound, good to 1 dB where nothing else arrives within half "
        "a millisecond. Delays are matched to image sources of first and second order; those "
        "within 0.3 ms of one another are named together. Places on a wall are good to a hand's "
        "breadth."
    ),
    "cap_paths": "First-order reflections off the walls, numbered, from above.",
    "cap_points": "Where to hold the mirror: {face}.",
    "alt_decays": (
        "Chart of the decay T20 per octave band against the limits of the target: {values}."
    ),
    "alt_change": "Bar chart of the decay T20 per octave band before and after the work: {values}.",
    "alt_mid": (
        "Two bars: the mid-band decay before, {before} s, and after, {after} s; promised "
        "{promised} s."
    ),
    "alt_room": "{room} seen from above a corner, near walls left out, with {things}.",
    "cap_room": "The room, seen from above; the walls on the near side are left out.",
    "cap_room_dashed": "Dashed: what hangs on those and on the ceiling.",
    "cap_room_places": "Triangles and circles: where we measured.",
    "cap_room_unnamed": "No room for the names of {names}; the walls' own drawings have them.",
    "alt_apart": "{piece}, drawn apart: its parts from back to front.",
    "cap_apart": (
        "{piece}, drawn apart: from the back on the right to the front on the left; not to scale."
    ),
    "part_times": "{part} × {count}",
    "alt_plan": "Floor plan of {room}, {sizes}, with {things}.",
    "alt_elevation": "{face}, seen from inside, {sizes}, with {things}.",
    "alt_piece": "{name} ({size}, {left} from the left, {bottom} from the bottom)",
    "wall_named": "{name} wall",
    "no_pieces": "nothing hung",
    "cap_decays": (
        "Decay T20 in each octave band. Dots: measured, with the 95 % range. Grey: the target "
        "range ({use})."
    ),
    "cap_change": (
        "Decay T20 in each octave band before (hatched) and after (grey). Dashed lines: what was "
        "promised."
    ),
    "cap_plan": (
        "Floor plan, seen from above. Triangles: where the test sound was played. Circles: where "
        "it was recorded; the filled one is the seat that matters. Dashed: on the ceiling."
    ),
    "cap_plan_pieces": "Floor plan, seen from above. Grey: on the walls. Dashed: on the ceiling.",
    "cap_photo_under": "Under it the photograph of the wall, straightened.",
    "cap_elevation": (
        "{face}, seen from inside the room. Distances from the left corner and from the floor, to "
        "the edges of the pieces."
    ),
    "cap_ceiling": (
        "{face}, drawn as on the floor plan, from above. Looking up, left and right are swapped. "
        "Distances from the {left} and {front} walls."
    ),
    "cap_marks": "×: where sound from that source bounces to the seat.",
    "cap_framing": "Dash-dotted: studs or joists.",
    "corner_with": "corner with {wall}",
    "cap_face_flat": "{face}, drawn from above. Distances from the corner at the bottom left.",
}
