"""How wide words are in a drawing: by the advance widths of DejaVu Sans, the widest of the fonts that drawings name.

Nothing here asks the machine for a font, so the same words give the same bytes everywhere, and on a machine with another
font they have room to spare.
"""

# In thousandths of the size of the letters, from the space to the tilde.
_PLAIN = (
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636,
    636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863,
    748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635,
    615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636,
    337, 636, 838,
)  # fmt: skip
_OTHERS = {"°": 500, "²": 401, "³": 401, "·": 318, "–": 500}
_ANY = 838  # of a letter that is not listed: as wide as signs are
_BOLD = 1.15  # times as wide, a little more than words in the bold face are


def width(words: str, size: float, bold: bool = False) -> float:
    """How wide words of this size are on the paper, in the unit of the size."""
    thousandths = sum(
        _PLAIN[ord(letter) - 32] if 32 <= ord(letter) < 127 else _OTHERS.get(letter, _ANY) for letter in words
    )
    return size * thousandths / 1000 * (_BOLD if bold else 1.0)


def lines(words: str, size: float, most: float) -> list[str]:
    """Words in as many lines as hold them within `most`, broken at spaces; a word that is wider stands alone."""
    found: list[str] = []
    for word in words.split():
        if found and width(f"{found[-1]} {word}", size) <= most:
            found[-1] += f" {word}"
        else:
            found.append(word)
    return found
