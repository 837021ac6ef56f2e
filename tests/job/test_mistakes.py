"""Every mistake of a job file, with its line, what was found, and what was meant."""

from __future__ import annotations

import pytest

from roomcheck.job import CannotRead, FileMistakes, NewerFile, load_job

NORTH_OUTLET = '[[keep_clear]]\nname = "outlet north"'
RUG = '[[patch]]\nname = "rug"\nface = "floor"\nmaterial = "double glazing"\n'
AGAIN = (
    '[[patch]]\nname = "curtain"\nface = "south"\nmaterial = "double glazing"\n'
    'left = "9\'"\nbottom = "5\'"\nwidth = "2\'"\nheight = "2\'"\n\n'
)

# What the person typed instead; the line that must be named, as the text that stands in it; what
# must be said.
MISTAKES = {
    "unknown key": (
        'height = "8\' 6\\""',
        'heigth = "8\' 6\\""',
        "heigth =",
        "did you mean `height`?",
    ),
    "unknown key in a table of a list": (
        "opening = true",
        "openning = true",
        "openning",
        "`opening`?",
    ),
    "unknown key, nothing near": (
        'paper = "letter"',
        'paper = "letter"\nzebra = 1',
        "zebra",
        "`zebra` in the file is unknown",
    ),
    "unknown table": (
        '[[fixing]]\nface = "ceiling"',
        '[[fixings]]\nface = "ceiling"',
        "[[fixings]]",
        "did you mean `fixing`?",
    ),
    "missing key": ('title = "Story room"\n', "", "[client]", "[client] needs `title`"),
    "missing key of a list": (
        'kind = "outlet"\nleft = "2\' 6',
        "left = \"2' 6",
        NORTH_OUTLET,
        "[[keep_clear]] needs `kind`",
    ),
    "missing top key": ('units = "imperial"\n', "", "# MADE UP", "needs `units`"),
    "missing table": (
        '[use]\nroom = "meeting room"',
        "#\n#",
        "# MADE UP",
        "the file needs the table [use]",
    ),
    "missing clearance of a detector": (
        'clearance = "36 in"',
        "#",
        '[[keep_clear]]\nname = "smoke detector"',
        "needs `clearance`",
    ),
    "single brackets": (
        '[[fixing]]\nface = "ceiling"\nrule = "screws"\n\n[[fixing]]',
        "[fixing]",
        "[fixing]",
        "write [[fixing]]",
    ),
    "double brackets": ("[use]", "[[use]]", "[[use]]", "write [use]"),
    "not a table": ("[client]\n", "[x]\n", "[x]", "`x` in the file is unknown"),
    "wrong type, text": (
        'title = "Story room"',
        "title = 3",
        "title = 3",
        "`title` is 3; it must be text",
    ),
    "blank text": ('title = "Story room"', 'title = " "', 'title = " "', "not blank"),
    "wrong type, flag": ("made_up = true", 'made_up = "yes"', "made_up =", "true or false"),
    "wrong type, whole number": (
        "people = 1\n",
        'people = "1"\n',
        'people = "1"',
        "a whole number, 0 or more",
    ),
    "wrong type, number": ("amount = 2", 'amount = "2"', 'amount = "2"', "a number above 0"),
    "bare number": (
        'length = "14\' 6\\""',
        "length = 14.5",
        "length = 14.5",
        '"14.5 in" or "14.5 m"',
    ),
    "bare number in quotes": (
        'z = "4\' 11\\""\n\n[[source]]',
        'z = "4.9"\n\n[[source]]',
        'z = "4.9"',
        "has no unit",
    ),
    "no length": (
        'width = "11\' 10\\""',
        'width = "wide"',
        'width = "wide"',
        '"wide"'.replace('"', "'") + " is not a length",
    ),
    "money as a number": (
        'budget = "2200"',
        "budget = 4200",
        "budget =",
        "`budget` is 4200; it must be money as text",
    ),
    "money with a comma": (
        'budget = "2200"',
        'budget = "4,200"',
        "budget =",
        "4,200 may be 4200 or 4.200",
    ),
    "temperature without unit": (
        'temperature = "70 °F"',
        "temperature = 70",
        "temperature = 70",
        '"70 °F" or "21 °C"',
    ),
    "temperature of no room": (
        'temperature = "70 °F"',
        'temperature = "70 °C"',
        '"70 °C"',
        "-40 °C to 60 °C",
    ),
    "humidity above 100": ('humidity = "45 %"', 'humidity = "145 %"', "145", "from 0 % to 100 %"),
    "a day that is none": ('"2026-05-04"', '"2026-02-30"', "2026-02-30", "a day that exists"),
    "unknown unit system": (
        'units = "imperial"',
        'units = "imperal"',
        "units =",
        'did you mean "imperial"?',
    ),
    "unknown use": ('"meeting room"', '"meetng room"', "meetng", 'did you mean "meeting room"'),
    "unknown material": (
        'ceiling = "gypsum board on studs"',
        'ceiling = "gypsum bord on studs"',
        "bord",
        '"gypsum board on studs"',
    ),
    "material of no wall": (
        'floor = "thin',
        'nord = "double glazing"\nfloor = "thin',
        "nord =",
        "did you mean `north`?",
    ),
    "material by the piece": (
        'material = "double glazing"',
        'material = "upholstered chair"',
        'material = "upholstered',
        "by the piece",
    ),
    "unknown face": (
        'face = "south"\nmaterial',
        'face = "soth"\nmaterial',
        '"soth"',
        'did you mean "south"',
    ),
    "unknown kind": (
        'kind = "smoke detector"',
        'kind = "smoke detektor"',
        "detektor",
        '"smoke detector"',
    ),
    "unknown rule": (
        'rule = "nothing"',
        'rule = "never"',
        '"never"',
        'one of "screws", "adhesive", "grid", "nothing"',
    ),
    "unknown visit": (
        'name = "after"',
        'name = "afterwards"',
        "afterwards",
        'did you mean "after"',
    ),
    "room of no size": (
        'length = "14\' 6\\""',
        'length = "0 ft"',
        'length = "0 ft"',
        "must be above 0",
    ),
    "negative height": (
        'height = "8\' 6\\""',
        'height = "-8\' 6\\""',
        'height = "-8',
        "must be above 0",
    ),
    "a room of another unit": (
        'width = "11\' 10\\""',
        'width = "1110 ft"',
        '"1110 ft"',
        "is the unit right?",
    ),
    "negative place": ('left = "4\' 2\\""', 'left = "-2 in"', '"-2 in"', "must be 0 or more"),
    "window wider than its wall": (
        'width = "5\'"',
        'width = "15\'"',
        'width = "15',
        "larger than south (174.0 in, 4.420 m)",
    ),
    "window partly off its wall": (
        'left = "4\' 2\\""',
        'left = "10\'"',
        'left = "10',
        "6.0 in, 0.152 m beyond the right edge of south",
    ),
    "door higher than its wall": (
        'height = "6\' 8\\""',
        'height = "9\'"',
        'height = "9',
        "larger than east (102.0 in",
    ),
    "vent off the ceiling": (
        'bottom = "3\'"\nwidth = "12 in"',
        'bottom = "11\' 8\\""\nwidth = "12 in"',
        "11' 8",
        "beyond the far edge of ceiling",
    ),
    "two patches overlap": (
        NORTH_OUTLET,
        AGAIN + NORTH_OUTLET,
        AGAIN.partition("\nface")[0],
        '"curtain" and "window" overlap on south by 0.031 m2',
    ),
    "duplicate name": (
        'name = "outlet south"',
        'name = "outlet west"',
        'name = "outlet west"\nface = "west"',
        "a second [[keep_clear]]",
    ),
    "duplicate framing": (
        '[[framing]]\nface = "east"',
        '[[framing]]\nface = "south"',
        'face = "south"\nkind = "wood studs"\nsheathing = "1/2 in"\nspacing = "16 in"\nfirst = "15',
        "a second [[framing]]",
    ),
    "duplicate visit": (
        'name = "after"',
        'name = "before"',
        'name = "before"\ndate = "2026-06',
        "a second [[visit]]",
    ),
    "position outside": (
        'x = "10\' 10\\""',
        'x = "15 ft"',
        'x = "15 ft"',
        "outside the room: 0.000 m to 4.420 m",
    ),
    "position on the floor": (
        'z = "4\' 11\\""\n\n[[source]]',
        'z = "0 m"\n\n[[source]]',
        'z = "0 m"',
        "outside the room",
    ),
    "two at one place": (
        'x = "3\' 4\\""\ny = "3\' 4\\""\nz = "4\' 11\\""',
        'x = "7\' 10\\""\ny = "4\' 2\\""\nz = "1.2 m"',
        '[[source]]\nname = "S1"',
        '"S1" stands where "P2" stands',
    ),
    "name that is no file name": ('name = "P3"', 'name = "P/3"', "P/3", "letters, digits, space"),
    "seat that is no microphone": (
        'seat = "P1"',
        'seat = "P4"',
        "seat =",
        'no [[microphone]]; it must be one of "P1", "P2", "P3"',
    ),
    "first stud beyond the wall": (
        'first = "13 in"',
        'first = "13 ft"',
        "13 ft",
        "beyond the right edge of west",
    ),
    "schema that never was": ("schema = 2", "schema = 0", "schema = 0", "1 or more"),
    "schema missing": ("schema = 2\n", "", "# MADE UP", "needs `schema`"),
    "visits of furniture": (
        "amount = 2",
        'amount = 2\nvisits = ["befor"]',
        "befor",
        'did you mean "before"',
    ),
}


