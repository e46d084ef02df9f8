"""Draws the pictures of the sample jobs: schematic scenes in the place of photographs.

Nothing was photographed, and each picture says so in its foot. The camera's part is real enough to
test with: Exif date and offset, orientation with the pixels stored to suit, a position in one file,
and one PNG that carries nothing.

Run it with Python 3.11 from anywhere; the pictures land beside each job.yaml:

    pip install pillow==11.3.0
    python samples/photos.py

The same Pillow writes the same bytes on every run: no clock and no chance is asked.

The file is long because every scene is a list of shapes; split up, the scenes would only repeat the
palette and the pen.
"""

from io import BytesIO
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

HERE = Path(__file__).resolve().parent
SCALE = 2  # Scenes are drawn at twice the size and shrunk, which smooths every edge.
LIMIT = 25_000  # Bytes in one JPEG.
FOOT = 30  # Height of the strip under each scene.

INK, PAPER, WHITE = "#2b2f33", "#f3efe6", "#fbfaf6"
GREY, DARK, PALE = "#8f969c", "#5d646a", "#c9ccce"
CLAY, BRICK, MORTAR = "#c9743f", "#b5674e", "#d9cbb8"
EARTH, SOIL, GRAVEL = "#8a6a4a", "#6d5238", "#b9ae9c"
WOOD, PLANK, STONE = "#d2a86f", "#bb8d55", "#b8b3a8"
TAPE, WATER, DYE = "#f2c230", "#4f8fc0", "#3fae5a"
GRASS, SKY, SLATE = "#8fae6b", "#cfe0ea", "#66707a"

# Exif tags by number; Pillow's named tables differ between releases.
MAKE, ORIENTATION, EXIF_IFD, GPS_IFD = 0x010F, 0x0112, 0x8769, 0x8825
TAKEN, TAKEN_OFFSET = 0x9003, 0x9011
# An orientation says how a viewer turns the stored pixels; this is the turn the other way.
STORED = {3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}
# A point in the open North Sea: a real position is what must be stripped, nobody's home is not.
AT_SEA = {1: "N", 2: (55.0, 30.0, 0.0), 3: "E", 4: (2.0, 30.0, 0.0)}


class Scene:
    """A sheet to draw on, in final pixels, with a foot that says what the picture is not."""

    def __init__(self, width, height, ground):
        self.width, self.height = width, height
        self.image = Image.new("RGB", (width * SCALE, height * SCALE), ground)
        self.pen = ImageDraw.Draw(self.image)

    @staticmethod
    def up(points):
        return [tuple(value * SCALE for value in point) for point in points]

    def box(self, left, top, right, bottom, fill, line=INK, thick=2, round_by=0):
        shape = (left * SCALE, top * SCALE, right * SCALE, bottom * SCALE)
        self.pen.rounded_rectangle(shape, round_by * SCALE, fill, line, thick * SCALE if line else 0)

    def shape(self, points, fill, line=INK, thick=2):
        self.pen.polygon(self.up(points), fill)
        if line:
            self.line(points + points[:1], line, thick)

    def line(self, points, fill=INK, thick=2):
        self.pen.line(self.up(points), fill, thick * SCALE, joint="curve")

    def disc(self, x, y, across, fill, line=INK, thick=2, flat=1.0):
        wide, tall = across / 2, across / 2 * flat
        shape = tuple(v * SCALE for v in (x - wide, y - tall, x + wide, y + tall))
        self.pen.ellipse(shape, fill, line, thick * SCALE if line else 0)

    def tube(self, points, fill, thick):
        """A pipe seen from the side: a dark band with a lighter one inside it."""
        self.line(points, INK, thick + 4)
        self.line(points, fill, thick)

    def text(self, x, y, words, size=18, fill=INK, anchor="mm"):
        font = ImageFont.load_default(size * SCALE)
        self.pen.text((x * SCALE, y * SCALE), words, fill, font, anchor=anchor)

    def tag(self, x, y, words, size=17):
        half = 7 + len(words) * size * 0.29
        self.box(x - half, y - size * 0.75, x + half, y + size * 0.75, WHITE, INK, 1, 4)
        self.text(x, y, words, size)

    def finished(self, title):
        top = self.height - FOOT
        self.box(0, top, self.width, self.height, INK, None)
        small = 15 if self.width > 500 else 13
        self.text(10, top + FOOT / 2, title, small, WHITE, "lm")
        self.text(self.width - 10, top + FOOT / 2, "drawn, not a photograph", small, TAPE, "rm")
        return self.image.resize((self.width, self.height), Image.Resampling.LANCZOS)


def wide(ground=PAPER):
    return Scene(640, 480, ground)


def tall(ground=PAPER):
    return Scene(480, 640, ground)


def bricks(scene, left, top, right, bottom):
    scene.box(left, top, right, bottom, MORTAR, None)
    for row, y in enumerate(range(top, bottom, 36)):
        start = left - (48 if row % 2 else 0)
        for x in range(start, right, 96):
            near, far = max(x + 2, left), min(x + 94, right)
            if far > near and bottom - y > 4:
                scene.box(near, y + 2, far, min(y + 34, bottom - 2), BRICK, None)


