"""Bearings, end play, the spindle nut and grease."""

from tests.workbench.tables.rows import Row, cited, judged, questioned, refused, says, worth


def _set(cone: str, cup: str, bore: str, cup_in: str) -> Row:
    return worth("bearing", {"0.cup": cup, "0.bore_in": bore, "0.cup_in": cup_in}, cone=cone)


PLAY = (
    *cited(
        "common practice: a trailer's hub has 0.001 to 0.010 in; over 0.030 in it is asked",
        judged("end-play", "sound", play="0.001"),
        judged("end-play", "sound", play="0.010"),
        judged("end-play", "needs", play="0.0101"),
        judged("end-play", "sound", play="0.0254", play_unit="mm"),
        judged("end-play", "sound", play="0.254", play_unit="mm"),
        judged("end-play", "needs", play="0.255", play_unit="mm"),
        questioned("end-play", "play", "0.031", play="0.031"),
        questioned("end-play", "play", "0", play="0"),
        questioned("end-play", "play", "0.8", play="0.8", play_unit="mm"),
        refused("end-play", "play", "-0.001", play="-0.001"),
        refused("end-play", "play", "1.1", play="1.1"),
    ),
    *cited(
        "TMC RP 618, as restated in the trade press: heavy hubs have 0.001 to 0.005 in",
        judged("end-play", "sound", play="0.005", axle="heavy"),
        judged("end-play", "needs", play="0.0051", axle="heavy"),
        judged("end-play", "sound", play="0.127", play_unit="mm", axle="heavy"),
    ),
)

NUT = (
    *cited(
        "geometry: the pitch of the thread times the part of a turn",
        worth("nut-movement", "0.01190", thread="1-14", turned="60"),
        worth("nut-movement", "0.00893", thread="1-14", turned="45"),
        worth("nut-movement", "0.00446", thread="1-14", turned="22.5"),
        worth("nut-movement", "0.00595", thread="1-14", turned="30"),
        worth("nut-movement", "0.00926", thread="5/8-18", turned="60"),
        worth("nut-movement", "0.00463", thread="5/8-18", turned="30"),
        worth("nut-movement", "0.00833", thread="1/2-20", turned="60"),
        worth("nut-movement", "0.00313", thread="1/2-20", turned="22.5"),
        worth("nut-movement", "0", turned="0"),
        worth("nut-angle", "25.2", movement="0.005"),
        worth("nut-angle", "60.0", movement="0.0119048"),
        worth("nut-angle", "32.4", thread="5/8-18", movement="0.005"),
        worth("nut-angle", "24.0", thread="M24x1.5", movement="0.1", movement_unit="mm"),
        refused("nut-movement", "turned", "-1", turned="-1"),
        refused("nut-movement", "turned", "3601", turned="3601"),
        refused("nut-angle", "thread", "", thread="14 a inch"),
        refused("nut-angle", "movement", "1.1", movement="1.1"),
    ),
    *cited(
        "geometry: the greatest common part of the slots' step and the holes' step",
        worth("lock-step", "60", slots="6", holes="2"),
        worth("lock-step", "60", slots="6", holes="1"),
        worth("lock-step", "30", slots="6", holes="4"),
        worth("lock-step", "45", slots="8", holes="2"),
        worth("lock-step", "36", slots="10", holes="2"),
        worth("lock-step", "18", slots="10", holes="4"),
        worth("lock-step", "20", slots="18", holes="2"),
        worth("lock-step", "8", slots="9", holes="5"),
        refused("lock-step", "slots", "2 cannot be", slots="2"),
        refused("lock-step", "holes", "0 cannot be", holes="0"),
    ),
    *cited(
        "US Army TM 9-2330-202-13&P WP 0054: seat at 30 lbf·ft, back off a sixteenth of a turn, finger-tight",
        says("bearing-adjustment", "seat 30 lbf·ft (41 N·m)", hub="utility"),
        says("bearing-adjustment", "1/16 turn", hub="utility"),
    ),
    *cited(
        "US Army TM 9-2330-202-13&P WP 0055: until it binds, back a sixth of a turn, two nuts",
        says("bearing-adjustment", "1/6 turn", hub="two nuts"),
    ),
    *cited(
        "common practice for light trailers; TMC RP 618 for heavy ones, from memory",
        says("bearing-adjustment", "seat about 50 lbf·ft (68 N·m)", hub="light"),
        says("bearing-adjustment", "a new cotter pin, ends bent", hub="light"),
        says("bearing-adjustment", "200", hub="heavy"),
    ),
)

