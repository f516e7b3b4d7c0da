"""Road test: creep, stop, lever, steady speed, full turns, hubs by the infrared thermometer."""

from app.bench.kinds import Context, Judged, put, refused_at
from app.bench.rows import Flat, Read, Row, faults, judged, looked, row_kind, words
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.stops import CAUTION, Combination, hub_heat, question_stop, stop_from_20
from app.trade.typed import Reader

SWAY = (("none", "Dies in two swings"), ("stays", "Goes on longer"), ("grows", "Grows"))
WHAT = (("light", "GVWR 3,000 lb or less, two-axle tow vehicle"), ("other", "Any other"))
SIDES = ("left", "right")
HUBS = {f"hub_{n}_{side}": f"Hub {side}, axle {n}" for n in (1, 2, 3) for side in SIDES}
ROAD = "road, dry or wet, load, wind"


class RoadTest(Flat):
    """One drive. Miles, mph and feet as typed; hubs in °F, empty where the trailer has none."""

    tow_vehicle: str
    road: str
    second_person: str
    miles: str
    grips: str
    what: str
    speed: str
    distance: str
    straight: str
    lag: str = ""
    lever: str
    sway: str
    quiet: str
    turns: str
    hub_1_left: str
    hub_1_right: str
    hub_2_left: str = ""
    hub_2_right: str = ""
    hub_3_left: str = ""
    hub_3_right: str = ""
    after: str


def rows(context: Context) -> tuple[Row, ...]:
    """The rows of a drive, in the order of the road."""
    return (*BEFORE, *_stop_rows(context), *ON_THE_ROAD, *_hub_rows(context), *AFTER)


BEFORE = (
    words(
        "tow_vehicle",
        "Tow vehicle",
        required="The tow vehicle is missing",
        head="Before it rolls",
        stays=True,
    ),
    words("road", "Road, load and weather", ROAD, required="The road is missing"),
    words("second_person", "Second person", required="Two people: the second one is missing"),
    Row("miles", "Miles driven", "mi", "5 to 10", "0.1", "100", required="The miles are missing"),
)
ON_THE_ROAD = (
    looked("straight", "Stops straight, no pull"),
    looked("lag", "Brakes come on with the pedal, no lag", may_lack=True),
    looked("lever", "Lever at 25 mph: brakes, no wheel locks", may_lack=True),
    Row("sway", "Sway at 45 to 55 mph, hands light", options=SWAY, required="Sway: say what it did"),
    looked("quiet", "Rough patch: quiet, nothing loose"),
    looked("turns", "Full turns both ways: chains and plug free"),
)
AFTER = (looked("after", "Nuts at full torque, pressures, no leak", head="Standing again"),)


def _stop_rows(context: Context) -> tuple[Row, ...]:
    grips = looked("grips", "Creep, lever only: each side grips", may_lack=True, head="On the road")
    missing = "The stop from about 20 mph is missing"
    return (
        grips,
        Row("what", "Trailer", options=WHAT, required="Say which", start=_usual(context)),
        Row("speed", "Stopped from", "mph", "20", "1", "25", required=missing),
        Row("distance", "Stopped in", "ft", "at most 40, light trailers 35", "1", "300", required=missing),
    )


def _usual(context: Context) -> str:
    try:
        light = bool(context.gvwr) and Quantity(context.gvwr, context.gawr_unit).to("lb") <= 3000
    except Impossible:
        light = False
    return Combination.LIGHT if light else Combination.OTHER


def _hub_rows(context: Context) -> tuple[Row, ...]:
    reach = "at most 200, at most 50 over the others"
    return tuple(
        Row(
            name,
            label,
            "degF",
            reach,
            "-20",
            "900",
            required=f"{label}: the temperature is missing" if name[4] == "1" else "",
            head="Hubs, same spot, within 2 min of stopping" if name == "hub_1_left" else "",
        )
        for name, label in HUBS.items()
        if int(name[4]) <= context.axles
    )


def check(form: Reader, _context: Context) -> None:
    """A stop that is no stop is asked about."""
    if refused_at(form, "speed") or refused_at(form, "distance"):
        return
    speed, distance = Quantity(form.raw("speed"), "mph"), Quantity(form.raw("distance"), "ft")
    put(form, question_stop("distance", distance, speed))
    if not 18 <= speed.value <= 22:
        form.wrong("speed", f"From {speed} nothing can be told about 20 mph", "18 to 22 mph")


def judge(record: RoadTest, _context: Context) -> Judged:
    """The heaviest of: stop, hubs, sway and all that was seen and heard."""
    distance, speed = Quantity(record.distance, "ft"), Quantity(record.speed, "mph")
    hubs = {HUBS[name]: Quantity(getattr(record, name), "degF") for name in HUBS if getattr(record, name)}
    figures: list[Worked[object]] = [stop_from_20(distance, speed, Combination(record.what)), hub_heat(hubs)]
    return judged(figures, _seen(record))


FAULTS = {
    "grips": Verdict(Grade.DNT, "A side does not grip"),
    "straight": Verdict(Grade.NEEDS, "Pulls to one side in a stop", By.TOWING),
    "lag": Verdict(Grade.NEEDS, "Brakes come on late: the trailer pushes", By.TOWING),
    "lever": Verdict(Grade.NEEDS, "Lever: a wheel locks, or does not brake", By.TOWING),
    "quiet": Verdict(Grade.NEEDS, "Noise, or something loose", By.SOON),
    "turns": Verdict(Grade.NEEDS, "Chains or plug pulled tight in a turn", By.TOWING),
    "after": Verdict(Grade.NEEDS, "A nut moved, or something leaks", By.TOWING),
}
SWAYED = {
    "grows": (Verdict(Grade.DNT, "Sway grows at steady speed"),),
    "stays": (Verdict(Grade.NEEDS, "Sway goes on longer than two swings", By.TOWING),),
    "none": (),
}


def _seen(record: RoadTest) -> list[Verdict]:
    found = [*faults(record, FAULTS), *SWAYED[record.sway]]
    return found or [Verdict(Grade.SOUND, f"{record.miles} miles, no pull, no sway")]


KIND = row_kind(
    "road_test",
    "Road test",
    "unit",
    RoadTest,
    judge,
    Read(rows, ("thermometer",), check, CAUTION, tool_required=False, cautions=("c12", "c11")),
)
