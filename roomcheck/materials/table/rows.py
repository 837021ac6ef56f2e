"""The rows themselves: key, title, books, and the octaves from 125 Hz to 4 kHz.

B, L, C and V are the books of `table.BOOKS`. The rows were read from copies of three of the books,
made twice, and from open data that carry the fourth's annex, not from the printed pages.
"""

from __future__ import annotations

from typing import NamedTuple


class MaterialRow(NamedTuple):
    """One line of a handbook's table."""

    key: str
    title: str
    books: str
    values: tuple[float, ...]


def _rows(lines: str) -> dict[str, MaterialRow]:
    found = {}
    for line in lines.strip().splitlines():
        key, title, books, values = (part.strip() for part in line.split("|"))
        found[key] = MaterialRow(key, title, books, tuple(float(v) for v in values.split()))
    return found


COEFFICIENTS = _rows("""
gypsum board on studs               | Gypsum board 1/2 in on 2x4 studs                               | BLC | 0.29 0.10 0.05 0.04 0.07 0.09
plasterboard, empty cavity          | Plasterboard 13 mm, 100 mm empty cavity                        | C   | 0.08 0.11 0.05 0.03 0.02 0.03
plasterboard, filled cavity         | Plasterboard 13 mm, 100 mm cavity with mineral wool            | C   | 0.30 0.12 0.08 0.06 0.06 0.05
double plasterboard, filled cavity  | 2 x 13 mm plasterboard on steel frame with wool, painted       | CV  | 0.15 0.10 0.06 0.04 0.04 0.05
plasterboard ceiling, large void    | Plasterboard ceiling on battens, large air space above         | V   | 0.20 0.15 0.10 0.08 0.04 0.02
brick                               | Brick, unglazed                                                | LC  | 0.03 0.03 0.03 0.04 0.05 0.07
painted brick                       | Brick, unglazed, painted                                       | LC  | 0.01 0.01 0.02 0.02 0.02 0.03
smooth concrete                     | Concrete, smooth, unpainted                                    | CV  | 0.01 0.01 0.02 0.02 0.02 0.05
rough concrete                      | Concrete, rough                                                | CV  | 0.02 0.03 0.03 0.03 0.04 0.07
coarse concrete block               | Concrete block, coarse                                         | C   | 0.36 0.44 0.31 0.29 0.39 0.25
painted concrete block              | Concrete block, painted                                        | LC  | 0.10 0.05 0.06 0.07 0.09 0.08
plaster on brick                    | Plaster on brick                                               | BLC | 0.013 0.015 0.02 0.03 0.04 0.05
plaster on lath                     | Plaster, smooth, on lath                                       | C   | 0.14 0.10 0.06 0.04 0.04 0.03
heavy plate glass                   | Glass, heavy plate                                             | BC  | 0.18 0.06 0.04 0.03 0.02 0.02
window glass                        | Glass, ordinary window                                         | BC  | 0.35 0.25 0.18 0.12 0.07 0.04
double glazing                      | Double glazing, gap above 30 mm                                | CV  | 0.15 0.05 0.03 0.03 0.02 0.02
double glazing, narrow gap          | Double glazing, gap 10 mm                                      | V   | 0.10 0.07 0.05 0.03 0.02 0.02
solid wooden door                   | Solid wooden door                                              | BCV | 0.14 0.10 0.06 0.08 0.10 0.10
plywood panelling                   | Plywood panelling 10 mm                                        | C   | 0.28 0.22 0.17 0.09 0.10 0.11
plywood panelling, filled cavity    | Plywood 3-4 mm, cavity above 75 mm, 25-50 mm wool              | C   | 0.50 0.30 0.10 0.05 0.05 0.05
wood panelling, air behind          | Wood panel 9.5-12.7 mm, 50-100 mm air                          | LC  | 0.30 0.25 0.20 0.17 0.15 0.10
wood floor on joists                | Wood floor on joists                                           | BLC | 0.15 0.11 0.10 0.07 0.06 0.07
parquet on concrete                 | Parquet in asphalt on concrete                                 | LC  | 0.04 0.04 0.07 0.06 0.06 0.07
linoleum on concrete                | Linoleum or vinyl on concrete                                  | BLC | 0.02 0.03 0.03 0.03 0.03 0.02
concrete floor                      | Concrete or terrazzo floor                                     | LC  | 0.01 0.01 0.015 0.02 0.02 0.02
glazed tile                         | Marble or glazed tile                                          | BC  | 0.01 0.01 0.01 0.01 0.02 0.02
heavy carpet on concrete            | Carpet, heavy, on concrete                                     | BC  | 0.02 0.06 0.14 0.37 0.60 0.65
heavy carpet on felt                | Carpet, heavy, on 1.35 kg/m2 felt or foam                      | BC  | 0.08 0.24 0.57 0.69 0.71 0.73
thin carpet on concrete             | Carpet, thin, cemented to concrete                             | CV  | 0.02 0.04 0.08 0.20 0.35 0.40
carpet on underlay                  | Carpet 6 mm on open-cell underlay                              | BCV | 0.03 0.09 0.20 0.54 0.70 0.72
light curtain, flat                 | Curtain, light velour 0.338 kg/m2, flat on the wall            | BL  | 0.03 0.04 0.11 0.17 0.24 0.35
medium curtain, draped              | Curtain, medium velour 0.475 kg/m2, draped to half area        | BLC | 0.07 0.31 0.49 0.75 0.70 0.60
heavy curtain, draped               | Curtain, heavy velour 0.61 kg/m2, draped to half area          | BL  | 0.14 0.35 0.55 0.72 0.70 0.65
glass fibre 25 mm                   | Glass fibre 25 mm, rigid backing                               | C   | 0.08 0.25 0.45 0.75 0.75 0.65
glass fibre 50 mm                   | Glass fibre 50 mm, rigid backing                               | C   | 0.21 0.50 0.75 0.90 0.85 0.80
glass fibre 75 mm                   | Glass fibre 75 mm, rigid backing                               | C   | 0.35 0.65 0.80 0.90 0.85 0.80
glass fibre 100 mm                  | Glass fibre 100 mm, rigid backing                              | C   | 0.45 0.90 0.95 1.00 0.95 0.85
wool 48 kg/m3, 50 mm                | Glass or rock wool 48 kg/m3, 50 mm                             | B   | 0.30 0.80 1.00 1.00 1.00 1.00
wool 48 kg/m3, 100 mm               | Glass or rock wool 48 kg/m3, 100 mm                            | B   | 0.65 1.00 1.00 1.00 1.00 1.00
glass fibre board 48 kg/m3, 50 mm   | Glass-fibre board 48 kg/m3, 50 mm, on the wall                 | L   | 0.22 0.82 1.21 1.10 1.02 1.05
glass fibre board 48 kg/m3, 100 mm  | Glass-fibre board 48 kg/m3, 100 mm, on the wall                | L   | 0.84 1.24 1.24 1.08 1.00 0.97
glass fibre board 96 kg/m3, 50 mm   | Glass-fibre board 96 kg/m3, 50 mm, on the wall                 | L   | 0.19 0.74 1.17 1.11 1.01 1.01
faced glass fibre board, 50 mm      | Glass-fibre board 2 in, faced with foil and paper, on the wall | L   | 0.51 0.65 0.86 0.71 0.49 0.26
mineral wool 40 kg/m3, 50 mm        | Mineral wool 40 kg/m3, 50 mm, glued to the wall                | CV  | 0.15 0.70 0.60 0.60 0.85 0.90
mineral wool 70 kg/m3, 300 mm off   | Mineral wool 70 kg/m3, 50 mm, 300 mm from the wall             | CV  | 0.70 0.45 0.65 0.60 0.75 0.65
rock wool 40 kg/m3, 50 mm           | Rock wool 40 kg/m3, 50 mm                                      | V   | 0.23 0.59 0.86 0.86 0.86 0.86
rock wool 80 kg/m3, 50 mm           | Rock wool 80 kg/m3, 50 mm                                      | V   | 0.22 0.60 0.92 0.90 0.88 0.88
fabric-covered panel                | Fabric-covered panel, 6 pcf core                               | V   | 0.46 0.93 1.00 1.00 1.00 1.00
foam 25 mm                          | Polyurethane foam 25 mm                                        | C   | 0.16 0.25 0.45 0.84 0.97 0.87
mineral tile, direct fixed          | Mineral tile 13 mm, direct fixed                               | B   | 0.10 0.25 0.70 0.85 0.70 0.60
mineral tile, suspended             | Mineral tile 13 mm, 500 mm below the slab                      | B   | 0.75 0.70 0.65 0.85 0.85 0.90
mineral-fibre ceiling tile          | Mineral-fibre tile 5/8 in, suspended 400 mm                    | L   | 0.68 0.76 0.60 0.65 0.82 0.76
fissured ceiling tile               | Fissured ceiling tile                                          | V   | 0.49 0.53 0.53 0.75 0.92 0.99
perforated gypsum, 300 mm void      | Perforated gypsum 27 mm, 16 % open, 300 mm void                | V   | 0.45 0.55 0.60 0.90 0.86 0.75
metal or wood chairs                | Metal or wood chairs, empty                                    | BL  | 0.15 0.19 0.22 0.39 0.38 0.30
upholstered chairs in rows          | Moderately upholstered chairs, empty, 0.90 m x 0.55 m each     | V   | 0.44 0.56 0.67 0.74 0.83 0.87
students in tablet-arm chairs       | Students in tablet-arm chairs                                  | L   | 0.30 0.41 0.49 0.84 0.87 0.84
audience on wooden seats, 1 per m2  | Audience on wooden seats, 1 per m2                             | CV  | 0.16 0.24 0.56 0.69 0.81 0.78
audience on wooden seats, 2 per m2  | Audience on wooden seats, 2 per m2                             | CV  | 0.24 0.40 0.78 0.98 0.96 0.87
standing audience                   | Standing audience, 2.7 per m2                                  | C   | 0.23 0.46 0.95 1.21 1.20 1.14
rendered brickwork                  | Brickwork, rendered                                            | V   | 0.01 0.02 0.02 0.03 0.03 0.04
brickwork, deep joints              | Smooth brickwork, joints 10 mm deep                            | V   | 0.08 0.09 0.12 0.16 0.22 0.24
limestone                           | Limestone walls                                                | V   | 0.02 0.02 0.03 0.04 0.05 0.05
lime wash                           | Rough lime wash                                                | V   | 0.02 0.03 0.04 0.05 0.04 0.03
single glazing, 3 mm                | Single pane of glass, 3 mm                                     | V   | 0.08 0.04 0.03 0.03 0.02 0.02
leaded glazing                      | Lead glazing                                                   | V   | 0.30 0.20 0.14 0.10 0.05 0.05
wooden lining on frame              | Wooden lining 12 mm, fixed on a frame                          | V   | 0.27 0.23 0.22 0.15 0.10 0.07
thin plywood                        | Thin plywood panelling                                         | V   | 0.42 0.21 0.10 0.08 0.06 0.06
wood on studs                       | Wood 16 mm on 40 mm studs                                      | V   | 0.18 0.12 0.10 0.09 0.08 0.07
stage floor                         | Stage floor, 2 layers, 27 mm over air                          | V   | 0.10 0.07 0.06 0.06 0.06 0.06
needle felt on concrete             | Needle felt 5 mm stuck to concrete                             | V   | 0.02 0.02 0.05 0.15 0.30 0.40
tufted carpet on felt               | Tufted pile carpet 9 mm on felt underlay                       | V   | 0.08 0.08 0.30 0.60 0.75 0.80
carpet on closed-cell foam          | Carpet 6 mm pile, bonded to closed-cell foam                   | V   | 0.03 0.09 0.25 0.31 0.33 0.44
soft carpet on concrete             | Soft carpet 10 mm on concrete                                  | V   | 0.09 0.08 0.21 0.26 0.27 0.37
rubber carpet on concrete           | Rubber carpet 5 mm on concrete                                 | V   | 0.04 0.04 0.08 0.12 0.10 0.10
light curtain 200 g/m2, 90 mm off   | Curtain 0.2 kg/m2, 90 mm from the wall                         | V   | 0.05 0.06 0.39 0.63 0.70 0.73
cotton curtain, little folded       | Cotton 0.33 kg/m2, folded to 7/8 area                          | V   | 0.03 0.12 0.15 0.27 0.37 0.42
cotton curtain, some folds          | Cotton 0.5 kg/m2, folded to 3/4 area, 130 mm from the wall     | V   | 0.30 0.45 0.65 0.56 0.59 0.71
dense window curtain                | Densely woven window curtain, 90 mm from the wall              | V   | 0.06 0.10 0.38 0.63 0.70 0.73
velvet curtain, tight               | Velvet curtain, tight                                          | V   | 0.05 0.12 0.35 0.45 0.38 0.36
curtain, 150 mm off, flat           | Curtain fabric, flat, 150 mm from the wall                     | V   | 0.10 0.38 0.63 0.52 0.55 0.65
curtain, 150 mm off, folded         | Curtain fabric, folded, 150 mm from the wall                   | V   | 0.12 0.60 0.98 1.00 1.00 1.00
studio curtain                      | Studio curtain, 220 mm from the wall                           | V   | 0.36 0.26 0.51 0.45 0.62 0.76
vertical blinds, half open          | Vertical blinds at 45 degrees, 150 mm from the wall            | V   | 0.03 0.09 0.24 0.46 0.79 0.76
wooden chairs                       | Wooden chairs without cushion, 2 per m2                        | V   | 0.05 0.08 0.10 0.12 0.12 0.12
plastic chairs                      | Plastic chairs, empty, 2 per m2                                | V   | 0.06 0.10 0.10 0.20 0.30 0.20
medium upholstered chairs in rows   | Medium upholstered chairs, empty, 2 per m2                     | V   | 0.49 0.66 0.80 0.88 0.82 0.70
heavily upholstered chairs in rows  | Heavily upholstered chairs, empty, 2 per m2                    | V   | 0.70 0.76 0.81 0.84 0.84 0.81
audience, 1 per m2                  | Audience, 1 person per m2                                      | V   | 0.16 0.29 0.55 0.80 0.92 0.90
audience, 2 per m2                  | Audience, 2 persons per m2                                     | V   | 0.26 0.46 0.87 0.99 0.99 0.99
audience on upholstered chairs      | Audience on moderately upholstered chairs, 0.90 m x 0.55 m     | V   | 0.55 0.86 0.83 0.87 0.90 0.87
fabric-covered panel, heavy core    | Fabric-covered panel, 8 pcf core                               | V   | 0.21 0.66 1.00 1.00 0.97 0.98
perforated gypsum, 100 mm void      | Perforated gypsum, 19.6 % open, holes 15 mm, web, 100 mm void  | V   | 0.30 0.69 1.00 0.81 0.66 0.62
open-jointed facing brick           | Facing brick with open joints                                  | V   | 0.04 0.14 0.49 0.35 0.31 0.36
acoustical plaster 25 mm            | Acoustical plaster, about 25 mm                                | V   | 0.17 0.36 0.66 0.65 0.62 0.68
melamine wedge ceiling tile         | Wedge-shaped melamine foam ceiling tile                        | V   | 0.12 0.33 0.83 0.97 0.98 0.95
hanging foam baffles, 400 mm apart  | Hanging foam panels, 400 mm deep, 400 mm apart                 | V   | 0.25 0.45 0.80 0.90 0.85 0.80
hanging foam baffles, 700 mm apart  | Hanging foam panels, 400 mm deep, 700 mm apart                 | V   | 0.20 0.30 0.60 0.75 0.70 0.70
wood well diffuser                  | One-dimensional well diffuser, 7 wells, 500 Hz, bare           | C   | 0.11 0.10 0.07 0.08 0.06 0.06
cloth-covered well diffuser         | One-dimensional well diffuser, 7 wells, cloth covered          | C   | 0.13 0.14 0.20 0.24 0.20 0.23
wood block diffuser                 | Two-dimensional diffuser, 7 x 7, 500 Hz, bare                  | C   | 0.14 0.12 0.14 0.20 0.09 0.12
cloth-covered block diffuser        | Two-dimensional diffuser, 7 x 7, 500 Hz, cloth covered         | C   | 0.16 0.17 0.28 0.41 0.26 0.30
egg boxes                           | Egg boxes                                                      | C   | 0.01 0.07 0.43 0.62 0.51 0.70
""")  # noqa: E501, RUF100
"""Coefficients by key. [1]"""