def pebbles(scene, left, top, right, bottom):
    """Stone bedding: discs on a slanted grid, so that it looks loose and is the same each time."""
    for row, y in enumerate(range(top, bottom - 10, 20)):
        for column, x in enumerate(range(left, right, 26)):
            shade = (PALE, STONE, GREY)[(row * 5 + column * 3 + row * column) % 3]
            scene.disc(x + 10 + (row % 3) * 5, y + 10, 16, shade, None)


def measure(scene, start, end, marks=12):
    """A tape held along a straight line."""
    scene.line([start, end], INK, 14)
    scene.line([start, end], TAPE, 11)
    for step in range(marks + 1):
        part = step / marks
        x, y = (a + (b - a) * part for a, b in zip(start, end))
        length = 5 if step % 2 else 9
        across = [(x, y - 5), (x, y - 5 + length)] if start[1] == end[1] else [(x - 5, y), (x - 5 + length, y)]
        scene.line(across, INK, 1)


def benchmark(mark, place):
    scene = wide(SKY)
    bricks(scene, 0, 0, 640, 250)
    scene.box(190, 0, 450, 250, "#4d6b63")
    scene.box(215, 20, 310, 230, "#5c7f76")
    scene.box(330, 20, 425, 230, "#5c7f76")
    scene.box(120, 250, 520, 345, STONE, round_by=5)
    scene.box(0, 345, 640, 450, GRAVEL)
    pebbles(scene, 0, 352, 640, 440)
    if mark == "screw":
        scene.disc(300, 285, 34, TAPE, INK, 3, 0.7)
        scene.line([(288, 285), (312, 285)], INK, 4)
    else:
        scene.line([(276, 300), (300, 272), (324, 300)], INK, 4)
        scene.line([(268, 272), (332, 272)], INK, 4)
    scene.box(392, 20, 424, 284, WHITE)
    for step in range(13):
        scene.box(394, 26 + step * 20, 408 if step % 2 else 416, 36 + step * 20, "#c23b2e", None)
    scene.line([(0, 120), (640, 120)], "#d8352a", 3)
    scene.text(600, 106, "laser", 16, "#8f1d14")
    scene.tag(300, 325, f"TBM: {place}")
    return scene


def wall_opening():
    scene = wide(SOIL)
    bricks(scene, 0, 0, 640, 330)
    scene.box(190, 78, 450, 128, STONE, thick=3)
    scene.text(320, 103, "lintel", 18)
    scene.box(220, 128, 420, 310, "#2f2a26", thick=3)
    scene.disc(320, 222, 96, CLAY, INK, 3)
    scene.shape([(272, 222), (368, 222), (410, 452), (230, 452)], CLAY, None)
    scene.line([(272, 222), (230, 452)], INK, 3)
    scene.line([(368, 222), (410, 452)], INK, 3)
    scene.line([(300, 240), (282, 448)], "#e39a6b", 6)
    scene.box(0, 330, 226, 450, EARTH)
    scene.box(414, 330, 640, 450, EARTH)
    pebbles(scene, 0, 395, 236, 447)
    pebbles(scene, 404, 395, 634, 447)
    measure(scene, (220, 290), (420, 290))
    scene.tag(528, 222, "even gap")
    scene.line([(474, 222), (396, 222)], WHITE, 2)
    return scene


def trench(service=None, chamber=None, branch=False):
    scene = wide(GRASS)
    scene.shape([(40, 450), (255, 40), (385, 40), (600, 450)], SOIL)
    scene.shape([(120, 450), (278, 60), (362, 60), (520, 450)], EARTH)
    scene.shape([(160, 450), (290, 60), (350, 60), (480, 450)], GRAVEL)
    for y in range(70, 446, 14):
        half = 28 + (y - 60) * 0.33
        for step in range(-4, 5):
            scene.disc(320 + step * half / 4.5, y + (step % 2) * 6, 4 + y / 70, (PALE, STONE, GREY)[(step + y) % 3], None)
    if branch:
        scene.tube([(560, 300), (430, 268), (334, 176)], CLAY, 30)
    scene.shape([(286, 450), (312, 62), (328, 62), (354, 450)], CLAY, INK, 2)
    scene.line([(308, 446), (318, 66)], "#e39a6b", 4)
    if branch:
        scene.line([(352, 194), (328, 168)], CLAY, 24)
        scene.box(304, 128, 336, 142, DARK, round_by=3)
        scene.box(297, 230, 343, 246, DARK, round_by=3)
        scene.tag(452, 150, "slip couplings")
        scene.line([(384, 146), (340, 136)], WHITE, 2)
        scene.line([(392, 164), (346, 234)], WHITE, 2)
    for y, half in ((110, 15), (330, 32)):
        scene.box(320 - half, y, 320 + half, y + 12, "#a85c2e", round_by=3)
    if chamber:
        scene.disc(320, 62, 116, STONE, INK, 3, 0.45)
        scene.disc(320, 62, 88, "#3b3632", INK, 2, 0.45)
        scene.tag(320, 26, chamber)
    if service:
        shade = WATER if service == "water pipe" else INK
        scene.line([(118, 450), (226, 150), (262, 44)], INK, 12)
        scene.line([(118, 450), (226, 150), (262, 44)], shade, 8)
        scene.tag(116, 250, service)
    measure(scene, (146, 400), (494, 400), 20)
    return scene


