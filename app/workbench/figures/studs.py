"""Studs: stress area, proof load, clamp, and the torque that goes with it."""

from app.trade.threads import (
    StudGrade,
    Thread,
    clamp_from_torque,
    clamp_target,
    proof_load,
    read_thread,
    share_of_proof,
    stress_area,
    torque_for_clamp,
)
from app.workbench.entry import (
    TORQUE,
    Field,
    Figure,
    Figures,
    Values,
    choice,
    number,
    text,
)

SECTION = "Wheel nuts and studs"
K = number(
    "k",
    "K, nut factor",
    "",
    "0.20",
    ("0.01", "1"),
    usual=("0.08", "0.35"),
    start="0.20",
    hint="0.20 for dry steel; oil and anti-seize 0.13 to 0.17",
)
THREAD = text("thread", "Thread", "1/2-20", parse=read_thread, hint="Such as 1/2-20 or M12x1.5")


def _grade(known: bool) -> Field:  # noqa: FBT001 - said at each use
    marks = [(each.value, each.value) for each in StudGrade if each is not StudGrade.UNKNOWN]
    unknown = [] if known else [(StudGrade.UNKNOWN.value, "not marked")]
    return choice("grade", "Grade or class marked on the stud", [*unknown, *marks], "8")


def _strength(values: Values) -> Figures:
    thread, grade = values.of("thread", Thread), StudGrade(values.text("grade"))
    clamp = clamp_target(thread, grade, values.number("share"))
    torque = torque_for_clamp(thread, clamp.value, values.number("k"))
    return stress_area(thread), proof_load(thread, grade), clamp, torque


def _clamp(values: Values) -> Figures:
    thread, grade = values.of("thread", Thread), StudGrade(values.text("grade"))
    torque = values.quantity("torque")
    clamp = clamp_from_torque(thread, torque.value, torque.unit, values.number("k"))
    return (clamp,) if grade is StudGrade.UNKNOWN else (clamp, share_of_proof(thread, grade, clamp))


FIGURES = (
    Figure(
        "stress-area",
        "Stress area of a thread",
        SECTION,
        "Which area of this thread carries the load?",
        (THREAD,),
        lambda values: (stress_area(values.of("thread", Thread)),),
    ),
    Figure(
        "stud-strength",
        "Strength of a stud, and its torque",
        SECTION,
        "What does this stud bear, and which torque clamps it so?",
        (
            THREAD,
            _grade(known=True),
            number("share", "Share of the proof load", "", "0.75", ("0.01", "1"), start="0.75"),
            K,
        ),
        _strength,
    ),
    Figure(
        "clamp",
        "Clamp of a torque",
        SECTION,
        "How hard does this torque clamp, and is the stud stretched?",
        (
            THREAD,
            number("torque", "Torque", TORQUE, "110", ("0.1", "2000")),
            K,
            _grade(known=False),
        ),
        _clamp,
    ),
)
