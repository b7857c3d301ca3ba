package fit_test

import (
	"testing"

	"example.com/trialfit/clearance/fit"
	"example.com/trialfit/units"
)

var (
	sinkLength   units.Length
	sinkPressure units.Pressure
)

func BenchmarkClassLimits(b *testing.B) {
	b.ReportAllocs()
	classes := []fit.Class{{Letter: "H", Grade: fit.IT7}, {Letter: "js", Grade: fit.IT6}, {Letter: "ZC", Grade: fit.IT9}, {Letter: "S", Grade: fit.IT7}}
	i := 0
	for b.Loop() {
		d, _ := classes[i%len(classes)].Limits(units.Length(i%480+5) * mm)
		sinkLength += d.Upper
		i++
	}
}

func BenchmarkInchFit(b *testing.B) {
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		r, _ := fit.FN2.Fit(units.Length(i%50+40) * mm)
		sinkLength += r.Clearance.Min
		i++
	}
}

func BenchmarkParseDesignation(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		d, _ := fit.ParseDesignation("25 H7/p6")
		sinkLength += d.Nominal
	}
}

func BenchmarkPressSolve(b *testing.B) {
	b.ReportAllocs()
	p := guide()
	i := 0
	for b.Loop() {
		p.Interference.Value = units.Length(i%64+1) * um
		r, _ := p.Solve()
		sinkPressure += r.Pressure.Value
		i++
	}
}
