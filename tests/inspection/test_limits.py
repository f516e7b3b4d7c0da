"""Every limit of the walk-round, just inside, at and just outside, as published; in the other units too.

A bare number is a section of 49 CFR; Md is COMAR 11.14.05, Md22 COMAR 11.22.04, Va 19VAC30-70, Me 16-222
C.M.R. ch. 1, R NFPA 1192, N NEC 551 (the last two from memory). Where no source stands, the limit is common
practice.
"Not less than" and "not more than" hold at the figure itself; "or less" and "or more" do not.
"""

from collections import defaultdict
from datetime import date
from decimal import Decimal

import pytest

from app.inspection.catalogue import Check, Measure
from app.inspection.rules import Judgement, UnitFacts, judge, read_readings
from app.trade.figure import Grade
from tests.inspection.walks import CATALOGUE

DAY = date(2026, 5, 4)
D, W, S, X = "dnt", "watch", "sound", "unseen"
B, U, N = "needs towing", "needs use", "needs soon"

NUMBERS = [
    # play between ball and socket: 1/16 in
    ("cp.lift", "gap", "0.0624", S),
    ("cp.lift", "gap", "1/16", S),
    ("cp.lift", "gap", "0.0626", N),
    # a ball worn by 1/32 in
    ("cp.ball", "worn", "0.0312", S),
    ("cp.ball", "worn", "1/32", D),
    ("cp.ball", "worn", "0.0313", D),
    # rock of the ball mount: 1/4 in
    ("cp.mount", "rock", "0.249", S),
    ("cp.mount", "rock", "1/4", S),
    ("cp.mount", "rock", "0.251", N),
    # common practice: 19VAC30-70-120(4) says worn and names no figure; 20 percent of the wire
    ("cp.chain_state", "worn", "19.9", S),
    ("cp.chain_state", "worn", "20", S),
    ("cp.chain_state", "worn", "20.1", D),
    # chains above the road: 3 in; none may drag
    ("cp.slack", "gap", "0", B),
    ("cp.slack", "gap", "0.1", N),
    ("cp.slack", "gap", "2.9", N),
    ("cp.slack", "gap", "3", S),
    ("cp.slack", "gap", "3.1", S),
    # a rested lead battery at about 80 percent of charge: 12.4 V
    ("bk.battery", "rested", "12.39", N),
    ("bk.battery", "rested", "12.4", S),
    ("bk.battery", "rested", "12.41", S),
    # a rail bowed by 1/2 in in 10 ft
    ("fr.rails", "bow", "0.49", S),
    ("fr.rails", "bow", "1/2", S),
    ("fr.rails", "bow", "0.51", N),
    # loss of section: a tenth to a quarter soon, more before towing; Va 120 for "weakened"
    ("fr.rust", "lost", "9.9", S),
    ("fr.rust", "lost", "10", N),
    ("fr.rust", "lost", "25", N),
    ("fr.rust", "lost", "25.1", B),
    # any loose crossmember or body fastener: 393.201(b)
    ("fr.cross", "loose", "0", S),
    ("fr.cross", "loose", "1", B),
    ("fr.cross", "loose", "2", B),
    ("fr.body", "loose", "0", S),
    ("fr.body", "loose", "1", B),
    ("fr.body", "loose", "2", B),
    # Md .03(2)(f): not less than 1/4 in of thread beyond the nut
    ("su.ubolt", "thread", "0.249", B),
    ("su.ubolt", "thread", "1/4", S),
    ("su.ubolt", "thread", "0.251", S),
    # common practice: 19VAC30-70-120(1) says bent and names no figure
    ("su.hanger", "bent", "0.124", S),
    ("su.hanger", "bent", "1/8", S),
    ("su.hanger", "bent", "0.126", D),
    # slot worn in a shackle: 1/16 in, 1/8 in
    ("su.shackle", "slot", "0.062", S),
    ("su.shackle", "slot", "1/16", S),
    ("su.shackle", "slot", "0.063", N),
    ("su.shackle", "slot", "1/8", N),
    ("su.shackle", "slot", "0.126", B),
    # play in a bush: 1/16 in
    ("su.bush", "play", "0.062", S),
    ("su.bush", "play", "1/16", S),
    ("su.bush", "play", "0.063", N),
    # slot at the pivot of an equalizer: 1/8 in
    ("su.equal", "slot", "0.124", S),
    ("su.equal", "slot", "1/8", S),
    ("su.equal", "slot", "0.126", N),
    # arms of a rubber torsion axle: 5 degrees apart
    ("su.torsion", "apart", "4.9", S),
    ("su.torsion", "apart", "5", S),
    ("su.torsion", "apart", "5.1", B),
    # camber one degree either way under load, toe 1/8 in either way
    ("su.camber", "camber", "-1.01", N),
    ("su.camber", "camber", "-1", S),
    ("su.camber", "camber", "-0.99", S),
    ("su.camber", "camber", "0.99", S),
    ("su.camber", "camber", "1", S),
    ("su.camber", "camber", "1.01", N),
    ("su.camber", "toe", "-0.126", N),
    ("su.camber", "toe", "-1/8", S),
    ("su.camber", "toe", "0", S),
    ("su.camber", "toe", "1/8", S),
    ("su.camber", "toe", "0.126", N),
    # tapes from coupler to spindle ends: 1/8 in apart
    ("su.square", "off", "0.124", S),
    ("su.square", "off", "1/8", S),
    ("su.square", "off", "0.126", N),
    # 393.70(a): not more than 3 in to either side of the path of the tow vehicle
    ("su.square", "track", "2.9", S),
    ("su.square", "track", "3", S),
    ("su.square", "track", "3.1", B),
    # 570.10(c): all nuts and studs in place
    ("wh.studs", "broken", "0", S),
    ("wh.studs", "broken", "1", D),
    ("wh.studs", "broken", "2", D),
    ("wh.nuts", "loose", "0", S),
    ("wh.nuts", "loose", "1", D),
    ("wh.nuts", "loose", "2", D),
    # 570.10(b): runout not over 1/8 in; the aims of a shop are 0.045 in at the bead, 0.060 in at the tread
    ("wh.runout", "bead", "0.044", S),
    ("wh.runout", "bead", "0.045", S),
    ("wh.runout", "bead", "0.046", N),
    ("wh.runout", "bead", "1/8", N),
    ("wh.runout", "bead", "0.126", B),
    ("wh.runout", "tread", "0.059", S),
    ("wh.runout", "tread", "0.060", S),
    ("wh.runout", "tread", "0.061", N),
    # tire to body or fender: 3/4 in
    ("wh.clear", "gap", "0.74", N),
    ("wh.clear", "gap", "3/4", S),
    ("wh.clear", "gap", "0.76", S),
    # 570.62(a), 393.75(c): not less than 2/32 in; under 4 soon, under 5 watched
    ("ti.tread", "least", "1.99", D),
    ("ti.tread", "least", "2", N),
    ("ti.tread", "least", "3.99", N),
    ("ti.tread", "least", "4", W),
    ("ti.tread", "least", "4.99", W),
    ("ti.tread", "least", "5", S),
    ("ti.tread", "least", "5.01", S),
    # cracks over 1/32 in deep
    ("ti.crack", "deep", "0.9", S),
    ("ti.crack", "deep", "1", S),
    ("ti.crack", "deep", "1.1", B),
    # Me 200.70 B in its sense: scores of 0.015 in
    ("br.drum_state", "score", "0.014", S),
    ("br.drum_state", "score", "0.015", S),
    ("br.drum_state", "score", "0.016", N),
    # 570.59: pads not under 1/16 in; a shop's own 1/8 in
    ("br.pad", "pad", "1.9", D),
    ("br.pad", "pad", "2", N),
    ("br.pad", "pad", "3.9", N),
    ("br.pad", "pad", "4", S),
    ("br.pad", "pad", "4.1", S),
    # water in brake fluid: 3 percent
    ("br.fluid", "water", "2.9", S),
    ("br.fluid", "water", "3", S),
    ("br.fluid", "water", "3.1", N),
    # Maryland Transportation 22-204(f): plate legible at 50 ft
    ("la.plate", "read_at", "49.9", B),
    ("la.plate", "read_at", "50", S),
    ("la.plate", "read_at", "50.1", S),
    # 571.108 tables: lamp centres not less than 15 in, not more than 72 in
    ("la.place", "height", "14.9", N),
    ("la.place", "height", "15", S),
    ("la.place", "height", "15.1", S),
    ("la.place", "height", "71.9", S),
    ("la.place", "height", "72", S),
    ("la.place", "height", "72.1", N),
    # a tenth of 12 V lost in the feed, 0.2 V in the ground
    ("la.drop", "feed", "1.19", S),
    ("la.drop", "feed", "1.2", S),
    ("la.drop", "feed", "1.21", N),
    ("la.drop", "ground", "0.19", S),
    ("la.drop", "ground", "0.2", S),
    ("la.drop", "ground", "0.21", N),
    # half charge of a flooded battery is about 12.24 V; under load 10.5 V is empty
    ("ev.state", "rested", "12.23", W),
    ("ev.state", "rested", "12.24", W),
    ("ev.state", "rested", "12.25", S),
    ("ev.state", "loaded", "10.49", N),
    ("ev.state", "loaded", "10.5", S),
    ("ev.state", "loaded", "10.51", S),
    # converter: 13.0 to 15.0 V, over 15.5 V boils the battery; half a volt of ripple
    ("ev.conv", "volts", "12.9", N),
    ("ev.conv", "volts", "13.0", S),
    ("ev.conv", "volts", "13.1", S),
    ("ev.conv", "volts", "15.0", S),
    ("ev.conv", "volts", "15.1", N),
    ("ev.conv", "volts", "15.5", N),
    ("ev.conv", "volts", "15.6", U),
    ("ev.conv", "ripple", "0.49", S),
    ("ev.conv", "ripple", "0.5", S),
    ("ev.conv", "ripple", "0.51", N),
    # N 551.56: bonded; one ohm and two volts are common practice
    ("ev.bond", "frame", "0.9", S),
    ("ev.bond", "frame", "1", S),
    ("ev.bond", "frame", "1.1", U),
    ("ev.bond", "skin", "0.9", S),
    ("ev.bond", "skin", "1", S),
    ("ev.bond", "skin", "1.1", U),
    ("ev.bond", "pipe", "0.9", S),
    ("ev.bond", "pipe", "1", S),
    ("ev.bond", "pipe", "1.1", U),
    ("ev.bond", "live", "1.9", S),
    ("ev.bond", "live", "2", S),
    ("ev.bond", "live", "2.1", U),
    # NFPA 58 C.3.2.2, from memory: 5 percent of the tare lost to rust
    ("lp.body", "lost", "4.9", S),
    ("lp.body", "lost", "5", N),
    ("lp.body", "lost", "5.1", N),
    # two percent over full is beyond what a scale can err by
    ("lp.fill", "share", "101.9", S),
    ("lp.fill", "share", "102", S),
    ("lp.fill", "share", "102.1", D),
    ("lp.reg", "age", "14.9", S),
    ("lp.reg", "age", "15", S),
    ("lp.reg", "age", "15.1", N),
    # NFPA 58, from memory: 11 in wc, at most 14 locked up; 10.5 to 11.5 and 10 are common practice
    ("lp.flow", "running", "9.9", U),
    ("lp.flow", "running", "10", N),
    ("lp.flow", "running", "10.4", N),
    ("lp.flow", "running", "10.5", S),
    ("lp.flow", "running", "11", S),
    ("lp.flow", "running", "11.5", S),
    ("lp.flow", "running", "11.6", N),
    ("lp.flow", "running", "14", N),
    ("lp.flow", "running", "14.1", U),
    ("lp.flow", "lockup", "13.9", S),
    ("lp.flow", "lockup", "14", S),
    ("lp.flow", "lockup", "14.1", U),
    ("lp.hose", "age", "9.9", S),
    ("lp.hose", "age", "10", S),
    ("lp.hose", "age", "10.1", N),
    # ANSI Z21, from memory: the safety valve shuts within 90 s
    ("lp.range", "drop", "89", S),
    ("lp.range", "drop", "90", S),
    ("lp.range", "drop", "91", U),
    # 9 ppm is the outdoor figure over 8 hours: 40 CFR 50.8
    ("lp.furnace", "co", "8", S),
    ("lp.furnace", "co", "9", S),
    ("lp.furnace", "co", "10", U),
    # relief valve of a water heater: 150 psi, ANSI Z21.22, from memory
    ("lp.water", "stamp", "149", S),
    ("lp.water", "stamp", "150", S),
    ("lp.water", "stamp", "151", U),
    # alarms last 5 to 10 years by their label; NFPA 72: smoke alarms 10
    ("fs.lp", "age", "4.9", S),
    ("fs.lp", "age", "5", S),
    ("fs.lp", "age", "5.1", W),
    ("fs.lp", "age", "10", W),
    ("fs.lp", "age", "10.1", U),
    ("fs.co", "age", "4.9", S),
    ("fs.co", "age", "5", S),
    ("fs.co", "age", "5.1", W),
    ("fs.co", "age", "10", W),
    ("fs.co", "age", "10.1", U),
    ("fs.smoke", "age", "9.9", S),
    ("fs.smoke", "age", "10", S),
    ("fs.smoke", "age", "10.1", U),
    # R: at least 5-B:C; NFPA 10, from memory: twelve years for one that is not refilled
    ("fs.ext", "rating", "4", U),
    ("fs.ext", "rating", "5", S),
    ("fs.ext", "rating", "6", S),
    ("fs.ext", "age", "11.9", S),
    ("fs.ext", "age", "12", S),
    ("fs.ext", "age", "12.1", U),
    # R: a clear way out of about 24 by 17 in
    ("ex.second", "long", "23.9", U),
    ("ex.second", "long", "24", S),
    ("ex.second", "long", "24.1", S),
    ("ex.second", "short", "16.9", U),
    ("ex.second", "short", "17", S),
    ("ex.second", "short", "17.1", S),
    # any open seam lets water in
    ("bo.seam", "open", "0", S),
    ("bo.seam", "open", "0.1", N),
    ("bo.seam", "open", "3", N),
    # watched from 18 percent; over 20 decay can begin, at 28 to 30 the fibres are full: FPL report 2147
    ("bo.moist", "worst", "17.9", S),
    ("bo.moist", "worst", "18", W),
    ("bo.moist", "worst", "20", W),
    ("bo.moist", "worst", "20.1", N),
    ("bo.moist", "worst", "27.9", N),
    ("bo.moist", "worst", "28", N),
    ("bo.moist", "worst", "28.1", N),
    # 5 psi lost in a quarter of an hour
    ("wa.city", "fall", "4.9", S),
    ("wa.city", "fall", "5", N),
    ("wa.city", "fall", "5.1", N),
    # what one person lifts: 50 lbf; no broken strand
    ("do.ramp", "lift", "49", S),
    ("do.ramp", "lift", "50", S),
    ("do.ramp", "lift", "51", N),
    ("do.ramp", "strands", "0", S),
    ("do.ramp", "strands", "1", U),
    ("do.ramp", "strands", "2", U),
    # all four latches hold the roof down
    ("ft.latch", "hold", "3", D),
    ("ft.latch", "hold", "4", S),
    ("ft.latch", "hold", "0", D),
    # WAC 296-874-30016, by analogy: three broken wires in a strand, six in a lay
    ("ft.cable", "in_strand", "2", S),
    ("ft.cable", "in_strand", "3", U),
    ("ft.cable", "in_strand", "4", U),
    ("ft.cable", "in_lay", "5", S),
    ("ft.cable", "in_lay", "6", U),
    ("ft.cable", "in_lay", "7", U),
    # a roof that sinks by itself
    ("ft.winch", "slip", "0", S),
    ("ft.winch", "slip", "0.1", U),
    ("ft.posts", "difference", "0.9", S),
    ("ft.posts", "difference", "1", S),
    ("ft.posts", "difference", "1.1", N),
    # the transom rests on the last support
    ("bt.bunk", "behind", "0", S),
    ("bt.bunk", "behind", "0.1", N),
    # 393.104(b): no cut that weakens a strap
    ("bt.winch", "cut", "0", S),
    ("bt.winch", "cut", "0.1", D),
    # a chain at the bow and two straps at the stern: 393.104 in its sense
    ("bt.bow", "ties", "2", B),
    ("bt.bow", "ties", "3", S),
    ("bt.bow", "ties", "4", S),
    ("bt.salt", "lost", "9.9", S),
    ("bt.salt", "lost", "10", N),
    ("bt.salt", "lost", "25", N),
    ("bt.salt", "lost", "25.1", B),
    # 571.110: cargo never above the label
    ("ld.room", "left", "-1", D),
    ("ld.room", "left", "0", S),
    ("ld.room", "left", "1", S),
    ("ld.level", "nose_up", "0.9", S),
    ("ld.level", "nose_up", "1", S),
    ("ld.level", "nose_up", "1.1", N),
    # hubs are opened over 200 F, or 50 F above their mates
    ("rd.heat", "hub", "199", S),
    ("rd.heat", "hub", "200", S),
    ("rd.heat", "hub", "201", B),
    ("rd.heat", "above", "49", S),
    ("rd.heat", "above", "50", S),
    ("rd.heat", "above", "51", B),
    # under 5 percent on the ball a trailer sways; 10 to 15 is usual
    ("ld.share", "share", "3.9", D),  # under 4 for a boat trailer too
    ("ld.share", "share", "4", D),
    ("ld.share", "share", "4.9", D),
    ("ld.share", "share", "5", N),
    ("ld.share", "share", "9.9", N),
    ("ld.share", "share", "10", S),
    ("ld.share", "share", "15", S),
    ("ld.share", "share", "15.1", N),
]