def found(folder, text) -> tuple:
    (folder / "job.toml").write_text(text, encoding="utf-8")
    with pytest.raises(FileMistakes) as caught:
        load_job(folder)
    return caught.value.mistakes


def line_of(text: str, part: str) -> int:
    assert part in text
    return text[: text.index(part)].count("\n") + 1


@pytest.mark.parametrize(("old", "new", "where", "said"), MISTAKES.values(), ids=MISTAKES)
def test_a_mistake_has_its_line_and_what_was_meant(folder, story_text, old, new, where, said):
    assert old in story_text
    text = story_text.replace(old, new, 1)
    mistakes = found(folder, text)
    at = line_of(text, where)
    fitting = [m for m in mistakes if said in m.text]
    assert fitting, [str(m) for m in mistakes]
    lines = {m.line for m in fitting}
    last_of_it = at + where.count("\n")  # a table's own line, or that of the key in it
    assert lines & set(range(at, last_of_it + 1)), (at, [str(m) for m in mistakes])
    assert str(fitting[0]) in str(FileMistakes(str(folder), mistakes))


@pytest.mark.parametrize(
    "kind",
    [
        "unknown key",
        "bare number",
        "unknown material",
        "duplicate visit",
        "position outside",
        "single brackets",
        "missing table",
    ],
)
def test_one_mistake_is_said_once(folder, story_text, kind):
    old, new, *_ = MISTAKES[kind]
    assert len(found(folder, story_text.replace(old, new, 1))) == 1


