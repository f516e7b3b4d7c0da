"""Dates and hours, and money."""

from tests.workbench.tables.rows import Row, cited, questioned, refused, says, worth

# 5 U.S.C. 6103 as the federal calendar printed them: the day that is kept
KEPT = {
    "2024": ("2024-01-01", "2024-01-15", "2024-02-19", "2024-05-27", "2024-06-19", "2024-11-28"),
    "2026": ("2026-01-01", "2026-01-19", "2026-02-16", "2026-05-25", "2026-06-19", "2026-07-03"),
    "2027": ("2027-01-18", "2027-02-15", "2027-05-31", "2027-06-18", "2027-07-05", "2027-12-24"),
    "2028": ("2028-05-29", "2028-07-04", "2028-09-04", "2028-10-09", "2028-11-10", "2028-11-23"),
}


def _half_up(amount: str, quantity: str, price: str) -> Row:
    return worth("line-amount", amount, quantity=quantity, price=price)


DATES = (
    *cited(
        "5 U.S.C. 6103: a holiday on a Saturday is kept the day before, on a Sunday the day after",
        *(says("holidays", day, year=year) for year, days in KEPT.items() for day in days),
        refused("holidays", "year", "2020 cannot be", year="2020"),
        refused("holidays", "year", "2201 cannot be", year="2201"),
    ),
    *cited(
        "the calendar: months on, the last day where the month is shorter",
        says("due-again", "2027-02-28", done="2026-01-31", months="13"),
        says("due-again", "2028-02-28", done="2027-02-28", months="12"),
        says("due-again", "2028-02-29", done="2027-08-31", months="6"),
        says("due-again", "or at 26,500 miles"),
        says("due-again", "2026-11-04", months="6", every="", at=""),
        refused("due-again", "months", "0 cannot be", months="0"),
        refused("due-again", "months", "361 cannot be", months="361"),
        refused("due-again", "done", "", done="2026-02-30"),
    ),
    *cited(
        "the calendar: working days from Monday, 4 May 2026, with Memorial Day and without",
        says("promised-day", "2026-05-04", days="0", off=""),
        says("promised-day", "2026-05-05", days="1", off=""),
        says("promised-day", "2026-05-08", days="4", off=""),
        says("promised-day", "2026-05-11", days="5", off=""),
        says("promised-day", "2026-05-09", days="5", off="", saturday="yes"),
        says("promised-day", "2026-05-11", days="6", off="", saturday="yes"),
        says("promised-day", "2026-05-25", days="15", off=""),
        says("promised-day", "2026-05-26", days="15", off="", federal="yes"),
        says("promised-day", "2026-05-26", days="15", off="2026-05-25"),
        refused("promised-day", "days", "1001 cannot be", days="1001"),
        refused("promised-day", "off", "", off="2026-02-30"),
    ),
    *cited(
        "division, rounded up to whole days; minutes to tenths of an hour, an exact half up",
        worth("days-of-work", "2", ahead="6", own="6"),
        worth("days-of-work", "3", ahead="6", own="6.1"),
        worth("days-of-work", "1", ahead="", own="6"),
        worth("days-of-work", "1", ahead="", own="24", day="24"),
        worth("hours-worked", "0.1", minutes="3"),
        worth("hours-worked", "0", minutes="2.9"),
        worth("hours-worked", "1.0", minutes="20 20 20"),
        worth("hours-worked", "24.0", minutes="1440"),
        refused("days-of-work", "day", "0", day="0"),
        refused("hours-worked", "minutes", "1441", minutes="1441"),
    ),
)

MONEY = (
    *cited(
        "EN 16931 BT-131, BT-149: quantity x price / base quantity, rounded once, a half up",
        _half_up("133.00", "1.4", "95.00"),
        _half_up("0.01", "1", "0.005"),
        _half_up("0.03", "5", "0.005"),
        _half_up("-10.00", "-1", "10"),
        _half_up("37.47", "3", "12.49"),
        worth("line-amount", "4.17", quantity="1", price="12.50", per="3"),
        worth("line-amount", "0.83", quantity="10", price="8.25", per="100"),
        refused("line-amount", "per", "0", per="0"),
        refused("line-amount", "price", "1000001", price="1000001"),
    ),
    *cited(
        "percent by hand, rounded once, at most the cap",
        worth("capped-share", "25.00", base="500.00"),
        worth("capped-share", "45.00", base="900.00"),
        worth("capped-share", "44.99", base="899.89"),
        worth("capped-share", "45.00", base="900.01"),
        worth("tolerance", "30.00", agreed="300.00"),
        worth("tolerance", "50.00", agreed="500.00"),
        worth("tolerance", "50.00", agreed="500.01"),
        worth("tolerance", "75.00", agreed="1000.00", counts="greater"),
        worth("tolerance", "50.00", agreed="400.00", counts="greater"),
        worth("tolerance", "100.00", agreed="1000.00", counts="greater", cap=""),
        questioned("capped-share", "base", "1,305", base="1,305"),
        refused("capped-share", "share", "101", share="101"),
        refused("tolerance", "fixed", "", fixed="fifty"),
    ),
    *cited(
        "markup by steps, by hand: 60 % to 20.00, 40 % to 100.00, 25 % over; never under the step before",
        worth("selling-price", "16.00", cost="10.00"),
        worth("selling-price", "32.00", cost="20.00"),
        worth("selling-price", "32.00", cost="20.01"),
        worth("selling-price", "42.00", cost="30.00"),
        worth("selling-price", "140.00", cost="100.00"),
        worth("selling-price", "140.00", cost="100.01"),
        worth("selling-price", "250.00", cost="200.00"),
        refused("selling-price", "middle_to", "", middle_to="20.00"),
        refused("selling-price", "high", "401", high="401"),
    ),
    *cited(
        "EN 16931 BR-CO-13 to 17 by hand: lines less discount, tax by rate rounded once, less what is paid",
        worth("bill", {"0": "306.98", "1": "10.23"}, discount="", paid=""),
        worth("bill", {"0": "256.98"}, discount=""),
        worth("bill", {"0": "133.00"}, parts="", discount="", paid=""),
        worth("bill", {"0": "106.25", "1": "6.25"}, parts="100.00", labour="", discount="", paid=""),
        worth("bill", {"0": "236.29", "1": "9.54"}),
        worth("bill", "236.30", coins="yes"),
        refused("bill", "parts", "", parts="", labour=""),
        refused("bill", "parts", "12.345", parts="12.345"),
        refused("bill", "discount", "", discount="9000.00"),
    ),
)

ROWS = (*DATES, *MONEY)