ANSWERS = [
    ("cp.chains", "count", "none", D),  # Va 120(10)
    ("cp.chains", "count", "one", B),  # 393.70(d): two
    ("la.rear", "tail", "no", D),  # 393.9, 393.11 table 1
    ("la.rear", "tail", "yes", S),
    ("la.rear", "stop", "no", D),  # 393.9, 393.11 table 1
    ("la.rear", "stop", "yes", S),
    ("la.rear", "turn", "no", D),  # 393.9, 393.11 table 1
    ("la.rear", "turn", "yes", S),
    ("la.marker", "lights", "no", B),  # 393.11 table 1
    ("la.marker", "lights", "yes", S),
    ("ev.polarity", "tester", "right", S),
    ("ev.polarity", "tester", "hot and neutral reversed", U),  # N
    ("ev.polarity", "tester", "hot and ground reversed", U),  # N
    ("ev.polarity", "tester", "open ground", U),  # N
    ("ev.polarity", "tester", "open neutral", U),  # N
    ("ev.polarity", "tester", "dead", N),
    ("ev.polarity", "joined", "yes", U),  # N 551.54(C), from memory: neutral insulated from ground
    ("ev.polarity", "joined", "no", S),
    ("ev.gfci", "button", "no", U),  # N 551.40
    ("ev.gfci", "button", "yes", S),
    ("ev.gfci", "tester", "no", U),  # N 551.40
    ("ev.gfci", "tester", "yes", S),
    ("lp.flow", "creeps", "yes", U),  # a regulator that does not lock up
    ("lp.flow", "creeps", "no", S),
    ("lp.leak", "change", "stands still", S),
    ("lp.leak", "change", "falls", U),
    ("lp.leak", "change", "rises", U),  # the valve lets by
    ("lp.leak", "change", "moves with temperature", X),  # proves nothing
    ("lp.water", "relief", "no", U),
    ("lp.water", "relief", "yes", S),
    ("fs.lp", "sounds", "no", U),  # R
    ("fs.lp", "sounds", "yes", S),
    ("fs.co", "sounds", "no", U),  # R
    ("fs.co", "sounds", "yes", S),
    ("fs.smoke", "sounds", "no", U),  # R
    ("fs.smoke", "sounds", "yes", S),
    ("wa.hold", "cycles", "yes", N),
    ("wa.hold", "cycles", "no", S),
    ("ft.winch", "holds", "no", U),
    ("ft.winch", "holds", "yes", S),
    ("ld.weigh", "over", "none", S),
    ("ld.weigh", "over", "GVWR", D),
    ("ld.weigh", "over", "an axle", D),
    ("ld.weigh", "over", "a tire", D),  # Md22 .06(12)
    ("ld.weigh", "over", "a rating is not known", X),  # a missing rating never counts as enough
]

