"""What the shop and the installer must know before they begin."""

from __future__ import annotations

SAW = (
    "Saw: fingers stay 6 in (150 mm) off the blade; a stop block clears the blade before the "
    "cut is finished, so that the offcut cannot jam; blocks under 2 in (50 mm) come from a "
    "stick of more than 10 in (250 mm), or its end is held by a clamp, never by hand; guard on, "
    "eyes and ears covered."
)
DUST = (
    "Wood dust harms lungs: extraction at the saw and sander, a fitting mask, vacuum and no "
    "broom. Follow local rules."
)
WOOL = (
    "Mineral wool irritates skin, eyes and airways: gloves, long sleeves, goggles, a fitting "
    "mask; cut it with a knife, wrap the core, read its safety data sheet."
)
LIFT = "Two people lift anything of 50 lb (23 kg) or more, and everything that goes overhead."
FIRE = (
    "Fabric, core, wood and finish each change how a piece burns. Keep the papers of every lot "
    "and ask the fire authority before hanging in a public room; nothing here is a fire class."
)
HIDDEN = (
    "Find wires and pipes before any screw goes in; old walls may hold asbestos or lead: tested "
    "before drilled."
)
OVERHEAD = (
    "Overhead pieces: two independent fixings and a safety tether, into structure, engineered by "
    "a licensed person."
)
DEFER = (
    "Defer to local code and licensed practice. Nothing on these sheets certifies a load or a "
    "fire class."
)
FINISH = (
    "Finishes and glues: air the room, no flame; rags with oil are spread out to dry or kept "
    "under water."
)
