package valvetrain_test

import (
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

// onlyLift hides the acceleration of a lobe.
type onlyLift struct{ camtiming.LiftCurve }

func TestBadDynamics(t *testing.T) {
	lobe := lawOf(t, camtiming.Poly345, 7, 60, 66)
	good := valvetrain.DynamicsSpec{Curve: lobe, Gear: valvetrain.ConstantRatio{Ratio: 1.5}, Spring: outer, Installed: mm(42), Masses: moved}
	type ds = valvetrain.DynamicsSpec
	d := func(change func(*ds)) func() (any, error) {
		return with(good, change, func(s ds) (bool, error) { d, err := valvetrain.NewDynamics(s); return d != nil, err })
	}
	straight := must[*camtiming.TableLobe](t)(camtiming.NewTableLobe(camtiming.TableLobeSpec{Interpolation: camtiming.Straight, Samples: []camtiming.LiftSample{
		{Angle: camDeg(-60)}, {Angle: camDeg(-30), Lift: mm(3)}, {Angle: 0, Lift: mm(7)}, {Angle: camDeg(30), Lift: mm(3)}, {Angle: camDeg(60)},
	}}))
	m := func(change func(*valvetrain.MovingMasses)) func() (any, error) {
		return with(moved, change, func(m valvetrain.MovingMasses) (valvetrain.EffectiveMass, error) { return m.AtValve(1.5) })
	}
	type masses = valvetrain.MovingMasses
	dyn := must[*valvetrain.Dynamics](t)(valvetrain.NewDynamics(good))
	tr := must[valvetrain.Turning](t)(dyn.Turning(100))
	follow := valvetrain.CamFollower{Base: mm(20), Width: mm(14), Surfaces: steels}
	type cf = valvetrain.CamFollower
	c := func(change func(*cf)) func() (any, error) {
		return with(follow, change, func(f cf) (bool, error) { c, err := tr.Contact(f); return c != nil, err })
	}
	train := valvetrain.FlexibleTrain{Stiffness: 5e6, Damping: 0.05}
	type ft = valvetrain.FlexibleTrain
	r := func(change func(*ft)) func() (any, error) { return with(train, change, tr.Response) }
	flat := must[*camtiming.FlatContact](t)(camtiming.NewFlatContact(camtiming.FlatContactSpec{Curve: lobe, Base: mm(25)}))
	face := valvetrain.FlatFace{Contact: flat, Face: exact(mm(35)), Lobe: mm(14)}
	type ff = valvetrain.FlatFace
	f := func(change func(*ff)) func() (any, error) { return with(face, change, valvetrain.FlatFace.Margin) }
	tangent := gearShapes(t)["tangent"]
	onTangent := must[valvetrain.Turning](t)(dynamicsFor(t, tangent, outer, valvetrain.ConstantRatio{Ratio: 1}).Turning(10))
	creeping := must[valvetrain.Turning](t)(dyn.Turning(1))
	still := must[valvetrain.Turning](t)(dyn.Turning(0))
	tight := good
	tight.Spring = valvetrain.LinearSpring{Height: mm(42), Force: exact(units.Force(100)), Rate: exact(units.Stiffness(2000)), Solid: exact(mm(31.4))}
	loose := must[valvetrain.Turning](t)(must[*valvetrain.Dynamics](t)(valvetrain.NewDynamics(tight)).Turning(600))
	motion := must[*valvetrain.ValveMotion](t)(valvetrain.NewValveMotion(valvetrain.ValveCurveSpec{Lobe: lobe, Gear: valvetrain.ConstantRatio{Ratio: 1}}))
	finger := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(boatFinger(t)))
	short := boatFinger(t)
	short.Finger.TipArm, short.Finger.Valve.At = mm(6), pt(-26, -38.9)
	stub := must[*valvetrain.FingerCurve](t)(valvetrain.NewFingerCurve(short))
	refuse(t, []bad{
		{"motion of a valve", d(func(s *ds) { s.Curve = motion }), "Curve", units.ErrConflict},
		{"no gear", d(func(s *ds) { s.Gear = nil }), "Gear", units.ErrMissing},
		{"zero linkage", d(func(s *ds) { s.Gear = valvetrain.Linkage{} }), "Pushrod", units.ErrMissing},
		{"zero finger", d(func(s *ds) { s.Curve, s.Gear = new(valvetrain.FingerCurve), nil }), "Curve", units.ErrMissing},
		{"finger and gear", d(func(s *ds) { s.Curve = finger }), "Gear", units.ErrConflict},
		{"finger and lash", d(func(s *ds) { s.Curve, s.Gear, s.Lash = finger, nil, units.Some(mm(0.1)) }), "Lash", units.ErrConflict},
		{"finger and pushrod", d(func(s *ds) { s.Curve, s.Gear, s.Masses.Lifter = finger, nil, 0 }), "Masses.Pushrod", units.ErrConflict},
		{"finger and lifter", d(func(s *ds) { s.Curve, s.Gear, s.Masses.Pushrod = finger, nil, 0 }), "Masses.Lifter", units.ErrConflict},
		{"finger with hardly any lift", d(func(s *ds) { s.Curve, s.Gear, s.Masses = stub, nil, fingerMasses() }), "Curve", units.ErrRange},
		{"arm of a linkage", d(func(s *ds) { s.Gear, s.Masses.Rocker.ValveArm = boatRocker, -1 }), "Masses.Rocker.ValveArm", units.ErrRange},
		{"no curve", d(func(s *ds) { s.Curve = nil }), "Curve", units.ErrMissing},
		{"nil curve", d(func(s *ds) { s.Curve = (*camtiming.LawLobe)(nil) }), "Curve", units.ErrMissing},
		{"zero curve", d(func(s *ds) { s.Curve = new(camtiming.ArcLobe) }), "Curve.MaxLift", units.ErrRange},
		{"no acceleration", d(func(s *ds) { s.Curve = onlyLift{lobe} }), "Curve", units.ErrMissing},
		{"straight table", d(func(s *ds) { s.Curve = straight }), "Curve", units.ErrImpossible},
		{"no ratio", d(func(s *ds) { s.Gear = valvetrain.ConstantRatio{} }), "Gear.Ratio", units.ErrRange},
		{"ratio inf", d(func(s *ds) { s.Gear = valvetrain.ConstantRatio{Ratio: inf} }), "Gear.Ratio", units.ErrRange},
		{"lash", d(func(s *ds) { s.Curve, s.Lash = lawOf(t, camtiming.Poly345, 0.5, 60, 60), units.Some(mm(0.75)) }), "Lash", units.ErrRange},
		{"no spring", d(func(s *ds) { s.Spring = nil }), "Spring", units.ErrMissing},
		{"zero spring", d(func(s *ds) { s.Spring = valvetrain.LinearSpring{} }), "Spring.Height", units.ErrMissing},
		{"no height", d(func(s *ds) { s.Installed = 0 }), "Installed", units.ErrMissing},
		{"height under lift", d(func(s *ds) { s.Installed = mm(10.5) }), "Installed", units.ErrImpossible},
		{"coil bind", d(func(s *ds) { s.Installed = mm(36) }), "Spring.height", units.ErrImpossible},
		{"no valve", d(func(s *ds) { s.Masses.Valve = 0 }), "Masses.Valve", units.ErrMissing},
		{"mass negative", m(func(m *masses) { m.Retainer = -1 }), "Retainer", units.ErrRange},
		{"mass nan", m(func(m *masses) { m.Lifter = units.Mass(nan) }), "Lifter", units.ErrRange},
		{"mass inf", m(func(m *masses) { m.Spring = units.Mass(inf) }), "Spring", units.ErrRange},
		{"no arm", m(func(m *masses) { m.Rocker.ValveArm = 0 }), "Rocker.ValveArm", units.ErrMissing},
		{"no gyration", m(func(m *masses) { m.Rocker.Gyration = 0 }), "Rocker.Gyration", units.ErrMissing},
		{"gyration far", m(func(m *masses) { m.Rocker.Gyration = 9 * units.Meter }), "Rocker.Gyration", units.ErrRange},
		{"no rocker mass", m(func(m *masses) { m.Rocker.Mass = 0 }), "Rocker.Mass", units.ErrMissing},
		{"mass ratio", one(func() (valvetrain.EffectiveMass, error) { return moved.AtValve(nan) }), "ratio", units.ErrRange},
		{"zero dynamics", one(new(valvetrain.Dynamics).Float), "Dynamics", units.ErrMissing},
		{"nil dynamics", one((*valvetrain.Dynamics)(nil).Float), "Dynamics", units.ErrMissing},
		{"zero turning", one(valvetrain.Turning{}.Limits), "Dynamics", units.ErrMissing},
		{"zero dynamics turning", one(func() (valvetrain.Turning, error) { return new(valvetrain.Dynamics).Turning(1) }), "Dynamics", units.ErrMissing},
		{"speed negative", one(func() (valvetrain.Turning, error) { return dyn.Turning(-1) }), "cam", units.ErrRange},
		{"speed nan", one(func() (valvetrain.Turning, error) { return dyn.Turning(units.AngularSpeed(nan)) }), "cam", units.ErrRange},
		{"speed inf", one(func() (valvetrain.Turning, error) { return dyn.Turning(units.AngularSpeed(inf)) }), "cam", units.ErrRange},
		{"no base", c(func(f *cf) { f.Base = 0 }), "Base", units.ErrMissing},
		{"base small", c(func(f *cf) { f.Base = mm(5) }), "Base", units.ErrImpossible},
		{"no width", c(func(f *cf) { f.Width = 0 }), "Width", units.ErrMissing},
		{"crown negative", c(func(f *cf) { f.Crown = -1 }), "Crown", units.ErrRange},
		{"friction nan", c(func(f *cf) { f.Friction = nan }), "Friction", units.ErrRange},
		{"friction negative", c(func(f *cf) { f.Friction = -0.1 }), "Friction", units.ErrRange},
		{"offset of a face", c(func(f *cf) { f.Offset = 1 }), "Offset", units.ErrConflict},
		{"roller negative", c(func(f *cf) { f.Roller = -1 }), "Roller", units.ErrRange},
		{"roller large", c(func(f *cf) { f.Roller, f.Base = mm(40), mm(10) }), "Base", units.ErrImpossible},
		{"roller offset", c(func(f *cf) { f.Roller, f.Offset = mm(9), mm(29) }), "Offset", units.ErrRange},
		{"materials", c(func(f *cf) { f.Surfaces.Second.Young = 0 }), "Surfaces.Second.Young", units.ErrMissing},
		{"contact of nothing", one(func() (bool, error) { c, err := valvetrain.Turning{}.Contact(follow); return c != nil, err }), "Dynamics", units.ErrMissing},
		{"lobe for a roller", one(func() (bool, error) { c, err := onTangent.Contact(follow); return c != nil, err }), "Curve", units.ErrConflict},
		{"limits of nothing", one(new(valvetrain.CamContact).Limits), "CamContact", units.ErrMissing},
		{"limits of nil", one((*valvetrain.CamContact)(nil).Limits), "CamContact", units.ErrMissing},
		{"no stiffness", r(func(f *ft) { f.Stiffness = 0 }), "Stiffness", units.ErrMissing},
		{"stiffness nan", r(func(f *ft) { f.Stiffness = units.Stiffness(nan) }), "Stiffness", units.ErrRange},
		{"stiff and slow", one(func() (valvetrain.Response, error) {
			return creeping.Response(valvetrain.FlexibleTrain{Stiffness: 1e12})
		}), "Stiffness", units.ErrRange},
		{"damping negative", r(func(f *ft) { f.Damping = -0.1 }), "Damping", units.ErrRange},
		{"damping nan", r(func(f *ft) { f.Damping = nan }), "Damping", units.ErrRange},
		{"restitution", r(func(f *ft) { f.Restitution = 1 }), "Restitution", units.ErrRange},
		{"restitution nan", r(func(f *ft) { f.Restitution = nan }), "Restitution", units.ErrRange},
		{"step negative", r(func(f *ft) { f.Step = -1 }), "Step", units.ErrRange},
		{"step wide", r(func(f *ft) { f.Step = camDeg(11) }), "Step", units.ErrRange},
		{"response of nothing", one(func() (valvetrain.Response, error) { return valvetrain.Turning{}.Response(train) }), "Dynamics", units.ErrMissing},
		{"response at rest", one(func() (valvetrain.Response, error) { return still.Response(train) }), "cam", units.ErrRange},
		{"overshoot", one(func() (valvetrain.Response, error) { return loose.Response(train) }), "Spring", units.ErrImpossible},
		{"no contact", f(func(f *ff) { f.Contact = nil }), "Contact", units.ErrMissing},
		{"zero contact", f(func(f *ff) { f.Contact = new(camtiming.FlatContact) }), "Contact", units.ErrMissing},
		{"no face", f(func(f *ff) { f.Face.Value = 0 }), "Face", units.ErrMissing},
		{"face u", f(func(f *ff) { f.Face.U = 1 }), "Face.U", units.ErrConflict},
		{"chamfer", f(func(f *ff) { f.Chamfer = mm(17.5) }), "Chamfer", units.ErrImpossible},
		{"chamfer negative", f(func(f *ff) { f.Chamfer = -1 }), "Chamfer", units.ErrRange},
		{"lobe wide", f(func(f *ff) { f.Lobe = mm(35) }), "Lobe", units.ErrImpossible},
		{"lobe negative", f(func(f *ff) { f.Lobe = -1 }), "Lobe", units.ErrRange},
		{"offset far", f(func(f *ff) { f.Offset = most }), "Offset", units.ErrRange},
		{"limits none", f(func(f *ff) { f.Limits = units.Some(units.Limits[units.Length]{}) }), "Limits", units.ErrConflict},
	})
}