AREAS = _rows("""
person seated                       | One person, seated                                             | B   | 0.23 0.37 0.44 0.45 0.45 0.45
person standing                     | One person, standing                                           | B   | 0.15 0.37 0.43 0.44 0.44 0.43
""")  # noqa: E501, RUF100
"""Equivalent absorption areas of one piece by key. [m2]"""

FOOTPRINTS = {
    "upholstered chair": (
        "One upholstered chair, empty",
        "upholstered chairs in rows",
        0.90 * 0.55,
    ),
}
"""One seat of a row of seats: title, the row's key, the floor a seat takes. [m2]"""

DIFFERING: dict[str, tuple[tuple[float | None, ...], ...]] = {
    # Long
    "heavy carpet on concrete": ((None, None, None, 0.57, None, None),),
    "window glass": ((0.55, None, None, None, None, None),),
    "coarse concrete block": ((None, None, 0.51, None, None, None),),
    # Bies, Hansen and Howard
    "painted concrete block": ((0.01, None, None, None, None, None),),
    "plaster on lath": ((0.014, None, None, None, None, None),),
    # Cox and D'Antonio
    "heavy curtain, draped": ((None, None, None, 0.77, None, 0.60),),
    # The same board on an empty cavity, and the same wool in another book.
    "gypsum board on studs": ((0.08, 0.11, 0.05, 0.03, 0.02, 0.03),),
    "mineral wool 40 kg/m3, 50 mm": ((0.23, 0.59, 0.86, 0.86, 0.86, 0.86),),
    "rock wool 40 kg/m3, 50 mm": ((0.15, 0.70, 0.60, 0.60, 0.85, 0.90),),
}
"""What other books print for the same construction; None where they agree or say nothing. [1]"""
