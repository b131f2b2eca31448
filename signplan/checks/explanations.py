"""Every code that a finding may have, explained. Data only, by family."""

from collections.abc import Mapping

from signplan.checks.explanation import Explanation
from signplan.checks.program_explanations import PROGRAM_EXPLANATIONS

_GEOMETRY = "geometry"
_PRACTICE = "common practice"
_SWEPT = (
    "Found by sweeping every tool path through a height field of the board (`signplan check --removal`), "
    "independently of how the paths were made."
)
_OURS = "a fault of the program, not of the job: do not cut it, and send the job to its authors"

_CLOSING = {
    "cavity-tight": Explanation(
        title="the steel does not go into its pockets for sure",
        meaning="The pockets of both panels, as the cutter really leaves them, are laid round the "
        "steel at every height. At some place less room is left than the panels may be out of "
        "register, so the sign may not close.",
        formula="least distance from steel to the board as cut, less the worst registration error on "
        "the path from that panel to the steel; it must not be below 0. For two clearance "
        "holes and a bolt this is H = F + T, for a pin fixed in one part H = F + T1 + T2",
        source="ASME Y14.5 appendix B, floating and fixed fasteners; geometry",
        remedy="give the clearance that the hint names, use a smaller cutter, or locate the panels better",
    ),
    "cavity-deep": Explanation(
        title="a pocket comes out through the face",
        meaning="The pocket has to be as deep as the panel is thick, or deeper, to take the steel.",
        formula="height of the steel above the glue plane + depth clearance, against the thickness of "
        "the panel",
        source=_GEOMETRY,
        remedy="use thicker board or thinner steel, or move the steel nearer to the glue plane (`z`)",
    ),
    "hardware-not-captive": Explanation(
        title="the steel can slide out of the closed sign",
        meaning="The item was moved along directions in the plane of the sign, alone and after others "
        "had left, and left without meeting board. What a sign hangs from must not come out "
        "of it.",
        formula="the section of the steel at every height, swept along the direction, does not meet board",
        source=_GEOMETRY,
        remedy="add something wider inside, such as a nut, a washer or a cross bar; or state in "
        "`held_by` what else holds it (it is printed on the traveller). Whether it is strong "
        "enough is for an engineer",
    ),
    "hardware-loose": Explanation(
        title="the steel can rattle toward the glue plane",
        meaning="A pocket is open to the glue plane, so that the steel can be laid in. Steel that lies whole "
        "in one panel and deeper than the glue plane has an empty slot over it, and nothing holds it on its "
        "floor. Steel that reaches into both panels is held by both floors.",
        formula="distance from the steel to the board or steel over it on the other side of the slot, not "
        "more than its depth clearance",
        source=_GEOMETRY,
        remedy="lay the steel nearer to the glue plane (`z`), or glue in a filler strip over it and say so "
        "in `held_by`",
    ),
    "hardware-outside": Explanation(
        title="steel lies outside the sign, or runs along its edge",
        meaning="Every item must lie over the sign, and may leave it only across the edge. Steel that is "
        "half outside along the edge has no wall on that side. Often a position or a unit is wrong.",
        formula="the part of the item over the sign must not be empty; the length of edge that lies in steel "
        "against 4 x mean depth of the steel behind it; a bar leaves where its axis does",
        source="geometry; the factor of 4 is common practice",
        remedy="check positions and units, or move the steel inward until it only crosses the edge",
    ),
    "hardware-overlap": Explanation(
        title="two pieces of steel are in one place",
        meaning="Two hardware items share space, so one of them is stated wrong or passes through the other.",
        formula="the depth to which one reaches into the other, at every height; it must be 0",
        source=_GEOMETRY,
        remedy="move one of them, or draw the hole that one passes through in the other",
    ),
    "pocket-corner": Explanation(
        title="a sharp corner of steel meets the round corner that the cutter leaves",
        meaning="A round cutter cannot leave a sharp inside corner. Without a relief the steel's "
        "corner stands on what is left, and the panels stay apart.",
        formula="clearance >= (r - Rp)(1 - 1/sqrt 2) = 0.293 (r - Rp), with r the radius of the "
        "cutter and Rp that of the steel's corner",
        source="geometry; checked by brute force in the tests",
        remedy="let the corner be relieved, round or chamfer the steel, use a smaller cutter, or "
        "give clearance",
    ),
    "glue-trapped": Explanation(
        title="a recess has no way out for glue and air",
        meaning="The job asks for vents (`work.vents`), and for this closed pocket or dowel hole none was "
        "found. What is caught in it holds the panels apart while they are clamped.",
        formula="a groove from the recess to the edge, or into an open recess, that falls all the way, keeps "
        "`sign.web` of board to other recesses and under the carving, and crosses nothing",
        source="common practice",
        remedy="move what is in the way, ask for narrower vents, or keep the adhesive well back from this "
        "recess and close the panels slowly",
    ),
    "channel-cutter": Explanation(
        title="the shop has no ball-nosed cutter for a channel",
        meaning='The job asks for round-bottomed channels (`bottom = "round"`), and no ball-nosed cutter is '
        "both large enough for this rod and long enough. Its pocket is planned with a flat bottom, which "
        "fits as well but leaves less board.",
        formula="radius of the ball >= radius of the rod + clearance; with less room at the floor than at "
        "the sides, the circle through both sides and the floor, h/2 + w^2/8h. Reach >= depth of the channel",
        source="geometry: the radius of a circular segment from its chord and height, any handbook of "
        "mathematics",
        remedy='add the cutter that the message names to the shop file, or leave `bottom = "round"` out',
    ),
    "assembly-order": Explanation(
        title="two pieces of steel cannot be laid in one after the other",
        meaning="One panel lies on the bench and the steel is laid into it, piece after piece, straight "
        "down; then the other panel is turned over and lowered. A piece that lies over one part of another "
        "and under a second part, such as a rod through a bar, can be laid neither before nor after it.",
        formula="of two parts that share a shadow the one with the higher middle lies over the other; the "
        "graph of what lies over what must have no ring",
        source=_GEOMETRY,
        remedy="if they are put together before they are laid in, say so with `laid_with`, or make them one "
        "item, parts of one `[[hardware]]`. Or divide the one that reaches round the other",
    ),
    "assembly-turned": Explanation(
        title="steel falls out of the panel that is turned over",
        meaning="One item has its pocket only in panel A, another only in panel B. One panel lies on the "
        "bench; whatever lies in the other has to be turned over with it.",
        formula="the bench takes the panel that leaves fewer items to turn over; that number must be 0",
        source=_GEOMETRY,
        remedy="put the pockets of both into one panel (`split`), or state in `held_by` what holds the steel "
        "while its panel is turned; the traveller says so at glue-up",
    ),
    "heat-tight": Explanation(
        title="long steel needs room at its ends for heat",
        meaning="Urethane board grows and shrinks with temperature several times as much as steel. "
        "Steel that board encloses at both ends pushes against them.",
        formula="length x difference of the growth per degree x change of temperature / 2, at each end",
        source="growth of board by board makers, of steel from handbooks (from memory); swing of "
        "temperature: common practice",
        remedy="give more clearance at the ends, or use two shorter pieces",
    ),
    "pipe-nominal": Explanation(
        title="a pipe is given by its nominal size",
        meaning="Pipe goes by a name that is none of its dimensions: up to NPS 12 its outside is larger. A "
        "pocket for the nominal size does not take the pipe.",
        formula="a round part without `stock`, of an item with `pipe` in its name, whose diameter is a "
        "nominal size of the built-in table",
        source="ASME B36.10M: outside diameters of pipe",
        remedy="name the stock, or give the diameter that you measured on the pipe",
    ),
    "web-thin": Explanation(
        title="too little board between a recess and the carved face",
        meaning="The floor of a pocket, channel or dowel hole comes too near to the carving on the "
        "other side of the panel, straight down or sideways. A thin floor shows, cracks, or "
        "is cut through.",
        formula="least distance in space from the recess to the carved surface, against `sign.web`",
        source="the least that a shop leaves is common practice: 3/8 in, 1/4 in on small signs",
        remedy="carve less deep there, move the carving or the steel, or use thicker board",
    ),
    "wall-thin": Explanation(
        title="too little board between a pocket and the edge",
        meaning="A thin wall beside a pocket breaks out in cutting, at glue-up or in the wind. Where "
        "the steel leaves the sign there is none to judge.",
        formula="least distance in the plane from the pocket as cut to the outline, against `sign.wall`",
        source="the least that a shop leaves is common practice: 3/4 to 1 in",
        remedy="move the steel inward, or state a smaller `wall` if the board is up to it",
    ),
}