NUMBERS = (
    *cited(
        "ABMA 19.2, inch series (from memory): cone, its cup, bore and outside diameter",
        _set("LM11949", "LM11910", "0.7500", "1.7810"),
        _set("L44643", "L44610", "1.0000", "1.9800"),
        _set("L44649", "L44610", "1.0625", "1.9800"),
        _set("LM67048", "LM67010", "1.2500", "2.3280"),
        _set("15123", "15245", "1.2500", "2.4409"),
        _set("14125A", "14276", "1.2500", "2.7170"),
        _set("02475", "02420", "1.2500", "2.6875"),
        _set("L68149", "L68111", "1.3775", "2.3612"),
        _set("25580", "25520", "1.7500", "3.2650"),
        _set("387A", "382A", "2.2500", "3.8125"),
        says("bearing-by-bore", "LM11949", bore="19.05", bore_unit="mm"),
        says("bearing-by-bore", "L68149", bore="34.988", bore_unit="mm"),
        says("bearing-by-bore", "LM67048, 15123, 14125A, 02475", bore="31.75", bore_unit="mm"),
        says("bearing-by-bore", "387A", bore="2.25"),
        refused("bearing", "cone", "", cone="L99999"),
        refused("bearing-by-bore", "bore", "11", bore="11"),
    ),
    *cited(
        "common practice: usual bearings by the capacity on the axle's plate",
        says("hub-by-capacity", "L44643 or L44649", capacity="1000"),
        says("hub-by-capacity", "inner L68149, outer L44649, seal 1.719 x 2.565 in", capacity="3500"),
        says("hub-by-capacity", "inner 25580, outer LM67048 or 15123", capacity="5200"),
        says("hub-by-capacity", "inner 25580, outer LM67048 or 15123", capacity="6000"),
        says("hub-by-capacity", "outer 02475", capacity="8000"),
        says("hub-by-capacity", "inner 387A, outer 25580", capacity="10000"),
        says("hub-by-capacity", "inner 25580, outer 14125A", capacity="3175.1466", capacity_unit="kg"),
        refused("hub-by-capacity", "capacity", "0", capacity="0"),
    ),
)

SERVICE = (
    *cited(
        "common practice: 12 months or 12,000 miles, whichever comes first",
        worth("bearing-service", "2027-05-04", done="2026-05-04"),
        judged("bearing-service", "sound", done="2025-05-04", on="2026-05-03"),
        judged("bearing-service", "needs", done="2025-05-04", on="2026-05-05"),
        judged("bearing-service", "sound", miles="11999"),
        judged("bearing-service", "needs", miles="12001"),
        judged("bearing-service", "needs", done="", miles=""),
        judged("bearing-service", "needs", miles="19400", miles_unit="km"),
        judged("bearing-service", "sound", miles="19200", miles_unit="km"),
        refused("bearing-service", "miles", "-1", miles="-1"),
    ),
    *cited(
        "ASTM D4950 (from memory): GC is for wheel bearings, LB for the chassis; a hub wants both",
        judged("grease", "sound", category="GC-LB"),
        judged("grease", "needs", category="LB"),
        judged("grease", "needs", category="LA"),
        judged("grease", "needs", category="none"),
        judged("grease", "needs", nlgi="1"),
        judged("grease", "needs", nlgi="3"),
        judged("grease", "needs", boat="yes"),
        judged("grease", "sound", boat="yes", water="yes"),
    ),
    *cited(
        "common practice: thickeners are not mixed, and what is not known is washed out",
        judged("grease", "needs", thickener="polyurea"),
        judged("grease", "needs", there="unknown"),
        judged("grease", "sound", there="nothing, washed clean", thickener="polyurea"),
        judged("grease", "needs", thickener="calcium sulfonate", there="lithium"),
        refused("grease", "nlgi", "7 is not one of the choices", nlgi="7"),
        refused("grease", "there", "honey is not one of the choices", there="honey"),
    ),
)

ROWS = (*PLAY, *NUT, *NUMBERS, *SERVICE)
