// Package camtiming answers how a camshaft is timed: what its card says, how
// high its lifters stand, how far it is advanced as installed, what is wrong
// and which part corrects it.
//
// The way through it: a [Card] is resolved and fitted to a [Cam]; a
// straightedge and feeler across the two lifters of a cylinder at top dead
// center of overlap give a [SplitReading], which [Cam.Split] turns into the
// installed advance; [ComparePair] and [Survey] set cylinders side by side,
// [Diagnose] ranks causes by probability and finds the measurement that tells
// them apart, and [Correct] picks the parts. [FindTDC] finds top dead center
// on the degree wheel from stop contacts or piston drops, and [DegreeWheel]
// corrects later readings; [SliderCrank] is the piston's exact motion. Measured lobes
// ([TableLobe], [SmoothLobe] where the readings scatter, [Unroll] for their order),
// closed-form ones ([LawLobe], [ArcLobe]) and any other
// [LiftCurve] serve as well as the card's. [PeaksOf], [AreaUnder],
// [NewFlatContact] and [NewRollerContact] tell what a lobe asks of its follower;
// [CompareLobes] tells how a measured lobe differs from another.
//
// The difference itself is read by straightedge and feeler ([StraightedgeGap],
// [FeelerPair], [RockingStraightedge]), over spacers ([SpacedStraightedge]), from
// one datum ([DepthPair]) or at the retainers ([RetainerPair]). A single lobe is
// placed by its [Centerline]: from equal lifts ([EqualLift]), events
// ([CheckedEvents]), a curve around the nose ([NoseCurve]) or the lift at top dead
// center ([SingleValve]); [CombineCenterlines] weighs several and
// [Cam.AdvanceFrom] makes an advance of one.
//
// What the lash does is told by [ValveGear], [Cam.ValveTiming] and [Cam.Change];
// [LashLoop] and [Cam.WarmUp] carry it from cold to hot, [RampLobe] and [TakeUpOf]
// tell whether it is taken up on a clearance ramp, [HydraulicLifter] what a lifter
// without lash does. [CamRing] and [RingLobe] stand for cams that turn at another
// speed or against the crank, and followers on inclined bores; [Drive] and
// [Vernier] for the teeth of the drive.
//
// # Conventions
//
// Crank angles are [units.CrankAngle], cam angles [units.CamAngle]: lobe
// separation and everything counted from a lobe's nose are of the cam; events,
// durations, centerlines and advance are of the crank. Both are positive in
// normal rotation.
//
// Datum: the crank angle of a cylinder is 0 at top dead center of overlap, plus
// and minus 360 degrees at firing top dead center. A lobe's angle is 0 at its nose,
// negative on the opening side.
//
// Signs: events are positive on their usual side (IVO before top, IVC after
// bottom, EVO before bottom, EVC after top dead center), and negative on the
// other. The intake centerline counts after, the exhaust centerline before
// overlap top dead center. Overlap is IVO + EVC; negative is a gap. Advance is
// positive when every event comes earlier. A height difference is intake
// minus exhaust. The crank standing late by some degrees (after the true dead
// center) adds as many degrees to the advance that is read.
//
// Three senses of "no error" are kept apart. Straight up: the two centerlines
// are equal, advance 0. As ground: the advance is the card's ground advance.
// Marks aligned: the index marks of the gears meet, which says nothing by
// itself. Advance is counted from straight up; FromGround, and the causes of
// Diagnose, from as ground.
//
// A centerline has a basis: printed on the card, midpoint of events at a
// checking lift, or the nose. They agree only for a lobe with equal flanks.
// [Resolved] names its basis; [Opening].Midpoint says how far the midpoint at a
// lift lies from the nose; a fitted lobe has its nose at the centerline. A
// measured [Centerline] carries its basis and the lift of its midpoint; those of
// unlike basis are refused side by side, and [Centerline.AtNose] converts them.
//
// Checking lifts and lobe lifts are at the lifter; lash does not touch them.
// Uncertainties are standard uncertainties (k = 1); one that was not stated
// is not zero, and nothing is claimed from it.
//
// # What it cannot tell
//
// The reading at overlap presumes both lobes on one shaft. With two shafts each
// lobe's own lift is judged, not their difference.
//
// At firing top dead center every cam reads level, so that a reading needs
// proof that a lifter is up. Two readings that differ prove that one of
// them was at overlap, not which: taken the wrong way round they give the
// wrong sign.
//
// Level lifters mean straight up only for equal lobes with equal flanks; level
// at lift l means (De(l) - Di(l))/4 for unequal ones. Where both lifters are
// on the base circle the method knows nothing and gives an interval.
//
// An index error and an equal error of top dead center look the same on every
// cylinder; no averaging separates them, and a positive stop does
// ([Discrimination]). Two cylinders cannot tell twist from a grinding error, three
// cannot test a twist (four where a second bank has an offset of its own), and a
// height difference cannot tell which of its two lobes is wrong.
//
// A card's few numbers leave a family of lobes. Its spread enters the
// uncertainty of a split reading; the asymmetry of the flanks does so only if
// [LobeFigures].Asymmetry states how large it may be.
//
// # Sources
//
// Definitions and worked events: US DOE, DOE-HDBK-1018/1-93, module 1; US Army
// TM 9-8000 (1985), p. 2-35. Laws of motion: Rothbart (ed.), Cam Design Handbook
// (2004), ch. 3 and 4. Lobes of arcs: Khurmi and Gupta, Theory of Machines,
// ch. 20. Monotone interpolation: Fritsch and Butland (1984). Cubic splines: de
// Boor, A Practical Guide to Splines (1978), ch. IV. Smoothing: Wahba, Spline Models for
// Observational Data (1990); Craven and Wahba, Numer. Math. 31 (1979).
// Uncertainty: JCGM 100:2008, 4.3.7, 5.1.2 and H.3. Decisions: JCGM 106:2012 and ISO
// 14253-1 (read in secondary sources), through the units package. The rule of
// thumb of 0.006 in for two degrees is common practice without a source, is
// labeled so, and decides nothing.
//
// # Limits
//
// Durations lie in (0, 720) crank degrees, centerlines and advances within one
// turn, lobe separation in (0, 180) cam degrees, flanks under 180 cam
// degrees, lifts up to 1 m. Results are rounded to 1 pm and 1e-9 crank
// degree. A split reading is inverted between minus and plus the lobe
// separation. The uncertainty taken from the slope is a linear one; Low and
// High follow the curve.
//
// Built lobes and cams are safe for concurrent use; At, Advance, Lift,
// Velocity, Motion and Split do not allocate.
//
// # Cautions
//
// Results support the builder's own measurements; the part maker's figures and
// a qualified engine machinist take precedence. Disconnect the battery and
// take out the plugs, turn the crank by hand and stop at any resistance; check
// valve to piston clearance before a cam stands anywhere but as its maker
// says. Compressed valve springs and a turning crank injure.
package camtiming