OTHER_UNITS = [
    # 1 in is 25.4 mm exactly, so 1/16 in is 1.5875 mm, 1/8 in 3.175 mm, 1/32 in 0.79375 mm
    ("ti.tread", "least", "1.58", "mm", D),
    ("ti.tread", "least", "1.5875", "mm", N),
    ("ti.tread", "least", "3.16", "mm", N),
    ("ti.tread", "least", "3.175", "mm", W),
    ("cp.lift", "gap", "1.5875", "mm", S),
    ("cp.lift", "gap", "1.6", "mm", N),
    ("cp.ball", "worn", "0.78", "mm", S),
    ("cp.ball", "worn", "0.79", "mm", D),  # 1/32 in as a caliper in mm shows it
    ("cp.ball", "worn", "0.79375", "mm", D),
    ("cp.mount", "rock", "6.35", "mm", S),
    ("cp.mount", "rock", "6.36", "mm", N),
    ("cp.slack", "gap", "76.1", "mm", N),
    ("cp.slack", "gap", "76.2", "mm", S),
    ("fr.rails", "bow", "12.7", "mm", S),
    ("fr.rails", "bow", "12.8", "mm", N),
    ("su.ubolt", "thread", "6.34", "mm", B),
    ("su.ubolt", "thread", "6.35", "mm", S),
    ("su.hanger", "bent", "3.175", "mm", S),
    ("su.hanger", "bent", "3.18", "mm", S),  # 1/8 in as a caliper in mm shows it
    ("su.hanger", "bent", "3.19", "mm", D),
    ("su.shackle", "slot", "3.175", "mm", N),
    ("su.shackle", "slot", "3.19", "mm", B),
    ("su.bush", "play", "1.6", "mm", N),
    ("su.equal", "slot", "3.19", "mm", N),
    ("su.camber", "toe", "-3.19", "mm", N),
    ("su.camber", "toe", "-3.175", "mm", S),
    ("su.square", "off", "3.19", "mm", N),
    ("su.square", "track", "76.2", "mm", S),
    ("su.square", "track", "76.3", "mm", B),
    ("wh.runout", "bead", "3.175", "mm", N),
    ("wh.runout", "bead", "3.19", "mm", B),
    ("wh.runout", "tread", "1.53", "mm", N),
    ("wh.clear", "gap", "18.9", "mm", N),
    ("wh.clear", "gap", "19.05", "mm", S),
    ("ti.crack", "deep", "0.8", "mm", B),
    ("br.drum_state", "score", "0.381", "mm", S),
    ("br.drum_state", "score", "0.382", "mm", N),
    ("br.pad", "pad", "1.58", "mm", D),
    ("br.pad", "pad", "1.5875", "mm", N),
    ("br.pad", "pad", "1/16", "in", N),
    ("br.pad", "pad", "1/8", "in", S),
    ("la.plate", "read_at", "15.1", "m", B),  # 50 ft is 15.24 m exactly
    ("la.plate", "read_at", "15.2", "m", S),
    ("la.place", "height", "380", "mm", N),  # 15 in is 381 mm; 72 in is 1,828.8 mm
    ("la.place", "height", "381", "mm", S),
    ("la.place", "height", "1828.8", "mm", S),
    ("la.place", "height", "1830", "mm", N),
    ("la.drop", "ground", "200", "mV", S),
    ("la.drop", "ground", "201", "mV", N),
    ("la.drop", "feed", "1201", "mV", N),
    ("ev.conv", "ripple", "501", "mV", N),
    ("ev.bond", "live", "2001", "mV", U),
    ("lp.reg", "age", "180", "month", S),
    ("lp.reg", "age", "181", "month", N),
    ("lp.hose", "age", "121", "month", N),
    ("fs.lp", "age", "60", "month", S),
    ("fs.lp", "age", "61", "month", W),
    ("fs.co", "age", "121", "month", U),
    ("fs.smoke", "age", "120", "month", S),
    ("fs.smoke", "age", "121", "month", U),
    ("fs.ext", "age", "144", "month", S),
    ("fs.ext", "age", "145", "month", U),
    ("lp.flow", "lockup", "3.49", "kPa", S),  # 14 in wc is 3.487 kPa: 0.249089 kPa an inch
    ("lp.flow", "lockup", "3.50", "kPa", U),
    ("lp.flow", "running", "2.75", "kPa", S),  # 11.04 in wc
    ("lp.flow", "running", "0.4", "psi", S),  # 11.07 in wc: 27.68 in wc a psi
    ("lp.flow", "lockup", "0.51", "psi", U),  # 14.12 in wc
    ("lp.range", "drop", "1.5", "min", S),
    ("lp.range", "drop", "1.6", "min", U),
    ("lp.water", "stamp", "1034", "kPa", S),  # 150 psi is 1,034.2 kPa: 6.894757 kPa a psi
    ("lp.water", "stamp", "1035", "kPa", U),
    ("lp.water", "stamp", "10.4", "bar", U),  # 150.8 psi
    ("ex.second", "long", "609", "mm", U),  # 24 in is 609.6 mm, 17 in 431.8 mm
    ("ex.second", "long", "610", "mm", S),
    ("ex.second", "short", "431", "mm", U),
    ("ex.second", "short", "432", "mm", S),
    ("bo.seam", "open", "1", "in", N),
    ("bo.seam", "open", "0.1", "m", N),
    ("wa.city", "fall", "34.4", "kPa", S),  # 5 psi is 34.474 kPa
    ("wa.city", "fall", "34.5", "kPa", N),
    ("wa.city", "fall", "0.35", "bar", N),  # 5.08 psi
    ("do.ramp", "lift", "222", "N", S),  # 50 lbf is 222.4 N: 4.448222 N a lbf
    ("do.ramp", "lift", "223", "N", N),
    ("ft.winch", "slip", "1", "mm", U),
    ("ft.posts", "difference", "25.4", "mm", S),
    ("ft.posts", "difference", "25.5", "mm", N),
    ("bt.bunk", "behind", "1", "mm", N),
    ("bt.winch", "cut", "1", "mm", D),
    ("ld.room", "left", "-0.1", "kg", D),
    ("ld.level", "nose_up", "25.5", "mm", N),
    ("rd.heat", "hub", "93.3", "degC", S),  # 200 F is 93.33 C
    ("rd.heat", "hub", "93.4", "degC", B),
]