def chamber_above():
    """An inspection chamber with its cover off, straight through."""
    scene = wide(GRASS)
    for x in range(0, 640, 160):
        for y in range(0, 450, 150):
            scene.box(x, y, x + 160, y + 150, STONE, GREY, 2)
    scene.disc(320, 226, 430, DARK, INK, 3)
    scene.disc(320, 226, 392, "#7d6f61", INK, 2)
    scene.disc(320, 226, 330, "#a89683", INK, 2)
    scene.tube([(320, 60), (320, 392)], CLAY, 56)
    scene.line([(320, 62), (320, 390)], WATER, 18)
    scene.tag(320, 86, "D1 in")
    scene.tag(320, 366, "D2 out")
    scene.text(232, 226, "benching", 17)
    scene.line([(310, 300), (320, 314), (330, 300)], WHITE, 4)
    for angle_x, angle_y in ((160, 90), (480, 90), (160, 362), (480, 362)):
        scene.disc(angle_x, angle_y, 16, PALE)
    scene.box(20, 330, 120, 346, PALE, round_by=4)
    scene.box(20, 360, 120, 376, PALE, round_by=4)
    scene.text(70, 318, "two keys", 15)
    return scene


def manhole_above(dye=False):
    scene = wide("#7f8f6a")
    scene.box(70, 40, 570, 420, STONE, thick=3)
    bricks(scene, 96, 64, 544, 396)
    scene.box(130, 96, 510, 364, "#a89683", thick=3)
    flow = DYE if dye else WATER
    scene.tube([(238, 98), (238, 178), (316, 250)], CLAY, 40)
    scene.line([(238, 98), (238, 178), (316, 250)], flow, 16)
    scene.tube([(320, 98), (320, 362)], "#9c5a3c", 54)
    scene.line([(320, 250 if dye else 98), (320, 362)], flow, 20)
    scene.line([(310, 312), (320, 328), (330, 312)], WHITE, 4)
    scene.text(430, 160, "benching", 17)
    scene.tag(208, 122, "new")
    if dye:
        scene.tag(430, 300, "dye through")
        scene.line([(372, 300), (336, 300)], INK, 2)
    return scene


def u_tube(difference, top="#dcd6c6"):
    """A U-tube on a hook; the legs stand apart by the reading, in tenths of the ruler."""
    scene = tall(top)
    for y in range(30, 600, 70):
        scene.line([(0, y), (480, y)], "#cfc7b4", 2)
    scene.line([(240, 0), (240, 34), (226, 48), (240, 62)], INK, 6)
    scene.box(120, 64, 360, 560, WHITE, INK, 3, 8)
    for leg in (180, 300):
        scene.line([(leg, 100), (leg, 470)], INK, 30)
        scene.line([(leg, 96), (leg, 470)], "#e8f1f5", 24)
    scene.pen.arc([v * SCALE for v in (165, 410, 315, 535)], 0, 180, INK, 30 * SCALE)
    scene.pen.arc([v * SCALE for v in (168, 413, 312, 532)], 0, 180, WATER, 24 * SCALE)
    middle, half = 300, difference * 1.3
    scene.line([(180, middle - half), (180, 476)], WATER, 24)
    scene.line([(300, middle + half), (300, 476)], WATER, 24)
    for step in range(27):
        y = 120 + step * 13
        scene.line([(230 if step % 5 else 222, y), (250 if step % 5 else 258, y)], INK, 2)
    for leg, level in ((180, middle - half), (300, middle + half)):
        scene.line([(leg - 22, level), (leg + 60 if leg < 240 else leg + 22, level)], "#c23b2e", 3)
    scene.line([(300, 100), (300, 78), (420, 78), (440, 140), (440, 600)], "#6a4b3a", 12)
    scene.tag(240, 582, f"{difference} mm between the legs")
    return scene


def stack(branches, cap_at=None, floor="flat 1"):
    """A stack in its corner. Each branch is (height, side, thickness, label)."""
    scene = tall("#e6e0d2")
    scene.box(0, 0, 480, 540, "#e6e0d2", None)
    for x in (60, 180, 300, 420):
        scene.box(x - 8, 0, x + 8, 540, WOOD, PLANK, 1)
    scene.box(0, 540, 480, 610, PLANK)
    for x in range(0, 480, 80):
        scene.line([(x, 540), (x - 30, 610)], INK, 1)
    for height, side, thick, label in branches:
        y = 540 - height
        far = 20 if side < 0 else 460
        scene.tube([(240, y), (far, y - abs(far - 240) * 0.05)], PALE if thick < 40 else GREY, thick)
        scene.tag(92 if side < 0 else 392, y - thick / 2 - 22, label, 15)
    scene.box(206, 0, 274, 556, GREY, INK, 3)
    scene.box(216, 2, 228, 554, "#aeb4b9", None)
    for y in (36, 300, 520):
        scene.box(198, y, 282, y + 18, DARK, round_by=4)
    for height, side, thick, _ in branches:
        y, reach = 540 - height, 26 if thick < 40 else 44
        edge = 206 if side < 0 else 274
        left, right = (edge - reach, edge + 6) if side < 0 else (edge - 6, edge + reach)
        scene.box(left, y - thick / 2 - 6, right, y + thick / 2 + 6, DARK, round_by=5)
    if cap_at:
        y = 540 - cap_at
        scene.disc(240, y, 62, DARK, INK, 3)
        scene.disc(240, y, 40, GREY, INK, 2)
        scene.line([(222, y), (258, y)], INK, 4)
    scene.tag(70, 588, floor)
    return scene