_REGISTRATION = {
    "outlines-differ": Explanation(
        title="the outlines of the two sides are not mirror images",
        meaning="Side B's outline was drawn as it is read from side B. Turned over, it is not the "
        "outline of side A, so the edges of the glued sign do not meet.",
        formula="greatest distance from either outline, seen from side A, to the other",
        source=_GEOMETRY,
        remedy="draw side B's outline as the mirror image of side A's, or leave `outline_b` out",
    ),
    "outline-hole": Explanation(
        title="a closed line inside the outline is cut out as a hole",
        meaning="The outline's layer holds a closed line inside another. What it encloses is cut out of both "
        "panels. A border or a guide line that slipped onto the layer looks the same.",
        formula="every ring inside the outline",
        source="common practice: on the layer of an outline, a line inside a line bounds a hole",
        remedy="keep it if the sign has a hole there; otherwise move the line to a layer of its own",
    ),
    "seam-step": Explanation(
        title="the edges of the two panels may be out from each other",
        meaning="The errors of all fits between panel A's edge and panel B's add up to a step that is "
        "seen and felt all round the sign.",
        formula="sum of the allowances on the path (worst case), root of the sum of their squares "
        "(likely), and what 99 of 100 sampled signs stay within, which is compared with "
        "`work.seam_step`",
        source="tolerance stacks as in drawing practice; the step that sanding takes away is common practice",
        remedy='cut the outline from the inner face (`cutout = "inner"`), turn the blank about pins '
        '(`locate = "index pins"`), use tighter pins or dowels, or trim the glued edge; the finding names '
        "the way to locate and to cut that would do",
    ),
    "turn-ambiguous": Explanation(
        title="the blank also fits its index pins when it is turned the wrong way",
        meaning="A half turn on the table, or a turn about the other axis, brings the holes back onto "
        "the pins, so the second face can be cut in the wrong place.",
        formula="under every wrong turn at least one hole is off its pin by a pin diameter or more",
        source="geometry; the margin of one diameter is common practice",
        remedy="move one pin along the turning axis, or let the planner place the pins",
    ),
    "rapid-strikes": Explanation(
        title="a rapid move meets board",
        meaning=f"{_SWEPT} A rapid must stay in the air.",
        formula="cells of 0.5 mm; depth of a rapid in board above 0.1 mm",
        source="our own check",
        remedy=_OURS,
    ),
    "cut-below": Explanation(
        title="board is cut below its floor",
        meaning=f"{_SWEPT} There is a pocket, or air, behind it.",
        formula="cells of 0.5 mm; cut below the floor by more than 0.15 mm",
        source="our own check",
        remedy=_OURS,
    ),
    "cut-beside": Explanation(
        title="board is cut outside its region",
        meaning=f"{_SWEPT} The face beside it is seen.",
        formula="cells of 0.5 mm; area outside, less 5 mm2 and 0.002 mm2 for each mm of border",
        source="our own check",
        remedy=_OURS,
    ),
    "board-left": Explanation(
        title="board is left standing",
        meaning=f"{_SWEPT} More stands than no cutter reaches.",
        formula="cells of 0.5 mm; area above the floor, less what no cutter reaches, 5 mm2, and 0.002 mm2 "
        "for each mm of border",
        source="our own check",
        remedy=_OURS,
    ),
    "pins-blocked": Explanation(
        title="there is no room for the index pins",
        meaning="Index pins stand on the turning axis in the waste, clear of everything that is cut, "
        "and uneven by a pin diameter. This blank has no room for two of them.",
        source="geometry; two-sided machining practice",
        remedy="widen the border, use smaller pins, or locate the blank by edge stops "
        '(`locate = "edge stops"`); where another turn or other blanks would do, the finding names them',
    ),
    "pin-in-path": Explanation(
        title="a cutter comes too near to an index pin",
        meaning="A cutter that meets a steel pin breaks, and throws its pieces.",
        formula="distance from the path, where it is below the top of the blank, to the pin, against "
        "both radii and what board is to be left between",
        source="geometry; the board between is common practice",
        remedy="widen the border, turn the blank the other way, or use a smaller cutter",
    ),
    "pins-tight": Explanation(
        title="two round pins may not enter their holes",
        meaning="Holes are a little out in their distance apart. Two round pins enter only if their "
        "clearance takes up that error.",
        formula="mean of the two diametral clearances >= error of the distance between centres",
        source="geometry; fixture practice",
        remedy="give the pins that much clearance, or make one hole a slot along the axis",
    ),
    "dowel-blocked": Explanation(
        title="a dowel stands where it cannot",
        meaning="A dowel needs sound board all round it in both panels: clear of pockets, of the edge "
        "and of deep carving over it. Or there is room for fewer dowels than the job asks "
        "for.",
        formula="distance to the edge against `sign.wall`; to pockets and to the carved surface "
        "against `sign.web`",
        source=_GEOMETRY,
        remedy="move it, leave `at` out and let the planner place the dowels, or use smaller or fewer ones",
    ),
    "dowels-symmetric": Explanation(
        title="a panel can be glued on upside down",
        meaning="After a half turn of one panel its dowels also meet their holes.",
        formula="under a half turn at least one dowel is off its hole by its own diameter or more",
        source=_GEOMETRY,
        remedy="move one dowel by more than its diameter, or let the planner place them",
    ),
}

