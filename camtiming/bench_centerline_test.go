package camtiming_test

import (
	"testing"

	"example.com/trialfit/camtiming"
	"example.com/trialfit/units"
)

func BenchmarkEqualLift(b *testing.B) {
	in := exampleEqualLift()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.EqualLift(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNoseCurve(b *testing.B) {
	in := camtiming.NoseCurveInput{Valve: camtiming.IntakeValve, Degree: 4, Dial: units.Some(units.Thou)}
	for x := -30.0; x <= 30; x += 2 {
		in.Readings = append(in.Readings, camtiming.DialPoint{At: crank(106 + x), Dial: units.Length(leaning.at(x/2) * 1e12)})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.NoseCurve(in); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSingleValveAt(b *testing.B) {
	v := camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: leaning.lobe(b), AtValve: units.Some(camtiming.ValveGear{Ratio: 1.5})}
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		l, err := v.At(units.CrankAngle(90+i&31) * units.CrankDegree)
		if err != nil {
			b.Fatal(err)
		}
		sinkLength = l.Dial
		i++
	}
}

func BenchmarkSingleValveCenterline(b *testing.B) {
	v := camtiming.SingleValve{Valve: camtiming.IntakeValve, Lobe: leaning.lobe(b)}
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		c, err := v.Centerline(camtiming.LiftAtTDCReading{Lift: units.WithU(units.Length(5+i&31)*units.Thou, units.Thou)})
		if err != nil {
			b.Fatal(err)
		}
		sinkLength = units.Length(c.Angle.Value)
		i++
	}
}

func BenchmarkCombineCenterlines(b *testing.B) {
	c := camtiming.Centerline{Valve: camtiming.IntakeValve, Basis: camtiming.BasisNose, Angle: units.WithU(crank(106), crank(0.3)), UReading: crank(0.3)}
	list := []camtiming.Centerline{c, c, c, c}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := camtiming.CombineCenterlines(list); err != nil {
			b.Fatal(err)
		}
	}
}
