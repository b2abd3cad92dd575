// Package wheel holds the arithmetic of a spoked wheel on a truing stand:
// run-out, dish, spoke tension, spoke geometry and the doubts a set of
// readings should raise before anyone believes it.
//
// What it believes. A rim is judged by what an indicator shows in one turn of
// the wheel (the full indicator reading), and explained by its harmonics: one
// wave is a wobble or an eccentric rim, two waves a saddle or an oval, more
// waves a group of spokes, a joint or a bent rim. Spokes are compared within
// their own side only, because a dished wheel needs two different tensions.
// The grades shipped here are common practice, editable, and never stand above
// the rim maker's data.
//
// Where to start. AnalyseRunOut takes one reading per spoke hole; Dish takes
// two shoulder distances; SideStatistics takes the tensions of one side;
// Geometry gives spoke length, angles and the expected ratio of the sides;
// GradeOf compares results with the grade table; Doubts lists the readings to
// take again; AnalyseMasked leaves out stations with a reason; GaugeTable turns
// gauge readings into tensions; NewModel, NewPlan and Prescribe say which
// nipples to turn; Learn compares a round with what was predicted, and Explain
// weighs what may have gone wrong where they disagree; RimOwn is what no turn
// mends; Sections are the assumed rims.
//
// The prescription's honest limits. Its model is an elastic ring on prestressed
// spokes whose stiffness is assumed; it was never validated on a real wheel. It
// proves its arithmetic, not the wheel: plan for two or three rounds, read
// everything again after each, and stop when readings contradict it. It never
// asks for a tension above the rim maker's maximum less the gauge's
// uncertainty, at the end or on the way, and shows the highest before the first
// turn. What turning cannot mend it calls the rim's.
//
// Conventions, everywhere: spoke j of N stands at rim angle 360 j/N degrees,
// counter-clockwise seen from side A, spoke 0 being the first side A spoke
// after the valve hole; even j is laced to side A, odd j to side B; lateral is
// positive toward side A, radial positive outward. Lengths are millimetres,
// tensions newtons, angles degrees unless a name says otherwise.
//
// What it refuses. Missing or impossible readings are errors, never zero and
// never NaN. Harmonics are not offered below twelve stations. A set whose
// first station has drifted by more than 0.05 mm is refused whole. A wheel with
// slack spokes gets no turn list, a gauge reading outside its table no tension.
package wheel