_ARTWORK = {
    "art-outside": Explanation(
        title="artwork leaves the sign",
        meaning="Something on the layer reaches over the outline, so it would be cut in the waste or "
        "not at all.",
        formula="greatest distance of the artwork beyond the outline",
        source=_GEOMETRY,
        remedy="move or shrink the artwork, enlarge the outline, or check the units of the drawing",
    ),
    "art-too-fine": Explanation(
        title="no cutter gets into all of the artwork",
        meaning="Strokes or gaps are narrower than the smallest cutter that may be used, and stay "
        "uncut. An error if a whole stroke is lost.",
        formula="the region less what a disc of the cutter's radius can reach inside it (its opening). Of a "
        "relief: what its ball leaves more than 0.1 mm high where it goes as low as it may (the closing of "
        "the height map by the ball), the round foot of walls apart, against 0.5 % of its area",
        source="geometry; the 0.1 mm and the 0.5 % are common practice",
        remedy="name a smaller cutter, incise it with a vee instead, or open the gap in the drawing",
    ),
    "art-open": Explanation(
        title="an outline is not closed",
        meaning="An open line encloses nothing, so it cannot be raised, lowered or incised.",
        formula="distance between its two ends, against the `gap` that the job allows (0 unless stated)",
        source=_GEOMETRY,
        remedy="close it in the drawing, allow a `gap` in the job if its ends nearly meet, or cut it "
        "as `line`",
    ),
    "art-bridged": Explanation(
        title="a gap in an outline was bridged",
        meaning="Two open ends lay within the `gap` that the job allows and were joined by a straight line.",
        formula="the distance between them, which is in the message",
        source=_GEOMETRY,
        remedy="see on the proof that the right ends were joined",
    ),
    "art-units": Explanation(
        title="the size of a drawing wants a look",
        meaning="The drawing states no units, or pixels, or others than the job does. The size that "
        "was read is in the message: a sign of the wrong size is found late.",
        formula="one pixel is 1/96 in, by the CSS definition",
        source="DXF header variable $INSUNITS; CSS Values and Units",
        remedy="compare the size with the order; state the unit in the drawing or beside the layer (`units`)",
    ),
    "art-crossing": Explanation(
        title="outlines cross themselves or each other",
        meaning="Where outlines cross, what is inside is a matter of opinion. An outline that crosses "
        "itself was split there; two that cross make a hole where they overlap, which is an "
        "error.",
        source="the even-odd rule of SVG 2",
        remedy="join the outlines into one in the drawing, or put them on layers of their own",
    ),
    "art-overlap": Explanation(
        title="painted shapes lie upon each other",
        meaning="Two shapes of different paint cover the same place, as when a letter is painted over "
        "its ground. Both were taken as one area, which is seldom what was meant.",
        source=_GEOMETRY,
        remedy="cut one out of the other in the drawing, or put them into groups of their own",
    ),
    "art-duplicate": Explanation(
        title="something was drawn twice",
        meaning="Lines or outlines lie exactly upon each other; one of each was kept.",
        source=_GEOMETRY,
        remedy="nothing, or clean the drawing",
    ),
    "art-speck": Explanation(
        title="something without size was left out",
        meaning="Lines without length or outlines without area cannot be cut and were left out.",
        source=_GEOMETRY,
        remedy="nothing, or clean the drawing",
    ),
    "art-sliver": Explanation(
        title="a region is thinner than anything that can be cut",
        meaning="Such slivers are usually left over from an overlap in the drawing.",
        formula="the width of its largest inscribed circle",
        source=_GEOMETRY,
        remedy="remove it from the drawing if it was not meant",
    ),
    "art-stroke": Explanation(
        title="a line has a width that is not cut",
        meaning="A wide line was read by its middle, or a filled shape by the edge of its fill: the "
        "width of the stroke is not part of what is cut.",
        source=_GEOMETRY,
        remedy="convert strokes to outlines in the drawing program if their edges are to be cut",
    ),
    "art-fitted": Explanation(
        title="a curve is given by its points alone",
        meaning="The drawing has only the points that a spline passes; programs draw such curves a "
        "little differently.",
        source=_GEOMETRY,
        remedy="see on the proof that the curve is the one that was meant",
    ),
    "art-hidden": Explanation(
        title="part of the drawing is switched off",
        meaning="A hidden layer of a DXF was read all the same since the job names it; a hidden group "
        "of an SVG was not read.",
        source=_PRACTICE,
        remedy="show it in the drawing if it is to be cut, or remove it",
    ),
    "art-off-page": Explanation(
        title="something lies beyond the page of the drawing",
        meaning="It was read all the same, and is cut if its layer is.",
        source=_GEOMETRY,
        remedy="delete what does not belong to the sign",
    ),
    "art-skipped": Explanation(
        title="things on a layer were not read",
        meaning="Dimensions, leaders, points and the like are not cut and were left out; they are "
        "counted in the message.",
        source=_PRACTICE,
        remedy="see on the proof that nothing is missing",
    ),
    "art-repaired": Explanation(
        title="a damaged drawing was repaired while it was read",
        meaning="The file breaks the rules of its format. It could be mended without a guess about "
        "its shapes.",
        source="the open DXF reference",
        remedy="see on the proof that nothing is missing; export the drawing again if it can be had",
    ),
}

