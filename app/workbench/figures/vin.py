"""The number of a trailer."""

from app.trade.vin import check_digit, model_year
from app.workbench.entry import Figure, Figures, Values, day, text


def _number(values: Values) -> Figures:
    number = "".join(values.text("number").replace("-", "").split()).upper()
    return check_digit(number), model_year(number, values.day("on"))


FIGURES = (
    Figure(
        "vin",
        "Check digit and model year",
        "VIN",
        "Is this number right in itself, and which model year does it say?",
        (text("number", "VIN, 17 characters", "1M8GDM9AXKP042788"), day("on", "Read on", "2026-05-04")),
        _number,
    ),
)
