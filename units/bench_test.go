package units_test

import (
	"testing"

	"example.com/trialfit/units"
)

var sink struct {
	l units.Length
	b []byte
	f float64
	o units.Outcome
}

var shortTexts = [...]string{"0.0025 in", `2.0995"`, "12 thou", "53.327 mm", "63.5 um", "-0.00001 in", "63.5 \u00b5m"}

func TestNoAllocations(t *testing.T) {
	buf := make([]byte, 0, 128)
	a, b := units.MustParseLength("2.1005 in"), units.MustParseLength("2.0980 in")
	crank := units.MustParseCrankAngle("106.5 deg")
	r := units.MustParseReading("0.0250 in")
	l := units.Between(units.Length(0), a, card)
	var i int
	for name, f := range map[string]func(){
		"arithmetic": func() {
			s, _ := a.Add(b)
			d, _ := s.Sub(b)
			m, _ := d.Mul(3)
			k, _ := m.Scale(1.5)
			sink.l = k - a + b.Abs()
		},
		"compare": func() { sink.l = max(a, b) },
		"parse":   func() { sink.l, _ = units.ParseLength(shortTexts[i%len(shortTexts)]); i++ },
		"reading": func() { r, _ := units.ParseReading(shortTexts[i%len(shortTexts)]); sink.l = r.Length; i++ },
		"angle": func() {
			c, _ := units.ParseCrankAngle("48 deg 30 min")
			m, _ := units.ParseCamAngle("110 cam deg")
			sink.l = units.Length(c.Cam() + m)
		},
		"appendIn":     func() { sink.b = a.AppendIn(buf[:0], units.Inches, 4) },
		"appendText":   func() { sink.b, _ = a.AppendText(buf[:0]) },
		"reading text": func() { sink.b, _ = r.AppendText(buf[:0]) },
		"angle text":   func() { sink.b, _ = crank.AppendText(buf[:0]) },
		"sin":          func() { sink.f = crank.Sin() + crank.Cos() + crank.Wrap().Degrees() },
		"judge":        func() { v, _ := units.Judge(units.WithU(b, units.Micrometer), l, units.ProveAt95); sink.o = v.Outcome },
		"conformance":  func() { sink.f, _ = units.ConformanceProbability(units.WithU(b, units.Micrometer), l) },
		"length of":    func() { sink.l, _ = units.LengthOf(0.0025, units.Inches) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
	if sink.o != units.ProvedWithin {
		t.Errorf("judge: %v", sink.o)
	}
}

func BenchmarkParseLength(b *testing.B) {
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		l, err := units.ParseLength(shortTexts[i%len(shortTexts)])
		if err != nil {
			b.Fatal(err)
		}
		sink.l += l
		i++
	}
}

func BenchmarkParseCrankAngle(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		a, err := units.ParseCrankAngle("106.5 deg")
		if err != nil {
			b.Fatal(err)
		}
		sink.l += units.Length(a)
	}
}

func BenchmarkAppendIn(b *testing.B) {
	b.ReportAllocs()
	l := units.MustParseLength("2.0995 in")
	buf := make([]byte, 0, 64)
	for b.Loop() {
		buf = l.AppendIn(buf[:0], units.Inches, 4)
		l += 2540000
	}
	sink.b = buf
}

func BenchmarkAdd(b *testing.B) {
	b.ReportAllocs()
	var l units.Length
	for b.Loop() {
		s, err := l.Add(units.Thou)
		if err != nil {
			s = 0
		}
		l = s
	}
	sink.l = l
}

func BenchmarkJudge(b *testing.B) {
	b.ReportAllocs()
	l := units.Between(20*units.Micrometer, 60*units.Micrometer, card)
	y := 20 * units.Micrometer
	for b.Loop() {
		v, err := units.Judge(units.WithU(y, 2*units.Micrometer), l, units.ProveAt95)
		if err != nil {
			b.Fatal(err)
		}
		sink.o = v.Outcome
		y += units.Nanometer
	}
}

func BenchmarkSin(b *testing.B) {
	b.ReportAllocs()
	a := units.CrankAngle(0)
	for b.Loop() {
		sink.f += a.Sin()
		a += units.CrankDegree / 7
	}
}