def test_a_broken_room_hides_no_other_mistake(folder, story_text):
    kinds = [
        "negative height",
        "unknown material",
        "unknown kind",
        "bare number in quotes",
        "money as a number",
    ]
    text = story_text
    for kind in kinds:
        old, new, *_ = MISTAKES[kind]
        text = text.replace(old, new, 1)
    assert len(found(folder, text)) == len(kinds)


def test_all_mistakes_come_at_once_in_the_order_of_the_lines(folder, story_text):
    kinds = [
        "unknown unit system",
        "money as a number",
        "unknown use",
        "bare number",
        "unknown kind",
        "humidity above 100",
    ]
    text = story_text
    for kind in kinds:
        old, new, *_ = MISTAKES[kind]
        text = text.replace(old, new, 1)
    mistakes = found(folder, text)
    assert len(mistakes) == len(kinds)
    assert [m.line for m in mistakes] == sorted(m.line for m in mistakes)
    assert {m.line for m in mistakes} == {line_of(text, MISTAKES[kind][2]) for kind in kinds}


def test_mistakes_of_both_files_come_together(folder, story_text):
    from roomcheck.job.read.shop_file import DEFAULT

    shop = DEFAULT.read_text(encoding="utf-8").replace('kerf = "1/8 in"', "kerf = 3")
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    mistakes = found(folder, story_text.replace('units = "imperial"', 'units = "feet"'))
    assert [(m.file, m.line) for m in mistakes] == [
        ("job.toml", line_of(story_text, "units =")),
        ("shop.toml", line_of(shop, "kerf =")),
    ]


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        ('[["0 m", "0 m"], ["4 m", "3 m"], ["4 m", "0 m"], ["0 m", "3 m"]]', "crosses itself"),
        (
            '[["0 m", "0 m"], ["4 m", "0 m"], ["4 m", "0 m"], ["0 m", "3 m"]]',
            "corners 2 and 3 are the same place",
        ),
        ('[["0 m", "0 m"], ["4 m", "0 m"], ["2 m", "0 m"], ["0 m", "3 m"]]', "runs back along"),
        ('[["0 m", "0 m"], ["4 m", "0 m"]]', "three corners or more"),
        (
            '[["0 m", "0 m"], ["4 m"], ["4 m", "3 m"], ["0 m", "3 m"]]',
            "corner 2 must be its x and y",
        ),
        (
            '[["0 m", "0 m"], ["4", "0 m"], ["4 m", "3 m"], ["0 m", "3 m"]]',
            "corner 2: '4' is not a length",
        ),
        ('[["0 m", "0 m"], ["4 m", "0 m"], ["2 m", "3 m"]]', "4 names for 3 walls"),
    ],
)
def test_an_impossible_plan_is_refused(folder, story_text, plan, said):
    names = 'walls = ["street", "hall", "yard", "office"]'
    text = story_text.replace('length = "14\' 6\\""', f"corners = {plan}").replace(
        'width = "11\' 10\\""', names, 1
    )
    mistakes = found(folder, text)
    at = line_of(text, "walls = [") if "names" in said else line_of(text, "corners =")
    assert any(said in m.text and m.line == at for m in mistakes), [str(m) for m in mistakes]