def coupons(labels):
    scene = wide("#d8c7a4")
    for y in range(0, 450, 56):
        scene.line([(0, y), (640, y)], "#c3ad83", 2)
    scene.box(0, 90, 640, 250, GREY, INK, 3)
    scene.box(0, 112, 640, 128, "#b4babf", None)
    step = 640 / len(labels)
    for place, label in enumerate(labels):
        x = step * (place + 0.5)
        scene.disc(x, 172, 96, DARK, INK, 3)
        scene.disc(x, 172, 74, "#191b1d", INK, 2)
        scene.disc(x, 330, 74, GREY, INK, 3)
        scene.disc(x, 330, 8, INK, None)
        scene.tag(x, 400, label)
    scene.text(320, 60, "holes clear, discs on the bench", 20)
    return scene


def collar_below():
    scene = tall("#efe9dd")
    scene.box(0, 0, 480, 130, "#3d352c", None)
    for x in (20, 150, 290, 420):
        scene.box(x, 0, x + 40, 130, WOOD, PLANK)
    scene.box(150, 60, 330, 112, WOOD, PLANK)
    scene.box(0, 130, 480, 152, PALE)
    scene.box(0, 152, 480, 174, PALE)
    scene.box(206, 0, 274, 610, GREY, INK, 3)
    scene.box(216, 2, 228, 608, "#b4babf", None)
    scene.box(178, 174, 302, 236, "#b8382c", INK, 3, 4)
    scene.box(184, 186, 296, 196, "#d8665a", None)
    for x in (160, 320):
        scene.box(x - 18, 174, x + 18, 188, DARK)
        scene.disc(x, 181, 9, PALE)
        scene.line([(x, 130), (x, 92)], INK, 3)
    scene.box(198, 430, 282, 450, DARK, round_by=4)
    scene.tag(390, 212, "collar")
    scene.line([(352, 212), (304, 212)], INK, 2)
    scene.tag(90, 212, "2 boards")
    scene.line([(90, 198), (90, 164)], INK, 2)
    scene.tag(240, 40, "noggin")
    return scene


def seal_above():
    scene = wide(PLANK)
    for x in range(0, 640, 92):
        scene.box(x, 0, x + 90, 450, WOOD, "#9a7342", 1)
        scene.line([(x + 30, 0), (x + 36, 450)], "#c39a60", 2)
    scene.disc(320, 225, 226, "#b8382c", INK, 3)
    scene.disc(320, 225, 200, GREY, INK, 3)
    scene.disc(320, 225, 178, "#1f2123", INK, 2)
    scene.tag(520, 120, "mastic ring")
    scene.line([(470, 132), (412, 168)], INK, 2)
    measure(scene, (180, 400), (460, 400), 16)
    return scene


def vent_in_loft(through=True):
    """A vent between the rafters: on its way through the roof, or left off under it."""
    scene = tall("#4b4238")
    for x in (-40, 90, 220, 350, 480):
        scene.line([(x, 0), (240 + (x - 240) * 0.35, 330)], PLANK, 22)
    scene.shape([(0, 610), (0, 400), (480, 400), (480, 610)], "#e7c9a9")
    for row in range(5):
        for step in range(13):
            scene.disc(step * 40 + (row % 2) * 20, 420 + row * 42, 52, ("#eed7bd", "#e2c19d")[(row + step) % 2], None)
    scene.box(30, 560, 450, 610, PALE)
    head = 0 if through else 250
    scene.box(206, head, 274, 612, GREY, INK, 3)
    scene.box(216, head, 228, 610, "#b4babf", None)
    if not through:
        scene.disc(240, head, 84, "#aab0b5", INK, 3, 0.7)
        for x in (216, 228, 240, 252, 264):
            scene.line([(x, 226), (x, 274)], INK, 3)
        scene.tag(112, 588, "top ceiling")
        scene.tag(376, 250, "ends here")
        scene.line([(326, 250), (288, 250)], WHITE, 2)
        return scene
    scene.shape([(168, 560), (312, 560), (288, 536), (192, 536)], "#3f6f94", INK, 2)
    scene.tag(376, 520, "taped")
    scene.line([(346, 526), (300, 544)], INK, 2)
    scene.tag(112, 588, "top ceiling")
    return scene


def terminal(cage=True):
    """A terminal on the slates near a rooflight: tall and with a cage, or short and bare."""
    scene = wide(SKY)
    scene.shape([(0, 450), (0, 300), (640, 150), (640, 450)], SLATE)
    for row in range(7):
        drop = row * 44
        scene.line([(0, 300 + drop), (640, 150 + drop)], INK, 2)
        for step in range(12):
            x = step * 60 + (row % 2) * 30
            y = 300 + drop - x * 0.234
            scene.line([(x, y), (x, y + 44)], "#4f5860", 2)
    scene.shape([(208, 336), (392, 293), (408, 372), (222, 414)], PALE, INK, 2)
    scene.shape([(262, 320), (338, 302), (330, 250), (270, 250)], PALE, INK, 2)
    if cage:
        scene.box(272, 110, 328, 280, DARK, INK, 3)
        scene.box(281, 112, 291, 278, GREY, None)
        scene.disc(300, 102, 78, "#aab0b5", INK, 3, 0.9)
        for x in (276, 288, 300, 312, 324):
            scene.line([(x, 72), (x, 128)], INK, 2)
        scene.tag(150, 100, "cage")
        scene.line([(178, 100), (258, 100)], INK, 2)
    else:
        scene.box(284, 196, 316, 280, DARK, INK, 3)
        scene.box(290, 198, 296, 278, GREY, None)
        scene.disc(300, 196, 32, "#191b1d", GREY, 3, 0.5)
        scene.tag(150, 196, "open end")
        scene.line([(196, 196), (276, 196)], INK, 2)
    scene.tag(470, 330, "lead slate")
    scene.shape([(500, 250), (606, 225), (614, 300), (508, 325)], "#9fc3d6", INK, 3)
    return scene


