"""Colours safe for colour-blind eyes (M. Okabe, K. Ito, 2008), and greys. Never the only carrier of meaning."""

BLACK = "#000000"
BLUE = "#0072B2"
GREEN = "#009E73"
VERMILLION = "#D55E00"
GREY = "#707070"
WHITE = "#FFFFFF"

FILL = {"PART": "#DCEBF5", "OFFCUT": WHITE, "SCRAP": WHITE, "PLATE": WHITE, "KERF": "#C8C8C8", "TEXT": BLACK}
STROKE = {
    "PLATE": BLACK,
    "PART": BLUE,
    "OFFCUT": GREEN,
    "SCRAP": GREY,
    "KERF": GREY,
    "CUT": VERMILLION,
    "TEXT": BLACK,
    "DIM": GREY,
    "BEVEL": BLACK,
}
