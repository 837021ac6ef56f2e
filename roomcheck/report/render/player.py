"""The player of a page: rooms heard one against the other, switched without a gap.

`player_html` makes the elements that `report/sound/player.js` brings to life: a document carries
the script inside itself, a served page links `player_script`'s text as a file of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from importlib.resources import files

from roomcheck.report.render.blocks import Player, Track
from roomcheck.report.render.escape import escape
from roomcheck.words import say


@lru_cache(maxsize=1)
def player_script() -> str:
    """The script, a module without imports; every element with `data-player` becomes a player."""
    return (files("roomcheck.report") / "sound" / "player.js").read_text("utf-8")


def player_html(player: Player, name: str) -> str:
    """A player as elements of a page.

    Parameters
    ----------
    player : Player
        Its tracks' addresses may be of files or `data:` itself.
    name : str
        Begins the names of its buttons; another one for each player of a page.

    Returns
    -------
    str
        Without scripts each file is there with the browser's own buttons.
    """
    rooms = list(dict.fromkeys(track.room for track in player.tracks))
    sounds = list(dict.fromkeys(track.sound for track in player.tracks))
    notes = "".join(f'<p class="small">{escape(note)}</p>' for note in player.notes)
    files_html = "".join(_file(track, rooms, sounds) for track in player.tracks)
    return f"""<section class="player" data-player aria-labelledby="{name}-title">
<h2 id="{name}-title">{escape(player.title)}</h2>
<div data-controls hidden>
{_choice("room", say("player_room"), rooms, name)}
{_choice("sound", say("player_sound"), sounds, name)}
<p class="go"><button type="button" data-play>{_button()}</button>
<label><input type="checkbox" data-even> {say("player_even")}</label></p>
<p class="small">{say("player_keys")}</p>
</div>
{notes}
<details><summary>{say("player_files")}</summary>
<ul class="files">{files_html}</ul>
</details>
</section>"""


def _button() -> str:
    play = f'<span data-when="stopped">▶ {say("player_play")}</span>'
    return f'{play}<span data-when="playing" hidden>■ {say("player_stop")}</span>'


def _choice(kind: str, title: str, choices: Sequence[str], name: str) -> str:
    inside = ""
    for i, choice in enumerate(choices):
        checked = "" if i else " checked"
        inside += (
            f'<label><input type="radio" name="{name}-{kind}" data-{kind} value="{i}"{checked}> '
            f"<span>{escape(choice)}</span></label>"
        )
    return f"<fieldset><legend>{title}</legend>{inside}</fieldset>"


def _file(track: Track, rooms: Sequence[str], sounds: Sequence[str]) -> str:
    words = escape(f"{track.sound}, {track.room}")
    return (
        f'<li>{words}<br><audio controls preload="none" aria-label="{words}" '
        f'data-room="{rooms.index(track.room)}" data-sound="{sounds.index(track.sound)}" '
        f'data-even-gain="{track.even_gain:.4f}" src="{escape(track.address)}"></audio></li>'
    )