def chamber_with_rain():
    """A small chamber in a lawn, its cover off, with a rainwater pipe pushed in over the channel."""
    scene = wide(GRASS)
    for row in range(9):
        for step in range(16):
            x, y = step * 42 + (row % 2) * 20, row * 52 + 8
            scene.line([(x, y + 14), (x + 6, y)], "#76964f", 3)
    scene.disc(320, 240, 300, DARK, INK, 3)
    scene.disc(320, 240, 268, "#6b5f54", INK, 2)
    scene.tube([(320, 112), (320, 366)], CLAY, 52)
    scene.line([(320, 118), (320, 360)], WATER, 16)
    scene.tube([(640, 60), (480, 130), (372, 214)], INK, 40)
    scene.tube([(640, 60), (480, 130), (372, 214)], GREY, 34)
    scene.disc(366, 220, 42, "#191b1d", INK, 2, 0.8)
    scene.line([(356, 232), (336, 262)], WATER, 6)
    scene.tag(540, 170, "from the gutter")
    scene.tag(320, 396, "IC1")
    measure(scene, (170, 426), (470, 426), 12)
    return scene


def foamed():
    """Two waste pipes through a block wall, the holes filled with foam from a tin."""
    scene = wide(MORTAR)
    for row, y in enumerate(range(0, 450, 92)):
        for x in range(-140 if row % 2 else 0, 640, 280):
            scene.box(x + 3, y + 3, x + 277, min(y + 89, 448), STONE, None)
    for x, y, across in ((250, 210, 60), (420, 228, 50)):
        lump = [(x - 92, y), (x - 60, y - 58), (x - 8, y - 78), (x + 52, y - 62), (x + 80, y - 6),
                (x + 66, y + 58), (x + 14, y + 80), (x - 22, y + 104), (x - 46, y + 66)]
        scene.shape(lump, "#e9cf86", "#b99a4c", 3)
        for dx, dy in ((-40, -26), (34, -34), (44, 28), (-30, 40), (0, 62)):
            scene.disc(x + dx, y + dy, 22, "#f2dfa4", None)
        scene.disc(x, y, across, WHITE, INK, 3)
        scene.disc(x, y, across - 14, "#191b1d", INK, 2)
    scene.tag(250, 60, "foam")
    scene.line([(250, 74), (250, 130)], INK, 2)
    scene.box(548, 300, 604, 430, "#c23b2e", INK, 3, 6)
    scene.box(566, 276, 586, 302, PALE, INK, 2)
    scene.text(576, 366, "tin", 16, WHITE)
    return scene


def trench_section():
    """A trench cut across: bed, pipe, surround, selected fill, and the tape over it."""
    scene = wide(SKY)
    scene.box(0, 60, 640, 452, EARTH, None)
    scene.box(0, 52, 640, 70, GRASS, None)
    scene.shape([(170, 60), (470, 60), (450, 430), (190, 430)], SOIL)
    scene.shape([(179, 230), (461, 230), (450, 430), (190, 430)], GRAVEL)
    pebbles(scene, 200, 236, 440, 432)
    for y in range(84, 226, 24):
        scene.line([(184, y), (456, y)], "#7d6246", 2)
    scene.disc(320, 336, 92, CLAY, INK, 3)
    scene.disc(320, 336, 80, "#2b2521", INK, 2)
    scene.box(250, 140, 390, 150, TAPE, INK, 1)
    scene.line([(498, 60), (498, 430)], INK, 14)
    scene.line([(498, 60), (498, 430)], TAPE, 11)
    for step in range(13):
        y = 60 + step * 370 / 12
        scene.line([(494, y), (494 + (5 if step % 2 else 9), y)], INK, 1)
    for y, words in ((145, "tape"), (200, "selected fill"), (260, "10 mm stone"), (412, "bed 100 mm")):
        scene.tag(90, y, words)
        scene.line([(156, y), (212, y)], WHITE, 2)
    return scene


def backdrop(chamber):
    """A drain that comes out high above its chamber's channel, and the upright pipe that takes it down."""
    scene = wide(EARTH)
    scene.box(0, 0, 640, 26, GRASS, None)
    bricks(scene, 400, 30, 452, 424)
    scene.box(452, 30, 640, 452, "#3b3632", None)
    scene.box(392, 424, 640, 452, STONE)
    scene.shape([(452, 380), (640, 392), (640, 424), (452, 424)], "#7d6f61", INK, 2)
    scene.tube([(0, 104), (430, 118)], CLAY, 40)
    scene.tube([(300, 116), (300, 348)], CLAY, 40)
    scene.tube([(300, 340), (330, 392), (452, 402)], CLAY, 40)
    scene.box(432, 96, 466, 142, DARK, INK, 2, 5)
    for y in (170, 300):
        scene.box(272, y, 328, y + 20, "#a85c2e", round_by=4)
    scene.line([(218, 160), (218, 430), (396, 430)], PLANK, 8)
    scene.line([(378, 160), (378, 350)], PLANK, 8)
    scene.tag(548, 118, "rodding cap")
    scene.line([(494, 118), (470, 118)], WHITE, 2)
    scene.tag(548, 360, f"{chamber} channel")
    scene.tag(110, 250, "boards for concrete")
    scene.line([(192, 250), (214, 250)], WHITE, 2)
    scene.line([(64, 20), (64, 84)], INK, 14)
    scene.line([(64, 20), (64, 84)], TAPE, 11)
    return scene


