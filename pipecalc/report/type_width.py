"""Width of words in the note's face, for placing labels and for column widths."""

# Advance widths of the note's regular face in thousandths of the type size, for the characters 32 to 126.
ADVANCES = (
    236, 284, 419, 713, 598, 927, 694, 242, 335, 335, 450, 600, 272, 399, 272, 383,
    600, 600, 600, 600, 600, 600, 600, 600, 600, 600, 292, 292, 600, 600, 600, 477,
    891, 641, 653, 621, 671, 583, 559, 695, 707, 400, 510, 634, 501, 812, 707, 708,
    606, 708, 640, 581, 572, 678, 609, 891, 613, 593, 580, 317, 383, 317, 600, 565,
    600, 534, 580, 503, 580, 549, 324, 528, 568, 250, 250, 527, 272, 873, 568, 560,
    580, 580, 367, 487, 351, 568, 492, 768, 507, 499, 464, 343, 314, 343, 600,
)  # fmt: skip
FURTHER = {
    "\u2007": 600, "\u2212": 600, "°": 468, "²": 346, "³": 346, "·": 326, "×": 600, "≤": 600, "≥": 600, "δ": 560,
    "σ": 583, "–": 588, "—": 780, "→": 820, "√": 600, "θ": 562, "φ": 715, "π": 622, "⁴": 346, "“": 475, "”": 474,
    "…": 803,
}  # fmt: skip
_WIDEST = 1000
_SEMIBOLD_WIDER = 1.06


def text_width(words: str, size: float, bold: bool = False) -> float:
    """Width of a text [mm]; characters outside the table count as the widest."""
    thousandths = sum(_advance(c) for c in words)
    return thousandths / 1000 * size * (_SEMIBOLD_WIDER if bold else 1.0)


def _advance(character: str) -> int:
    index = ord(character) - 32
    return ADVANCES[index] if 0 <= index < len(ADVANCES) else FURTHER.get(character, _WIDEST)
