"""Bar codes of part numbers: Code 128, set B (ISO/IEC 15417), as widths of bars and spaces."""

from app.trade.problems import Impossible

# Widths of three bars and three spaces, six digits for each symbol value 0 to 105.
_TABLE = (
    "212222222122222221121223121322131222122213122312132212221213221312231212112232122132122231113222"
    "123122123221223211221132221231213212223112312131311222321122321221312212322112322211212123212321"
    "232121111323131123131321112313132113132311211313231113231311112133112331132131113123113321133121"
    "313121211331231131213113213311213131311123311321331121312113312311332111314111221411431111111224"
    "111422121124121421141122141221112214112412122114122411142112142211241211221114413111241112134111"
    "111242121142121241114212124112124211411212421112421211212141214121412121111143111341131141114113"
    "114311411113411311113141114131311141411131211412211214211232"
)
PATTERNS = tuple(_TABLE[at : at + 6] for at in range(0, len(_TABLE), 6))
STOP = "2331112"  # a seventh width, a bar, ends the code
START_B = 104
LONGEST = 48


def values(text: str) -> tuple[int, ...]:
    """Symbol values of a text in set B: start, characters, check; without the stop.

    `text`: 1 to 48 characters from blank to ~ (ASCII 32 to 126); Impossible otherwise.
    """
    if not 1 <= len(text) <= LONGEST or not all(" " <= char <= "~" for char in text):
        raise Impossible("A bar code holds plain letters, digits and signs", f"1 to {LONGEST} of them")
    inside = [ord(char) - 32 for char in text]
    check = (START_B + sum(place * value for place, value in enumerate(inside, 1))) % 103
    return (START_B, *inside, check)


def widths(text: str) -> tuple[int, ...]:
    """Widths in modules of bars and spaces in turn, a bar first and last; without the quiet zones."""
    return tuple(int(digit) for digit in "".join(PATTERNS[value] for value in values(text)) + STOP)
