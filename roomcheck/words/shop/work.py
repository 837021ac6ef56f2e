"""The shop's plan in words: work, days, the site, the van, patterns of diffusers."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import Fact, fact
from roomcheck.words.reader import Reader
from roomcheck.words.saying import register, sentence
from roomcheck.words.shop.steps import counted
from roomcheck.workshop import FixingKind, Packing, Pattern, SiteStep, Task, Work

_OVERNIGHT_H = 12
"""What waits so long waits until the next day. [h]"""


def task_text(task: Task, reader: Reader) -> str:
    """One piece's work on one day, with its hours."""
    work = sentence(task.work, reader)
    if task.partly:
        work += ", part"
    if not task.piece:
        return work
    text = f"{task.piece}: {work} ({task.hours.normalize():f} h)"
    return f"{text}, then it dries overnight" if task.wait_hours >= _OVERNIGHT_H else text


def _install(reader: Reader, *, people: int) -> str:
    return "install, 1 person" if people == 1 else f"install, {people} people"


register(
    {
        Work.ACCLIMATISE: (
            "before day 1 the wood lies {days} days in the room's air; meanwhile jigs, papers, "
            "cloth"
        ),
        Work.BOX_AND_FILL: "box and fill",
        Work.CORE: "core",
        Work.CUT: "cut",
        Work.CUT_BLOCKS: "cut blocks",
        Work.CUT_TRIANGLES: "cut triangles",
        Work.FABRIC: "fabric",
        Work.FINISH: "finish",
        Work.FRAME: "frame",
        Work.FRONT: "front",
        Work.GLUE_UP: "glue up",
        Work.INSTALL: _install,
        Work.LAY_AND_GLUE: "lay and glue",
        Work.RIP_AND_CUT: "rip and cut",
        Work.SAND_STICKS: "sand sticks",
        Work.OWN: "{name}",
    }
)

register(
    {
        SiteStep.PROTECT: "Protect the floor; clear and light the wall.",
        SiteStep.FIND_FRAMING: (
            "Find and mark studs and joists, wires and pipes; compare with the sheet before the "
            "first hole."
        ),
        SiteStep.LEVEL_LINE: (
            "Mark one level line for each row of equal pieces; check the cleat line against a "
            "scrap hooked into the real piece. Above shoulder height from a ladder on level "
            "ground, "
            "footed, belt between its rails."
        ),
        SiteStep.CLEATS: "Fix all cleats: screws in a zigzag, in every stud as many as it says, "
        "pilot holes in the studs, goggles on. Stop on metal, or where it is "
        "no stud.",
        SiteStep.TEST_CLEATS: (
            "Tap-test every cleat; load the first with twice the piece's weight for one minute, "
            "and stand clear (it proves nothing lasting). A stud that is not where the sheet says: "
            "stop, mark it, and do what stands below of studs elsewhere."
        ),
        SiteStep.HANG: (
            "Hang the pieces, two people where the sheet says two, both on the ground or on a "
            "platform, nobody under the piece; slide them to their left edges and no further than "
            "the "
            'sheet allows; shim until plumb; levels within {1/16"|1.5 mm} over a row.'
        ),
        SiteStep.LOCK: "In public rooms lock each piece with a screw through its cleat.",
        SiteStep.SET_POINTS: (
            "Mark lift points and safety wires from the ceiling's sheet, plumb; open the first one "
            "to see the structure. Fix them as the licensed person's approval says, from a "
            "platform, goggles on, nobody below; a point that is not where the sheet has it: stop, "
            "ask."
        ),
        SiteStep.RAISE: (
            "Two people or a lift raise each piece; the first wire is closed before a hand lets "
            'go. Level it by its wires within {1/8"|3 mm}, close every shackle and every safety '
            "wire, then tug each one. Nobody stands under it until all are closed."
        ),
        SiteStep.RECORD: (
            "Take photographs with a tape in the picture; then measure again at the stored places."
        ),
    }
)


