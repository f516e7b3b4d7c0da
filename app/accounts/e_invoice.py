"""A bill for programs: UBL 2.1, offered only where it keeps the rules of EN 16931."""

from app.accounts import en16931, ubl
from app.accounts.document import Bill
from app.accounts.en16931 import Broken


def e_invoice(bill: Bill) -> tuple[bytes, list[Broken]]:
    """A bill as UBL, and the rules of EN 16931 that it breaks."""
    content = ubl.to_ubl(bill)
    return content, en16931.broken(content)
