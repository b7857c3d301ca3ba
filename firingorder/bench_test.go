package firingorder_test

import (
	"testing"

	fo "example.com/trialfit/firingorder"
	"example.com/trialfit/units"
)

// sink keeps results from being optimized away.
var sink struct {
	phase     fo.Phase
	companion fo.Companion
	engine    *fo.Engine
	layout    *fo.Layout
	order     fo.Order
}

func BenchmarkPhaseAt(b *testing.B) {
	e := engine(b, vee{fo.FourTwoPlane, false, 90, 0, fo.Alternating, fo.PassedLast}.layout(b), "1-8-4-3-6-5-7-2")
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		i++
		p, err := e.PhaseAt(1+i&7, units.CrankAngle(i)*units.CrankDegree)
		if err != nil {
			b.Fatal(err)
		}
		sink.phase = p
	}
}

func BenchmarkCompanionOf(b *testing.B) {
	e := engine(b, inline(b, fo.SixEven, false), "1-5-3-6-2-4")
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		i++
		c, err := e.CompanionOf(1 + i%6)
		if err != nil {
			b.Fatal(err)
		}
		sink.companion = c
	}
}

func BenchmarkNewLayout(b *testing.B) {
	c := vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b).Config()
	b.ReportAllocs()
	for b.Loop() {
		l, err := fo.NewLayout(c)
		if err != nil {
			b.Fatal(err)
		}
		sink.layout = l
	}
}

func BenchmarkNewEngine(b *testing.B) {
	c := fo.EngineConfig{Layout: vee{fo.SixEven, false, 60, 0, fo.Bankwise, fo.PassedFirst}.layout(b), Order: order(b, "1-7-5-11-3-9-6-12-2-8-4-10")}
	b.ReportAllocs()
	for b.Loop() {
		e, err := fo.NewEngine(c)
		if err != nil {
			b.Fatal(err)
		}
		sink.engine = e
	}
}

func BenchmarkParseOrder(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		o, err := fo.ParseOrder("1-8-4-3-6-5-7-2")
		if err != nil {
			b.Fatal(err)
		}
		sink.order = o
	}
}