def _pieces(reader: Reader, *, count: int, piece: str, names: Sequence[str]) -> str:
    return f"{count} × {piece}: {', '.join(names)}"


def _anchors(reader: Reader, *, count: int, fixing: FixingKind) -> str:
    # From a file that was kept, the kind comes as its text.
    kind = sentence(fact(FixingKind(fixing)), reader)
    return f"{count} of the {kind} and a tenth more, with their drill bits"


def _hanging_sets(reader: Reader, *, points: int, wires: int) -> str:
    return f"{counted(points, 'hanging set')} and {counted(wires, 'safety wire')}, swages and tool"


def _loading(reader: Reader, *, faces: Sequence[str]) -> str:
    order = ", then ".join(faces)
    return f"loaded last wall first: {order}; cleats, tools and floor cover on top of everything"


def _cleats(reader: Reader, *, count: int) -> str:
    return (
        f"{counted(count, 'wall cleat')}, marked with the piece's name, and a scrap of one to "
        "hook in"
    )


register(
    {
        Packing.PIECES: _pieces,
        Packing.CLEATS: _cleats,
        Packing.RAILS: "rail {name}, {long_m:size}, for {names:and}, painted like the wall",
        Packing.SCREWS: "{count} screws {screw} × {length_m:size} and a tenth more",
        Packing.ANCHORS: _anchors,
        Packing.HANGING_SETS: _hanging_sets,
        Packing.LADDER: "ladder or platform of the right height, and someone to foot it",
        Packing.SECOND_PERSON: "a second person, and a strip to carry the weight meanwhile",
        Packing.TOOLS: (
            "level line, tape, stud finder with magnet, probe, pilot drills, shims, pencil, floor "
            "cover, vacuum"
        ),
        Packing.PROTECTION: "goggles, masks, gloves, ear protection, first aid",
        Packing.WRAPPING: (
            "every piece wrapped: film or clean paper on cloth, cardboard on corners, faces to "
            "faces, backs to backs; upright, strapped, nothing on a relief"
        ),
        Packing.LOADING: _loading,
        Packing.TOUCH_UP: (
            "touch-up kit: finish and brush, wax stick, wood filler, sandpaper, spare cloth and "
            "staples, filler and paint for a wrong hole in the wall, damp rag"
        ),
        Packing.MICROPHONE: "microphone, stand, recorder, the list of stored places",
    }
)


def _repeating(every_rows: int | None, every_columns: int | None) -> str:
    return f", repeated every {every_columns} columns and {every_rows} rows" if every_rows else ""


def _residues(
    reader: Reader,
    *,
    prime: int,
    every_rows: int | None = None,
    every_columns: int | None = None,
) -> str:
    return f"quadratic residues of {prime}{_repeating(every_rows, every_columns)}"


def _root(
    reader: Reader,
    *,
    root: int,
    prime: int,
    fold_rows: int,
    fold_columns: int,
    every_rows: int | None = None,
    every_columns: int | None = None,
) -> str:
    return (
        f"primitive root {root} of {prime}, folded into {fold_rows} × {fold_columns}"
        f"{_repeating(every_rows, every_columns)}"
    )


register(
    {
        Pattern.DRAWN: "balanced draw, seed {seed}",
        Pattern.RESIDUES: _residues,
        Pattern.ROOT: _root,
        Pattern.WELLS_RESIDUES: "{wells} wells, quadratic residues of {prime}",
        Pattern.WELLS_ROOT: "{wells} wells, powers of a primitive root of {prime}",
        Pattern.WELLS_OWN: "{wells} wells, depths of the shop's own",
    }
)


def pattern_in_short(pattern: Fact[Pattern], reader: Reader) -> str:
    """A pattern on one line of a table; a star where it repeats over the panel."""
    values = {name: value for name, value in pattern.values if not name.startswith("every_")}
    name = sentence(fact(pattern.kind, **values), reader)
    return f"{name}*" if pattern.get("every_rows") else name
