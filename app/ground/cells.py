"""Texts in the cells of a CSV: none may run as a formula of the spreadsheet that opens it."""

# A cell that begins so is worked out, not shown: = + - @, their full-width forms (U+FF1D, U+FF0B, U+FF0D,
# U+FF20), and what a program skips before it looks. Source: OWASP, "CSV Injection"; from memory.
FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n", "\0")


def harmless(text: str) -> str:
    """A typed text as a cell that is shown as text: behind an apostrophe where it would run."""
    return f"'{text}" if text.startswith(FORMULA) else text
