"""Which letters papers can be printed in: the one rule that the press, and whoever asks beforehand, go by."""

import re

BEYOND_LATIN = re.compile("[\u0180-\u1fff\ufb00-\ufdff\ufe70-\ufeff]")  # letters that only names bring along
NO_LETTERS = re.compile("[\u0780-\u109f\u1100-\u1c7f\u2e80-\ud7ff\uf900-\ufaff\U00010000-\U0003ffff]")