def code(judgement: Judgement) -> str:
    return str(judgement.grade) if judgement.by is None else f"{judgement.grade} {judgement.by}"


def alone(check: str, measure: str) -> Check:
    """A check as if it had this one measure and nothing else, so that its limits alone speak."""
    found = CATALOGUE.check(check)
    rule = found.rule if check == "ld.share" else ""
    return found.model_copy(update={"measures": (found.measure(measure),), "rule": rule, "defects": ()})


def judged(check: str, measure: str, text: str, unit: str = "") -> Judgement:
    only = alone(check, measure)
    field = f"reading-{measure}"
    readings = read_readings(only, {field: text, f"unit-{measure}": unit}, {field}, DAY)
    return judge(only, readings, (), UnitFacts(), DAY)


@pytest.mark.parametrize(("check", "measure", "text", "grade"), NUMBERS + ANSWERS)
def test_a_reading_comes_to_the_grade_of_its_limit(check: str, measure: str, text: str, grade: str) -> None:
    assert code(judged(check, measure, text)) == grade


@pytest.mark.parametrize(("check", "measure", "text", "unit", "grade"), OTHER_UNITS)
def test_the_limit_is_the_same_in_another_unit(
    check: str, measure: str, text: str, unit: str, grade: str
) -> None:
    found = judged(check, measure, text, unit)
    assert code(found) == grade