def channel_with_branches(main, side):
    """A chamber with its cover off: the channel, and a branch that comes in with the flow."""
    scene = wide(GRASS)
    for x in range(0, 640, 160):
        for y in range(0, 450, 150):
            scene.box(x, y, x + 160, y + 150, STONE, GREY, 2)
    scene.disc(320, 226, 430, DARK, INK, 3)
    scene.disc(320, 226, 392, "#7d6f61", INK, 2)
    scene.disc(320, 226, 330, "#a89683", INK, 2)
    scene.tube([(196, 118), (258, 160), (320, 252)], CLAY, 50)
    scene.line([(196, 118), (258, 160), (320, 252)], WATER, 12)
    scene.tube([(320, 60), (320, 392)], CLAY, 56)
    scene.line([(320, 62), (320, 390)], WATER, 18)
    scene.tag(320, 86, f"{main[0]} in")
    scene.tag(320, 366, f"{main[1]} out")
    scene.tag(180, 150, f"{side} in")
    scene.text(412, 240, "benching", 17)
    scene.line([(310, 300), (320, 314), (330, 300)], WHITE, 4)
    for x, y in ((160, 90), (480, 90), (160, 362), (480, 362)):
        scene.disc(x, y, 16, PALE)
    return scene


def plug_and_gauge(reading, unit):
    """A plug in the end of a drain, with the gauge on its hose."""
    scene = wide(SOIL)
    scene.box(0, 300, 640, 452, EARTH, None)
    pebbles(scene, 0, 306, 640, 446)
    scene.tube([(0, 250), (250, 250)], CLAY, 112)
    scene.box(226, 184, 262, 316, "#a85c2e", INK, 3, 6)
    scene.box(262, 204, 300, 296, "#2b2521", INK, 3, 10)
    scene.disc(316, 250, 44, GREY, INK, 3)
    scene.line([(316, 250), (316, 212), (336, 212)], INK, 5)
    scene.line([(336, 250), (410, 262), (452, 230), (470, 208)], INK, 10)
    scene.disc(490, 130, 178, DARK, INK, 3)
    scene.disc(490, 130, 154, WHITE, INK, 2)
    for step in range(11):
        turn = (step - 5) * 24
        x = 490 + turn * 0.5
        y = 130 - (64 - abs(turn) * 0.22)
        scene.line([(x, y), (x, y + (14 if step % 5 == 0 else 8))], INK, 2)
    scene.line([(490, 138), (520, 86)], "#c23b2e", 4)
    scene.disc(490, 138, 14, INK, None)
    scene.text(490, 168, unit, 17)
    scene.tag(150, 170, "plug")
    scene.line([(180, 176), (276, 206)], WHITE, 2)
    scene.tag(490, 250, reading)
    return scene


def camera_screen(length, words):
    """The screen of a drain camera: a round bore going off into the dark, with its line of words."""
    scene = wide("#20252a")
    scene.box(30, 22, 610, 428, "#11161a", GREY, 4, 10)
    shades = {360: "#b86a3b", 300: "#a25c33", 236: "#84492a", 168: "#613620", 104: "#3b2214", 52: "#140c08"}
    for across, shade in shades.items():
        scene.disc(320, 208, across, shade, "#5a3320", 2)
    scene.shape([(252, 352), (388, 352), (336, 226), (304, 226)], "#4f8fc0", None)
    for across in (336, 268):
        scene.disc(320, 208, across, None, "#d98c58", 2)
    scene.text(60, 404, f"{length}  {words}", 20, "#7fe08a", "lm")
    scene.text(580, 46, "REC", 18, "#e05a4a", "rm")
    return scene


def concrete_by_wall():
    """The trench past the old house, cut across: footing, pipe, and concrete up to the underside."""
    scene = wide(SKY)
    scene.box(0, 90, 640, 452, EARTH, None)
    scene.box(150, 84, 640, 96, GRASS, None)
    scene.box(0, 0, 118, 210, MORTAR, INK, 2)
    for row, y in enumerate(range(4, 206, 40)):
        for x in range(-30 if row % 2 else 0, 110, 62):
            scene.box(x + 3, y, min(x + 58, 115), y + 34, STONE, None)
    scene.box(0, 210, 150, 246, GREY, INK, 2)
    scene.text(72, 228, "footing", 16, WHITE)
    scene.shape([(278, 90), (500, 90), (486, 440), (292, 440)], SOIL)
    scene.shape([(284, 240), (494, 240), (486, 440), (292, 440)], PALE, INK, 2)
    for row in range(6):
        for step in range(6):
            scene.disc(304 + step * 32 + (row % 2) * 14, 264 + row * 30, 10, STONE, None)
    scene.disc(388, 372, 88, CLAY, INK, 3)
    scene.disc(388, 372, 76, "#2b2521", INK, 2)
    scene.line([(150, 240), (500, 240)], "#c23b2e", 3)
    measure(scene, (150, 150), (282, 150), 10)
    scene.tag(216, 120, "0.70 m")
    scene.tag(566, 240, "concrete to")
    scene.tag(566, 330, "13 mm board")
    scene.line([(510, 334), (446, 352)], INK, 2)
    scene.line([(436, 330), (436, 414)], WOOD, 6)
    return scene


