package evaluation

import (
	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

// camDrive computes the rows of drive.csv.
func camDrive(add adder) {
	teeth := func(f func(camtiming.DriveTeeth) float64) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			d := camtiming.Drive{CrankTeeth: in.int("crank"), CamTeeth: in.int("cam")}
			if in.has("driven") {
				d.DrivenTeeth, d.DrivingTeeth = in.int("driven"), in.int("driving")
			}
			t, err := d.Teeth()
			return Number(f(t)), err
		}
	}
	add("crank mesh tooth", teeth(func(t camtiming.DriveTeeth) float64 { return t.CrankMesh.Degrees() }), "Drive.Teeth")
	add("cam mesh tooth", teeth(func(t camtiming.DriveTeeth) float64 { return t.CamMesh.Degrees() }), "Drive.Teeth")
	add("cam mesh tooth in cam degrees", teeth(func(t camtiming.DriveTeeth) float64 { return t.CamMesh.Cam().Degrees() }), "Drive.Teeth")
	add("finest tooth step", teeth(func(t camtiming.DriveTeeth) float64 { return t.Finest.Degrees() }), "Drive.Teeth")
	speeds := map[string]camtiming.WheelSpeed{"crank": camtiming.AtCrankSpeed, "cam": camtiming.AtCamSpeed}
	add("play of a mesh", func(in *inputs) (Answer, error) {
		a, err := camtiming.Mesh{Backlash: in.length("backlash"), PitchDiameter: in.length("diameter"), Speed: speeds[in.text("speed")]}.Play()
		return Number(a.Degrees()), err
	}, "Mesh.Play")
	add("play of two meshes", func(in *inputs) (Answer, error) {
		a, err := camtiming.DrivePlay([]camtiming.Mesh{
			{Backlash: in.length("backlash"), PitchDiameter: in.length("diameter"), Speed: camtiming.AtCrankSpeed},
			{Backlash: in.length("second"), PitchDiameter: in.length("second diameter"), Speed: camtiming.AtCamSpeed},
		})
		return Number(a.Degrees()), err
	}, "Mesh.Play", "DrivePlay")
	wheel := func(kind camtiming.WheelKind) func(*inputs) (Answer, error) {
		return func(in *inputs) (Answer, error) {
			d, err := camtiming.DriveWheel{Kind: kind, Pitch: in.length("pitch"), Teeth: in.int("teeth")}.PitchDiameter()
			return Number(d.Millimeters()), err
		}
	}
	add("chain wheel pitch diameter", wheel(camtiming.ChainWheel), "DriveWheel.PitchDiameter")
	add("belt wheel pitch diameter", wheel(camtiming.BeltWheel), "DriveWheel.PitchDiameter")
	diameter := func(in *inputs, teeth string) units.Length {
		d, err := camtiming.DriveWheel{Kind: camtiming.ChainWheel, Pitch: in.length("pitch"), Teeth: in.int(teeth)}.PitchDiameter()
		if in.err == nil {
			in.err = err
		}
		return d
	}
	add("tight run of two wheels", func(in *inputs) (Answer, error) {
		l, err := camtiming.WheelPair{Driver: diameter(in, "driver"), CamWheel: diameter(in, "cam"), CenterDistance: in.length("center")}.TightRun()
		return Number(l.Inches()), err
	}, "WheelPair.TightRun", "DriveWheel.PitchDiameter")
	add("retard of a worn chain in cam degrees", func(in *inputs) (Answer, error) {
		a, err := camtiming.ChainWear{Elongation: in.float("elongation"), TightRun: in.length("tight run"), CamWheel: diameter(in, "cam")}.Retard()
		return Number(a.Cam().Degrees()), err
	}, "ChainWear.Retard", "DriveWheel.PitchDiameter")
	add("elongation of a chain", func(in *inputs) (Answer, error) {
		x, err := camtiming.ChainLength{Pitch: in.length("pitch"), Links: in.int("links"), Length: in.length("length")}.Elongation()
		return Number(x), err
	}, "ChainLength.Elongation")
	add("retard of a lowered head", func(in *inputs) (Answer, error) {
		s, err := camtiming.HeadHeight{
			Wheels: camtiming.WheelPair{Driver: in.length("driver"), CamWheel: in.length("cam"), CenterDistance: in.length("center")},
			Offset: in.length("offset"), Removed: in.length("removed"), Thicker: in.length("thicker"),
		}.Shift()
		return Number(s.Retard.Degrees()), err
	}, "HeadHeight.Shift")
	kinds := map[string]camtiming.OffsetKind{"bushing": camtiming.OffsetBushing, "key": camtiming.OffsetKey}
	part := func(in *inputs) camtiming.OffsetPart {
		return camtiming.OffsetPart{Kind: kinds[in.text("kind")], Radius: in.length("radius"), Speed: speeds[in.text("speed")]}
	}
	add("shift of an offset part", func(in *inputs) (Answer, error) {
		p := part(in)
		p.Offset = in.length("offset")
		a, err := p.Shift()
		return Number(a.Degrees()), err
	}, "OffsetPart.Shift")
	add("offset for a shift", func(in *inputs) (Answer, error) {
		l, err := part(in).OffsetFor(in.crank("shift"))
		return Number(l.Millimeters()), err
	}, "OffsetPart.OffsetFor")
	add("rim distance of an angle", func(in *inputs) (Answer, error) {
		l, err := camtiming.Rim{Diameter: in.length("diameter")}.Distance(in.crank("angle"))
		return Number(l.Millimeters()), err
	}, "Rim.Distance")
	add("rim angle of a distance", func(in *inputs) (Answer, error) {
		a, err := camtiming.Rim{Diameter: in.length("diameter")}.Angle(in.length("distance"))
		return Number(a.Degrees()), err
	}, "Rim.Angle")
	add("permitted error of a gear train", func(*inputs) (Answer, error) {
		return degrees(camtiming.GearTrainTimingLimit().Max)
	}, "GearTrainTimingLimit")
	mark := func(in *inputs) (camtiming.MarkError, error) {
		return camtiming.MarkCheck{
			Rim: camtiming.Rim{Diameter: in.length("diameter")}, Past: units.WithU(in.length("past"), in.length("u")),
			TDC: in.crank("tdc"), Limits: camtiming.GearTrainTimingLimit(),
		}.Check()
	}
	add("error of a damper mark", func(in *inputs) (Answer, error) {
		e, err := mark(in)
		return Number(e.Early.Value.Degrees()), err
	}, "MarkCheck.Check")
	add("uncertainty of a damper mark", func(in *inputs) (Answer, error) {
		e, err := mark(in)
		return Number(e.Early.U.Degrees()), err
	}, "MarkCheck.Check")
	add("verdict on a damper mark", func(in *inputs) (Answer, error) {
		e, err := mark(in)
		return Text(e.Verdict.Outcome.String()), err
	}, "MarkCheck.Check")
	add("true angle behind a mark", func(in *inputs) (Answer, error) {
		e, err := mark(in)
		return Number(e.True(in.crank("read")).Degrees()), err
	}, "MarkError.True", "MarkCheck.Check")
}