_CUTTING = {
    "carving-deep": Explanation(
        title="a carving is deeper than the panel",
        meaning="It would come out at the glue plane. It is left out of the plan until its depth is right.",
        formula="depth below the face, the lowered ground that it stands on included, against the "
        "thickness of the panel",
        source=_GEOMETRY,
        remedy="carve it less deep or use thicker board; what is to go through is cut as `bore`",
    ),
    "carving-lost": Explanation(
        title="a carving lies in ground that is deeper already",
        meaning="Depths count from the face. Where the ground is lowered at least as far, the cutter meets "
        "only air and nothing is seen of the carving: an error if all of it is lost, a warning if some "
        "of its shapes are.",
        formula="a shape is lost if 99 parts in 100 of it lie in deeper ground of the same face",
        source=_GEOMETRY,
        remedy="make it deeper than the ground, or keep the ground away from it",
    ),
    "tool-missing": Explanation(
        title="the shop has no cutter for this work",
        meaning="The treatment needs a shape of cutter that the shop does not have, or the job names one "
        "of another shape or too large. The work is left out of the plan until there is one.",
        source=_GEOMETRY,
        remedy="name a fitting cutter in `tools`, add one to the shop file, or change the treatment",
    ),
    "tool-number": Explanation(
        title="a T number that the magazine does not have, or that means another tool",
        meaning="With an automatic changer the number of a tool is its slot. A wrong number puts "
        "another tool into the spindle.",
        formula="number between 1 and the slots of the magazine, and no number twice",
        source=_PRACTICE,
        remedy="correct the number in the shop file, or plan to load the tool into a free slot",
    ),
    "tool-reach": Explanation(
        title="the cutter is too short for the cut",
        meaning="Deeper than the reach, the holder rubs on the board (an error); deeper than the "
        "cutting length, the shank does (a warning).",
        formula="depth of the cut against `reach` and `cutting_length`",
        source=_GEOMETRY,
        remedy="use a longer cutter, or make the cut shallower",
    ),
    "magazine-full": Explanation(
        title="the job needs more tools than the magazine holds",
        meaning="Tools have to be put into the magazine while the job runs. The reloads are planned: "
        "as few as possible, and not in the middle of a hold if that can be helped.",
        formula="number of different tools against `tool_change.slots`",
        source="counting; the plan of reloads is proven or its gap printed",
        remedy="reload as the traveller says, or do without one of the tools",
    ),
    "chip-load": Explanation(
        title="the chip is outside the board's range",
        meaning="Too thin a chip rubs, heats and dulls the cutter; too thick a chip tears the board "
        "or breaks the cutter.",
        formula="chip load = feed / (rpm x flutes), thinned by sqrt(1 - (1 - 2 ae/D)^2) where less "
        "than half of the cutter is in the board, against the range of `board.chip_load` at "
        "that diameter; and the same with the mean speed at which the machine really cuts, where that "
        "leaves less for a minute of the job or more",
        source="tooling charts; the ranges of the shop file are the shop's own, ours are common practice",
        remedy="change feed, speed or cutter as the finding says, and listen to the cut",
    ),
    "spindle-range": Explanation(
        title="the speed or power that is wanted is outside the spindle's range",
        meaning="To hold the chip at the feed that the machine reaches, the spindle would have to "
        "turn slower or faster, or pull harder, than it can.",
        formula="rpm = feed / (flutes x chip load), against `machine.rpm`; power = ae ap feed kc / "
        "efficiency, against 75 % of `machine.spindle_kw`",
        source="handbook milling formulas; the share of 75 % lies within the 70 to 80 % of tooling pages",
        remedy="use a cutter with more or fewer flutes or another diameter, or take thinner passes",
    ),
    "depth-of-pass": Explanation(
        title="one pass is deeper than the cutter should take",
        meaning="A deep pass packs its chips, bends the cutter and heats the board.",
        formula="depth of pass against the cutting length, and against diameters of the cutter with "
        "the chip load derated: 1 at 1 D, 0.75 at 2 D, 0.5 at 3 D",
        source="tooling charts for the derating; for foam, common practice",
        remedy="take more passes, or a larger cutter",
    ),
}

