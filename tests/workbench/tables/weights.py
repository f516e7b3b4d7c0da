"""Weights, tongue, ratings, and the hitch."""

from tests.workbench.tables.rows import cited, judged, refused, says, worth

TICKETS = (
    *cited(
        "three weighings on a 20 lb scale, by hand: 6,780 - 6,060 on the ball; 2u of four and five readings",
        worth("scale-tickets", {"0": "720", "1": "12.0", "2": "6000", "3": "50", "4": "80"}),
        says("scale-tickets", {"0": "720 lb ± 23 lb", "1": "12.0 % ± 0.3", "2": "6,000 lb ± 26 lb"}),
        says("scale-tickets", "± 12 lb", division="10"),
        refused("scale-tickets", "slack_front", "", slack_front="2865"),
        refused("scale-tickets", "engaged_trailer", "", engaged_trailer="5361"),
        refused("scale-tickets", "division", "0", division="0"),
    ),
    *cited(
        "common practice: 10 to 15 % on the ball of a travel trailer, a boat 5 to 15; under 5 not towed",
        judged("tongue-share", "sound", tongue="600", gross="6000", doubt=""),
        judged("tongue-share", "needs", tongue="599", gross="6000", doubt=""),
        judged("tongue-share", "sound", tongue="900", gross="6000", doubt=""),
        judged("tongue-share", "needs", tongue="901", gross="6000", doubt=""),
        judged("tongue-share", "needs", tongue="300", gross="6000", doubt=""),
        judged("tongue-share", "dnt", tongue="299", gross="6000", doubt=""),
        judged("tongue-share", "dnt", tongue="-60", gross="6000", doubt=""),
        judged("tongue-share", "sound", tongue="300", gross="6000", doubt="", kind="boat"),
        judged("tongue-share", "needs", tongue="299", gross="6000", doubt="", kind="boat"),
        judged("tongue-share", "dnt", tongue="239", gross="6000", doubt="", kind="boat"),
        worth("tongue-share", "12", tongue="720", gross="6000"),
        refused("tongue-share", "tongue", "", tongue="4000"),
        refused("tongue-share", "gross", "0", gross="0"),
    ),
    *cited(
        "the lever: reading times its arm over the load's",
        worth("tongue-by-beam", "548", reading="137", load="12", scale="48"),
        worth("tongue-by-beam", "300", reading="100", load="12", scale="36"),
        refused("tongue-by-beam", "scale", "", scale="12"),
        refused("tongue-by-beam", "load", "0", load="0"),
    ),
    *cited(
        "moments about the axle: a jack 22 in behind the ball of 190 in bears 13 % more",
        worth("tongue-by-jack", "725.1", jack="820", behind="22", length="190"),
        refused("tongue-by-jack", "behind", "", behind="186"),
        refused("tongue-by-jack", "behind", "0", behind="0"),
    ),
)

CARGO = (
    *cited(
        "subtraction by hand: 5,600 less 4,380, 300.2 of water, 40 of gas and 55 of battery",
        worth("cargo-room", "824.8", rating="5600", empty="4380", water="300.2", gas="40", gear="55"),
        worth("cargo-room", "918", rating="6000", empty="4750", water="332", gas="", gear=""),
        worth("cargo-room", "0", rating="6000", empty="6000", water="", gas="", gear=""),
        judged("cargo-room", "sound", rating="6000", empty="6000", water="", gas="", gear=""),
        judged("cargo-room", "dnt", rating="6000", empty="6001", water="", gas="", gear=""),
        refused("cargo-room", "rating", "0", rating="0"),
    ),
    *cited(
        "statics by hand: 12 % of 5,200 less 442 over 186 in; what is put in counts in the whole too",
        worth("cargo-to-reach", {"0": "33852", "1": "235.6"}, station="20"),
        worth("cargo-to-reach", {"1": "253.2"}, station="30"),
        worth("cargo-to-reach", {"1": "273.7"}, station="40"),
        worth("cargo-to-reach", {"0": "33852"}, station=""),
        worth("cargo-to-reach", {"0": "0"}, share="8.5"),
        refused("cargo-to-reach", "station", "", station="163.68"),  # 0.88 of 186: it changes no share
        refused("cargo-to-reach", "share", "61", share="61"),
    ),
    *cited(
        "statics by hand: a thing moved changes the ball by weight x way / length",
        worth("cargo-moved", "12.0", thing="300", forward="112.84"),
        worth("cargo-moved", {"0": "8.5", "1": "8.5"}, forward="0"),
        worth("cargo-moved", "7.569", forward="-60"),
        refused("cargo-moved", "forward", "1501", forward="1501"),
        refused("cargo-moved", "thing", "", thing="5201"),
    ),
    *cited(
        "49 CFR 571.3: no load over its rating; the least room governs",
        judged("ratings", "dnt", ball_load="6000"),
        judged("ratings", "sound", ball_load="5900"),
        judged("ratings", "dnt", ball_load="5900", rear_load="3901"),
        judged("ratings", "dnt", ball_load="5900", gvwr_load="7001"),
        judged("ratings", "unseen", ball_load="5900", coupler_rated=""),
        says("ratings", "Ball against the trailer"),
    ),
    *cited(
        "by hand: tongue rating over p, rear room over p (1 + overhang / wheelbase)",
        worth(
            "largest-trailer",
            {"0.room": "500"},
            **{"gvwr": "6000", "coupler": "7000", "axles": "7000", "hitch": "500", "tow": "950"},
            **{"rear": "950", "overhang": "45"},
        ),
        says("largest-trailer", "4,167 lb, by hitch, on the tongue", hitch="500", rear="950", overhang="45"),
        says(
            "largest-trailer",
            "5,991",
            **{"gvwr": "6000", "coupler": "6000", "axles": "7000", "hitch": "1000", "tow": "950"},
            **{"rear": "950", "overhang": "45"},
        ),
        says("largest-trailer", "7,000", share="0", coupler="", hitch="", tow="", rear="", axles=""),
        refused("largest-trailer", "share", "61", share="61"),
        refused("largest-trailer", "wheelbase", "29", wheelbase="29"),
    ),
)