LIMITED = [(check.key, measure) for check in CATALOGUE.checks for measure in check.measures if measure.limits]


def number(text: str) -> Decimal:
    """The typed number, a fraction of an inch too."""
    top, _, under = text.partition("/")
    return Decimal(top) / Decimal(under or 1)


def tried() -> dict[tuple[str, str], set[Decimal]]:
    found: dict[tuple[str, str], set[Decimal]] = defaultdict(set)
    for check, measure, text, _ in NUMBERS:
        found[check, measure].add(number(text))
    return found


@pytest.mark.parametrize(
    ("check", "measure"), LIMITED, ids=[f"{check}-{measure.key}" for check, measure in LIMITED]
)
def test_every_limit_is_tried_at_its_end_and_on_either_side(check: str, measure: Measure) -> None:
    ends = {end for limit in measure.limits for end in limit.ends}
    readings = tried()[check, measure.key]
    assert ends <= readings
    for end in ends:
        assert end in (measure.most, max(readings)) or any(reading > end for reading in readings)
        assert end in (measure.least, min(readings)) or any(reading < end for reading in readings)


def test_every_graded_answer_is_given() -> None:
    given = {(check, measure, text) for check, measure, text, _ in ANSWERS}
    graded = {(check, measure.key, limit.value) for check, measure in LIMITED for limit in measure.limits}
    assert {row for row in graded if row[2] is not None} <= given