_HOLD = {
    "bed-size": Explanation(
        title="the blank does not fit the machine",
        meaning="The blank is larger than the bed, so its far side can be neither held nor reached.",
        formula="blank against `machine.bed`, along X and Y",
        source=_GEOMETRY,
        remedy="use two blanks, turn the other way, narrow the border, or split the sign",
    ),
    "cutter-travel": Explanation(
        title="the spindle has not enough travel in Z",
        meaning="From its height over the blank down to the deepest cut the cutter goes farther than the "
        "machine's Z axis.",
        formula="`machine.clearance_z` + depth of the deepest cut, against `machine.travel_z`",
        source=_GEOMETRY,
        remedy="lower `clearance_z`, or use thinner board",
    ),
    "sheet-size": Explanation(
        title="the blank is larger than the board comes",
        meaning="No sheet that the shop buys gives a blank of this size.",
        formula="blank against `board.sheet`, either way round",
        source=_GEOMETRY,
        remedy="use two blanks, a narrower border, or join board first",
    ),
    "clamp-in-path": Explanation(
        title="a screw stands in the way of a cutter",
        meaning="A path, rapids and lead-ins included, comes too near to a screw. Hitting one breaks "
        "the cutter and throws the pieces.",
        formula="distance from every move that passes lower than 2 mm over the screw's head "
        "(`holding.screw_head`) to the screw, against the radius of the cutter + 1/4 in",
        source="geometry; the quarter inch and the 2 mm are common practice",
        remedy="move the screw in the shop file and on the blank, or hold by vacuum there",
    ),
    "hold-weak": Explanation(
        title="the vacuum may not hold the work",
        meaning="The board may slide or lift under the cutter: too little sealed area, most of all "
        "with the pockets down. Judged at every operation: cuts that go through take their area away, "
        "and a panel that is cut free has only its own; tabs are not counted. A part that comes "
        "loose is thrown.",
        formula="friction x vacuum x sealed area, against 3 x specific cutting force x depth x thickest "
        "chip x teeth in the cut. Below 3 a warning, below 1 an error",
        source="3.386 kPa per inch of mercury; the specific force is the shop file's upper estimate; the "
        "factor of 3 is common practice",
        remedy="add screws, tabs or a skin, cover the open bed, or take lighter cuts. Read the gauge "
        "with the cuts open",
    ),
    "piece-loose": Explanation(
        title="a small piece is held by vacuum alone when it comes free",
        meaning="The cut-out frees a piece that is too small for a tab, such as the waste inside a hole of "
        "the outline. Vacuum does not hold so small a piece: it jams under the cutter and is thrown.",
        formula="area of a piece without tab or skin, against 500 cm2 (77.5 in2)",
        source="the least area is a vacuum table maker's rule; its own likeness to a 5 inch circle is wrong",
        remedy="hold parts by a skin, bore small holes away, or tape the piece down",
    ),
    "skin-thin": Explanation(
        title="the skin is thinner than board and bed may be out",
        meaning="A skin that is to hold the panel is cut through where the board is thin or the bed high.",
        formula="skin, against `board.thickness_error` + `holding.spoilboard_error`",
        source=_GEOMETRY,
        remedy="measure the board, skim the bed, set Z from the bed, or hold parts by tabs",
    ),
    "cutout-short": Explanation(
        title="a thick board may not be cut through",
        meaning="The cut-out goes a little below the board, into the spoilboard. Where the board is thicker "
        "than that allows, the panel stays joined all round, and is torn out. Judged only if the shop file "
        "states the board's `thickness_error`.",
        formula="0.5 mm (0.020 in) below the board, against `board.thickness_error`",
        source="geometry; makers of cutters give 0.02 to 0.06 in below the board",
        remedy="measure the board, and state its real thickness as `sign.panel` and what it is then out by "
        "as `thickness_error`",
    ),
    "screw-misplaced": Explanation(
        title="a screw is off the blank or inside the sign",
        meaning="Off the blank it holds nothing; through a panel it leaves its hole in the sign.",
        source=_GEOMETRY,
        remedy="put screws into the waste; the finding lists places that are clear of every path",
    ),
    "screws-missing": Explanation(
        title="too few places for screws are stated",
        meaning="The shop holds by screws. Driven where there seems to be room, one ends under a cutter. "
        "Where nothing else holds, a board without screws is thrown, and about a single one it turns: an "
        "error. Beside a vacuum, a note.",
        formula="places of `holding.screws` on the blank of each setup: 2 or more where screws alone hold, "
        "1 or more beside a vacuum",
        source=_PRACTICE,
        remedy="take the places that the finding lists, which are clear of every path, rapids included, "
        "and write them into `holding.screws`",
    ),
    "hang-slack": Explanation(
        title="one of two hanging points carries nothing",
        meaning="The centre of gravity is not between the two points that the sign hangs from, so it tips "
        "until one of them is slack and the other carries all.",
        formula="left share = weight x (right - centre) / (right - left), which must not be below 0",
        source="statics",
        remedy="set the points to both sides of the centre of gravity; an engineer decides how it is hung",
    ),
    "hang-lean": Explanation(
        title="hung free, the sign leans",
        meaning="A body comes to rest with its centre of gravity under the line that it hangs from.",
        formula="atan(offset of the centre of gravity / its drop below the points), against 1 degree",
        source="statics; one degree is common practice",
        remedy="move the points over the centre of gravity, or tie the foot",
    ),
    "hang-load": Explanation(
        title="a hanger pulls more than it may carry",
        meaning="The sign's weight alone, without wind or swing, asks more of a hanger than its breaking "
        "load over the design factor.",
        formula="share / sin(angle of the leg), against breaking load / `hanging.design_factor`",
        source="statics; a factor of 5 is common practice, some municipal codes ask for 4, others 5",
        remedy="use stronger hangers or steeper legs; a licensed engineer and the building official decide",
    ),
    "hold-too-long": Explanation(
        title="a hold does not fit into the shop's day",
        meaning="Once the vacuum is on and the job has begun, the shop is committed to finish that "
        "hold. This one lasts longer than the day between `start` and `until`.",
        formula="upper end of the time band of the hold against `work.until` - `work.start`",
        source="the band is computed; logged times of the shop make it narrower",
        remedy="use two blanks, larger cutters or coarser finishing, or agree to stay",
    ),
    "lift-weight": Explanation(
        title="too heavy for one person",
        meaning="The finished sign weighs more than one person should lift even in the best position, "
        "and a sign is not held in the best position.",
        formula="mass of board and steel against 23 kg (51 lb), the load constant of the lifting equation",
        source="NIOSH publication 94-110",
        remedy="plan for two people or a lift; the employer's safety programme decides",
    ),
}

EXPLANATIONS: Mapping[str, Explanation] = (
    _CLOSING | _REGISTRATION | _ARTWORK | _CUTTING | _HOLD | PROGRAM_EXPLANATIONS
)
"""By code."""