def test_a_corner_of_a_long_list_has_its_own_line(folder, story_text):
    plan = 'corners = [\n  ["0 m", "0 m"],\n  ["4 m", "0 m"],\n  ["4 m", "3"],  # here\n  ["0 m", "3 m"],\n]'
    names = 'walls = ["street", "hall", "yard", "office"]'
    text = story_text.replace('length = "14\' 6\\""', plan).replace(
        'width = "11\' 10\\""', names, 1
    )
    assert [m.line for m in found(folder, text) if "corner 3" in m.text] == [
        line_of(text, "# here")
    ]


def test_a_rug_across_a_notch_of_the_floor_is_refused(folder, story_text):
    plan = '[["0 m", "0 m"], ["4 m", "0 m"], ["4 m", "2 m"], ["2 m", "2 m"], ["2 m", "3 m"], ["0 m", "3 m"]]'
    head = story_text.partition("[[patch]]")[0].replace('seat = "P1"', "")
    text = head.replace('length = "14\' 6\\""', f"corners = {plan}")
    text = text.replace('width = "11\' 10\\""', 'walls = ["a", "b", "c", "d", "e", "f"]')
    text += RUG + 'left = "1 m"\nbottom = "1 m"\nwidth = "2 m"\nheight = "1.5 m"\n'
    (only,) = found(folder, text)
    assert "floor plan has a corner there" in only.text and only.line == line_of(text, "[[patch]]")


@pytest.mark.parametrize(
    ("old", "new", "hint"),
    [
        ('length = "14\' 6\\""', 'length = "14\' 6""', 'an inch mark inside quotes is written \\"'),
        ('units = "imperial"', "units = imperial", "text stands in quotes"),
        ('title = "Story room"', 'title = "Story room', "not TOML"),
        ("[use]", "[use", "not TOML"),
        ("schema = 2", "schema = 2\nschema = 2", "not TOML"),
    ],
)
def test_what_is_not_toml_has_its_line_and_a_hint(folder, story_text, old, new, hint):
    text = story_text.replace(old, new, 1)
    (only,) = found(folder, text)
    assert hint in only.text and only.line == line_of(text, new) + new.count("\n")


def test_two_lines_that_are_not_toml_are_both_named(folder, story_text):
    text = story_text.replace('units = "imperial"', "units = imperial").replace(
        '6 in"\nheight', "6 in\nheight", 1
    )
    text = text.replace('length = "14\' 6\\""', 'length = "14\' 6""')
    assert {line_of(text, "units ="), line_of(text, "length =")} <= {
        m.line for m in found(folder, text)
    }


def test_a_newer_file_asks_for_an_update(folder, story_text):
    (folder / "job.toml").write_text(
        story_text.replace("schema = 2", "schema = 3\nnews = 1"), encoding="utf-8"
    )
    with pytest.raises(NewerFile, match=r"made by a newer roomcheck.*Update") as caught:
        load_job(folder)
    assert (caught.value.found, caught.value.known) == (3, 2)


def test_a_file_of_another_encoding_has_its_line(folder, story_text):
    (folder / "job.toml").write_bytes(story_text.encode("latin-1"))
    with pytest.raises(
        CannotRead, match=f"line {line_of(story_text, '°')}: byte 0xb0 is not UTF-8"
    ):
        load_job(folder)
