"""12 V, plugs and lamps, mains and appliances."""

from tests.workbench.tables.rows import Row, cited, judged, near, pairs, questioned, refused, says, worth

# NEC chapter 9 table 8, ohms for 1,000 ft of uncoated stranded copper at 75 °C
STRANDED = "18 7.95 16 4.99 14 3.14 12 1.98 10 1.24 8 0.778 6 0.491 4 0.308"
# NEC 240.4(D), the greatest fuse of small wires
FUSES = "18 7 16 10 14 15 12 20 10 30"


def _drop(gauge: str, ohms: str) -> Row:
    """What 10 A lose over 50 ft out and 50 ft back."""
    lost = float(ohms) / 1000 * 100 * 10
    return near("voltage-drop", "1", f"{lost:.4f}", amps="10", way="50", gauge=gauge)


WIRES = (
    *cited(
        "NEC chapter 9 table 8: ohms for 1,000 ft at 75 °C, within its rounding",
        *(_drop(gauge, ohms) for gauge, ohms in pairs(STRANDED)),
    ),
    *cited(
        "Ohm by hand: 12 A over 25 ft each way on 12.6 V, stranded copper at 75 °C",
        worth("voltage-drop", "1.18", gauge="12"),
        worth("voltage-drop", "0.743", gauge="10"),
        worth("voltage-drop", "0.468", gauge="8"),
        judged("voltage-drop", "needs", gauge="8"),
        judged("voltage-drop", "sound", gauge="6"),
        judged("voltage-drop", "sound", gauge="12", most="10"),
        says("voltage-drop", "9.4 %", gauge="12"),
        says("voltage-drop", "5.9 %", gauge="10"),
        says("voltage-drop", "3.7 %", gauge="8"),
        says("wire-size", "6 AWG"),
        says("wire-size", "10 AWG", most="10", fuse="30"),
        refused("voltage-drop", "amps", "0", amps="0"),
        refused("voltage-drop", "way", "0", way="0"),
        refused("voltage-drop", "warm", "121", warm="121"),
        refused("wire-size", "amps", "", amps="500", way="200", fuse="500"),
    ),
    *cited(
        "NEC 240.4(D) and 310.16 at 60 °C: 15, 20 and 30 A on 14, 12 and 10 AWG",
        *(worth("fuse", amps, gauge=gauge, fuse="5") for gauge, amps in pairs(FUSES)),
        judged("fuse", "sound", gauge="12", fuse="20"),
        judged("fuse", "needs", gauge="12", fuse="20.1"),
        judged("fuse", "sound", gauge="14", fuse="15"),
        judged("fuse", "needs", gauge="14", fuse="16"),
        judged("fuse", "sound", gauge="10", fuse="30"),
        judged("fuse", "needs", gauge="10", fuse="35"),
        refused("fuse", "fuse", "0", fuse="0"),
    ),
    *cited(
        "common practice: nine tenths of the plug's volts at the lamp, 0.2 V in the ground",
        judged("lamp-volts", "sound", plug="12", lamp="10.8"),
        judged("lamp-volts", "needs", plug="12", lamp="10.79"),
        judged("lamp-volts", "sound", ground="0.2"),
        judged("lamp-volts", "needs", ground="0.21"),
        judged("lamp-volts", "unseen", lamp="13", plug="12"),
        refused("lamp-volts", "plug", "19", plug="19"),
    ),
)