def slab_section():
    """A drain shallow under a drive: stone, a cushion, and a slab that bears on undug ground."""
    scene = wide(SKY)
    scene.box(0, 70, 640, 452, EARTH, None)
    scene.box(0, 64, 640, 120, DARK, INK, 2)
    scene.text(320, 92, "drive", 20, WHITE)
    scene.box(90, 140, 550, 200, PALE, INK, 3)
    for x in range(112, 540, 44):
        scene.disc(x, 186, 12, INK, None)
    scene.line([(104, 178), (536, 178)], INK, 3)
    scene.shape([(222, 200), (418, 200), (408, 430), (232, 430)], GRAVEL)
    pebbles(scene, 236, 206, 398, 430)
    scene.disc(320, 320, 96, CLAY, INK, 3)
    scene.disc(320, 320, 84, "#2b2521", INK, 2)
    measure(scene, (90, 222), (222, 222), 8)
    scene.tag(150, 256, "300 mm")
    scene.tag(520, 238, "cushion")
    scene.line([(478, 238), (402, 236)], WHITE, 2)
    scene.tag(520, 170, "slab")
    return scene


FLAT_1 = [(150, 1, 56, "B1"), (60, -1, 26, "B2"), (300, -1, 22, "B3"), (240, 1, 26, "B4")]
FLAT_2 = [(150, 1, 56, "B5"), (60, -1, 26, "B6"), (300, -1, 22, "B7"), (240, 1, 26, "B8")]
# file, scene, words in the foot, date taken, offset from UTC (none: not written), orientation, position
MILL = [
    ("IMG_2231.jpg", benchmark("screw", "brass screw"), "TBM, yard door", "2026:02:18 08:52:10", "+00:00", 1, None),
    ("IMG_2240.jpg", wall_opening(), "D1 through the wall", "2026:02:24 14:06:41", "+00:00", 1, None),
    ("IMG_2263.jpg", trench(chamber="IC1", branch=True), "D4 cut into D1", "2026:02:26 15:31:05", None, 3, None),
    ("IMG_2301.jpg", coupons(["B2", "B3", "B5"]), "coupons out", "2026:03:06 16:44:52", "+00:00", 1, None),
    ("IMG_2319.jpg", collar_below(), "P1 from below", "2026:03:10 11:20:33", "+00:00", 6, None),
]
SCHOOL = [
    ("SCH_0101.jpg", benchmark("cut", "cut mark"), "TBM, porch", "2026:04:28 09:12:20", "+01:00", 1, None),
    ("SCH_0107.jpg", wall_opening(), "D1 through the wall", "2026:05:07 08:40:02", "+01:00", 3, None),
    ("SCH_0112.jpg", trench("water pipe", "IC2"), "D2 on its bed", "2026:05:08 15:18:44", "+01:00", 1, None),
    ("SCH_0114.jpg", chamber_above(), "IC1, cover off", "2026:05:08 15:26:10", "+01:00", 1, None),
    ("SCH_0119.jpg", trench("cable", "MH1"), "D3 on its bed", "2026:05:11 08:31:57", "+01:00", 1, None),
    ("SCH_0121.jpg", u_tube(96), "T1 after 7 min", "2026:05:11 09:47:30", "+01:00", 6, None),
    ("SCH_0123.jpg", manhole_above(), "MH1 from above", "2026:05:12 10:02:08", None, 1, None),
    ("SCH_0138.jpg", coupons(["B2", "B3", "B4"]), "flat 1, coupons out", "2026:06:04 12:10:19", "+01:00", 1, None),
    ("SCH_0140.jpg", stack(FLAT_1, 420), "S1, flat 1", "2026:06:05 09:33:46", "+01:00", 6, None),
    ("SCH_0144.jpg", coupons(["B6", "B7", "B8"]), "flat 2, coupons out", "2026:06:05 15:52:27", "+01:00", 3, None),
    ("SCH_0152.jpg", collar_below(), "P1 from below", "2026:06:09 10:14:00", "+01:00", 8, None),
    ("SCH_0153.jpg", seal_above(), "P1 from above", "2026:06:09 10:21:35", "+01:00", 1, None),
    ("SCH_0160.jpg", stack(FLAT_2, 420, "flat 2"), "S1, flat 2", "2026:06:11 08:58:12", "+01:00", 6, None),
    ("SCH_0163.jpg", vent_in_loft(), "V1, roof void", "2026:06:11 09:40:50", "+01:00", 8, None),
    ("SCH_0165.jpg", terminal(), "VT1 on the roof", "2026:06:11 14:05:09", "+01:00", 1, AT_SEA),
    ("SCH_0171.jpg", u_tube(38, "#d5dbd3"), "T7 after 3 min", "2026:06:16 10:23:24", "+01:00", 6, None),
    ("dye-at-manhole.png", manhole_above(dye=True), "MH1, dye in the flow", None, None, 1, None),
]
BATHROOM = [(250, 1, 56, "B1"), (150, -1, 26, "B2"), (360, -1, 22, "B3"), (50, 1, 26, "B4")]
BUNGALOW = [
    ("BUN_0388.jpg", trench(chamber="MH1", branch=True), "D9 cut into D3", "2026:09:18 16:48:19", "+01:00", 1, None),
    ("BUN_0403.jpg", benchmark("cut", "cut mark"), "TBM, back door", "2026:09:21 08:31:04", "+01:00", 1, None),
    ("BUN_0407.jpg", chamber_with_rain(), "IC1, cover off", "2026:09:21 08:52:40", "+01:00", 3, None),
    ("BUN_0412.jpg", foamed(), "P4 from the garage", "2026:09:21 09:40:12", "+01:00", 1, None),
    ("BUN_0415.jpg", stack(BATHROOM, None, "bathroom"), "S1, boxing opened", "2026:09:21 10:15:33", "+01:00", 6, None),
    ("BUN_0418.jpg", terminal(cage=False), "VT1 on the roof", "2026:09:21 11:02:51", "+01:00", 1, None),
    ("BUN_0421.jpg", u_tube(61), "T2 after 7 min", "2026:09:22 10:12:20", "+01:00", 6, None),
    ("BUN_0424.jpg", vent_in_loft(through=False), "VT2, roof void", "2026:09:22 11:30:06", "+01:00", 8, None),
]
BANK = [(150, 1, 56, "B1"), (60, -1, 26, "B2"), (300, -1, 22, "B3")]
HANGER = [
    ("HAN_0201.jpg", benchmark("cut", "cut mark"), "TBM, old front door", "2026:07:01 08:20:15", "+01:00", 1, None),
    ("HAN_0214.jpg", wall_opening(), "D2 through WA1", "2026:07:14 16:12:40", "+01:00", 1, None),
    ("HAN_0219.jpg", trench_section(), "D3 on its bed", "2026:07:16 10:05:31", "+01:00", 1, None),
    ("HAN_0222.jpg", channel_with_branches(("D3", "D5"), "D4"), "IC2, cover off", "2026:07:15 11:18:02", "+01:00", 3, None),
    ("HAN_0226.jpg", backdrop("MH3"), "D5 into MH3", "2026:07:16 15:44:50", "+01:00", 1, None),
    ("HAN_0231.jpg", u_tube(90), "T4 after 7 min", "2026:07:16 08:42:11", "+01:00", 6, None),
    ("HAN_0236.jpg", trench(chamber="MH3"), "D7 to MH3", "2026:07:17 09:02:37", "+01:00", 1, None),
    ("HAN_0244.jpg", concrete_by_wall(), "D8 past the house", "2026:07:22 14:30:09", "+01:00", 1, None),
    ("HAN_0249.jpg", slab_section(), "D10 under the drive", "2026:07:22 07:58:26", "+01:00", 1, None),
    ("HAN_0255.jpg", trench("cable", "MH6"), "D13 on its bed", "2026:07:25 09:36:12", "+01:00", 3, None),
    ("HAN_0259.jpg", trench(chamber="IC7"), "R1 and R3", "2026:07:28 12:11:48", "+01:00", 1, None),
    ("HAN_0263.jpg", plug_and_gauge("91.5 mbar", "mbar"), "T9 after 3 min", "2026:07:31 11:18:20", "+01:00", 1, None),
    ("HAN_0281.jpg", stack(BANK, 420, "wing"), "S1, first floor", "2026:08:12 10:31:55", "+01:00", 6, None),
    ("HAN_0312.jpg", camera_screen("13.2 m", "IC5 > MH6   structural 1"), "T21, D13", "2026:09:08 09:47:03", "+01:00", 1, None),
]