def test_every_unit_that_may_be_typed_at_a_limit_is_tried() -> None:
    units = {(check, measure.key, unit) for check, measure in LIMITED for unit in measure.also}
    assert units == {(check, measure, unit) for check, measure, _, unit, _ in OTHER_UNITS}


@pytest.mark.parametrize(("check", "measure", "text", "grade"), [row for row in NUMBERS if row[3] != S])
def test_a_reading_out_of_limits_says_itself_and_its_source(
    check: str, measure: str, text: str, grade: str
) -> None:
    found = judged(check, measure, text)
    if check != "ld.share":  # its rule says the share in words of its own
        assert found.reason.startswith(f"{CATALOGUE.check(check).measure(measure).label}: ")
    assert found.source.title, grade
    assert (found.until or found.until_miles) if found.grade is Grade.WATCH else found.until is None


LAWS = [
    ("cp.chains", "count", "none", "19VAC30-70 120(10)"),
    ("cp.chains", "count", "one", "49 CFR 393.70(d)"),
    ("su.ubolt", "thread", "0.2", "COMAR 11.14.05.03(2)(f)"),
    ("su.square", "track", "4", "49 CFR 393.70(a)"),
    ("wh.studs", "broken", "1", "49 CFR 570.10(c)"),
    ("wh.nuts", "loose", "1", "49 CFR 570.10(c)"),
    ("wh.runout", "bead", "0.2", "49 CFR 570.10(b)"),
    ("ti.tread", "least", "1", "49 CFR 570.9(a), 570.62(a)"),  # GVWR up to 10,000 lb, and over it
    ("br.pad", "pad", "1", "49 CFR 570.59(c), 393.47(d)(2)"),
    ("la.rear", "tail", "no", "49 CFR 393.11"),
    ("la.rear", "stop", "no", "49 CFR 393.11"),
    ("la.rear", "turn", "no", "49 CFR 393.11"),
    ("la.marker", "lights", "no", "49 CFR 393.11"),
    ("la.plate", "read_at", "40", "Maryland Transportation 22-204(f)"),
]


@pytest.mark.parametrize(("check", "measure", "text", "law"), LAWS)
def test_a_limit_by_law_cites_it_and_holds_as_a_floor(check: str, measure: str, text: str, law: str) -> None:
    found = judged(check, measure, text)
    assert str(found.source).startswith(law)
    assert found.floor == (found.grade, found.by)


AIMS = [
    ("ti.tread", "least", "3"),
    ("ti.tread", "least", "4.5"),
    ("wh.runout", "bead", "0.1"),
    ("br.pad", "pad", "3"),
    ("cp.lift", "gap", "0.1"),
    ("fr.rust", "lost", "30"),
    ("su.shackle", "slot", "0.2"),
    ("bo.moist", "worst", "19"),
]


@pytest.mark.parametrize(("check", "measure", "text"), AIMS)
def test_an_aim_of_the_shop_is_no_floor(check: str, measure: str, text: str) -> None:
    found = judged(check, measure, text)
    assert found.floor is None
    assert str(found.source) in ("common practice", "Forest Products Laboratory 2147")