HITCH = (
    *cited(
        "statics of both bodies, solved with numpy: front 3,100, rear 2,950, trailer 6,000, ball 720 lb",
        worth(
            "spring-bars",
            {
                "0.moment": "13824",
                "0.each": "230.4",
                "1.front": "2976.57",
                "1.rear": "3721.43",
                "1.trailer_axles.0": "2676",
                "2.front": "2853.14",
                "2.rear": "3916.86",
                "2.trailer_axles.1": "2640",
            },
        ),
        worth("spring-bars", {"0.moment": "0", "1.front": "2853.14"}, restored="0"),
        worth(
            "spring-bars",
            {
                "0.moment": "27648",
                "0.each": "460.8",
                "1.front": "3100",
                "1.rear": "3526",
                "1.trailer_axles.0": "2712",
            },
            restored="100",
        ),
        worth("spring-bars", {"0.moment": "21827"}, restored="100", overhang="36"),
        worth("spring-bars", {"0.moment": "32914"}, restored="100", overhang="60"),
        worth("bars-by-tickets", "14071"),
        refused("spring-bars", "restored", "101", restored="101"),
        refused("spring-bars", "tongue", "", tongue="6001"),
    ),
    *cited(
        "straight springs: what the fender came back of what it rose",
        worth("restored-by-height", "50"),
        worth("restored-by-height", "100", engaged="32 1/2"),
        worth("restored-by-height", "0", engaged="33 1/2"),
        refused("restored-by-height", "slack", "", slack="32 1/2"),
    ),
    *cited(
        "subtraction: shank and ball less coupler and squat, to the nearest step",
        worth("drawbar-drop", {"0.drop": "0.75"}, shank="17.5", step="0.75"),
        worth("drawbar-drop", {"0.drop": "0.5", "0.left_over": "0"}, shank="17.5", step="0.5"),
        refused("drawbar-drop", "shank", "36", shank="36"),
        refused("drawbar-drop", "coupler", "7", coupler="7"),
    ),
    *cited(
        "common practice: level or a little down; up by at most 1 in",
        judged("level", "sound", front="20", rear="20"),
        judged("level", "sound", front="21", rear="20"),
        judged("level", "needs", front="21 1/16", rear="20"),
        says("level", "1.06 in nose up", front="21 1/16", rear="20"),
    ),
    *cited(
        "49 CFR 393.108: working loads times 4, 3 and 4 for grades 30, 43 and 70; two chains",
        worth("chains", "10400", mark="30 1/4", chains="", rating="6000"),
        judged("chains", "needs", mark="30 1/4", chains="", rating="6000"),  # together, but not each
        judged("chains", "sound", mark="30 5/16", chains="", rating="6000"),  # 7,600 each
        worth("chains", "15600", mark="43 1/4", chains="", rating="6000"),
        worth("chains", "23400", mark="43 5/16", chains="", rating="6000"),
        worth("chains", "25200", mark="70 1/4", chains="", rating="6000"),
        worth("chains", "37600", mark="70 5/16", chains="", rating="6000"),
        worth("chains", "21200", mark="30 3/8", chains="", rating="6000"),
        judged("chains", "dnt", mark="30 1/4", chains="", rating="10401"),
        judged("chains", "needs", mark="30 1/4", chains="", rating="10400"),
        judged("chains", "needs", chains="7000", count="1", rating="7000"),
        refused("chains", "rating", "0", rating="0"),
    ),
)

ROWS = (*TICKETS, *CARGO, *HITCH)
