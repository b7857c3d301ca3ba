package clearance_test

import (
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

var sink units.Length

func BenchmarkFitClearance(b *testing.B) {
	b.ReportAllocs()
	fits := make([]clearance.Fit, 64)
	for i := range fits {
		d := units.Length(i) * um
		fits[i] = clearance.Fit{Bore: clearance.Size{Min: 20*mm + d, Max: 20*mm + 21*um + d}, Shaft: clearance.Size{Min: 20*mm - 20*um, Max: 20*mm - 7*um}}
	}
	i := 0
	for b.Loop() {
		r, _ := fits[i%len(fits)].Clearance()
		sink += r.Mean
		i++
	}
}

func BenchmarkGapMoved(b *testing.B) {
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		r, _ := clearance.GapMove{Gap: un(mm), From: un(80 * mm), To: un(80*mm + units.Length(i%64)*um)}.Moved()
		sink += r.Gap.Value
		i++
	}
}

func BenchmarkOilClearance(b *testing.B) {
	b.ReportAllocs()
	bearing := workboatMain()
	for b.Loop() {
		c, _ := bearing.OilClearance()
		sink += c.Mean.Value
	}
}