BATTERIES = (
    *cited(
        "BCI: volts of a rested flooded battery at 80 °F, straight lines between",
        worth("state-of-charge", "100", volts="12.65", warm="80"),
        worth("state-of-charge", "75", volts="12.45", warm="80"),
        worth("state-of-charge", "50", volts="12.24", warm="80"),
        worth("state-of-charge", "25", volts="12.06", warm="80"),
        worth("state-of-charge", "0", volts="11.89", warm="80"),
        near("state-of-charge", "1", "57", volts="12.30", warm="80"),
        near("state-of-charge", "1", "60", volts="12.40", warm="50", by_table="yes"),
        near("state-of-charge", "1", "69", volts="12.40", warm="70"),
        judged("state-of-charge", "sound", volts="12.45", warm="80"),
        judged("state-of-charge", "needs", volts="12.23", warm="80"),
        questioned("state-of-charge", "volts", "8.9", volts="8.9"),
        questioned("state-of-charge", "volts", "15.1", volts="15.1"),
        refused("state-of-charge", "volts", "19", volts="19"),
    ),
    *cited(
        "Peukert: 20 h x (C / 20 I)^k, in minutes by hand",
        worth("breakaway-battery", "18.2", amps="8.2", rated="5", exponent="1.2"),
        worth("breakaway-battery", "8.0", amps="16.3", rated="5", exponent="1.2"),
        worth("breakaway-battery", "60", amps="5", rated="5", exponent="1"),
        refused("breakaway-battery", "amps", "0", amps="0"),
        refused("breakaway-battery", "exponent", "1.7", exponent="1.7"),
    ),
    *cited(
        "49 CFR 393.43(d): at least 15 minutes",
        judged("breakaway-battery", "sound", amps="8.2"),
        judged("breakaway-battery", "needs", amps="16.3"),
        judged("breakaway-battery", "sound", amps="20", rated="5", exponent="1"),
        judged("breakaway-battery", "needs", amps="20.1", rated="5", exponent="1"),
    ),
    *cited(
        "common practice: 10.5 V under load, 13.2 to 14.4 V of a converter, half a volt of ripple",
        judged("battery-load", "sound", volts="10.5"),
        judged("battery-load", "needs", volts="10.49"),
        judged("converter", "sound", idle="13.2", loaded="13.0", ripple="0.5"),
        judged("converter", "sound", idle="14.4"),
        judged("converter", "watch", idle="13.1"),
        judged("converter", "watch", idle="14.5"),
        judged("converter", "needs", loaded="12.9"),
        judged("converter", "needs", ripple="0.51"),
        refused("converter", "idle", "31", idle="31"),
    ),
)

LAMPS = (
    *cited(
        "SAE J1239: four flat wires, white ground, brown tail, yellow left, green right",
        says("plug-pins", "white ground; brown tail", plug="flat4"),
        says("plug-pins", "yellow left stop and turn; green right stop and turn", plug="flat4"),
    ),
    *cited(
        "SAE J2863 and ISO 1724, ISO 11446 (from memory): functions by cavity",
        says("plug-pins", "electric brakes", plug="blade7"),
        says("plug-pins", "1 left", plug="iso7"),
        says("plug-pins", "right", plug="round7"),
        refused("plug-pins", "plug", "not one of the choices", plug="flat5"),
    ),
    *cited(
        "49 CFR 571.108 table I-b: clearance and identification lamps from 80 in of width",
        says("lamps", "2 × front clearance lamp, amber", width="80"),
        says("lamps", "3 × rear identification lamp, red", width="80"),
        says("lamps", "2 × rear side reflector, red", width="79.9"),
        says("lamps", "3 × rear identification lamp, red", width="2032", width_unit="mm"),
        says("lamps", "intermediate", length="30"),
        says("lamps", "intermediate", length="9.144", length_unit="m"),
        refused("lamps", "width", "9", width="9"),
        refused("lamps", "length", "1", length="1"),
    ),
)

MAINS = (
    *cited(
        "NEC 551.56: all metal bonded, neutral apart; 1 ohm is common practice",
        judged("ground-and-bond", "sound", ohms="0.1 1"),
        judged("ground-and-bond", "needs", ohms="0.1 1.01"),
        judged("ground-and-bond", "needs", apart=""),
        says("ground-and-bond", "at most 1.00 ohm, point 2", ohms="0.1 1"),
    ),
    *cited(
        "NEC 551.40 and 551.56: right at every outlet, the interrupter trips; volts are common practice",
        judged("live-test", "sound", skin="2"),
        judged("live-test", "needs", skin="2.1"),
        judged("live-test", "sound", line="100"),
        judged("live-test", "needs", line="99"),
        judged("live-test", "sound", line="130"),
        judged("live-test", "needs", line="131"),
        judged("live-test", "needs", button="no"),
        judged("live-test", "needs", tester="no"),
        judged("live-test", "needs", right="5"),
        refused("live-test", "right", "", right="7"),
        refused("live-test", "outlets", "0 cannot be", outlets="0"),
    ),
    *cited(
        "ANSI Z21 (from memory): a flame gone, the valve shuts within 90 s",
        judged("safety-valve", "sound", seconds="90"),
        judged("safety-valve", "needs", seconds="90.1"),
        refused("safety-valve", "seconds", "3601", seconds="3601"),
    ),
    *cited(
        "40 CFR 50.8(a)(1): 9 ppm over eight hours; over what stands outside is common practice",
        judged("carbon-monoxide", "sound", inside="9", outside="0"),
        judged("carbon-monoxide", "needs", inside="9.1", outside="0"),
        judged("carbon-monoxide", "sound", inside="12", outside="3"),
        refused("carbon-monoxide", "inside", "10001", inside="10001"),
    ),
)

ROWS = (*WIRES, *BATTERIES, *LAMPS, *MAINS)