def camera_says(taken, offset, orientation, position):
    """The Exif block of one picture."""
    exif = Image.Exif()
    exif[MAKE] = "drawn by script"
    exif[ORIENTATION] = orientation
    inner = {TAKEN: taken} | ({TAKEN_OFFSET: offset} if offset else {})
    exif.get_ifd(EXIF_IFD).update(inner)
    if position:
        exif.get_ifd(GPS_IFD).update(position)
    return exif


def write(folder, file, scene, words, taken, offset, orientation, position):
    picture = scene.finished(words)
    if file.endswith(".png"):
        # Few colours keep the file small; flat art loses nothing by it.
        picture.quantize(48, dither=Image.Dither.NONE).save(folder / file, optimize=True)
        return
    if orientation != 1:
        picture = picture.transpose(STORED[orientation])
    exif = camera_says(taken, offset, orientation, position)
    # The finest quality that keeps to the limit, so that a checkout stays small.
    for quality in range(82, 20, -4):
        held = BytesIO()
        picture.save(held, "JPEG", quality=quality, optimize=True, subsampling=2, exif=exif)
        if len(held.getvalue()) <= LIMIT:
            break
    (folder / file).write_bytes(held.getvalue())


def main():
    jobs = {"mill-house": MILL, "schoolroom-flats": SCHOOL, "bungalow-refit": BUNGALOW, "hanger-bank": HANGER}
    for folder, pictures in jobs.items():
        for row in pictures:
            write(HERE / folder, *row)


if __name__ == "__main__":
    main()
