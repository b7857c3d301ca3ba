package firingorder_test

import (
	"testing"

	fo "example.com/trialfit/firingorder"
)

func BenchmarkNewNaming(b *testing.B) {
	l := stated(b, []int64{0, -90}, []int64{0, 90, 270, 180}, fo.Alternating, false, fo.Clockwise)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := fo.NewNaming(fo.NamingConfig{Layout: l, Scheme: fo.ISO1204()}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParseLayout(b *testing.B) {
	text := []byte(goodLayout)
	b.ReportAllocs()
	for b.Loop() {
		l, err := fo.ParseLayout(text)
		if err != nil {
			b.Fatal(err)
		}
		sink.layout = l
	}
}

func BenchmarkEndView(b *testing.B) {
	l := stated(b, []int64{0, -90}, []int64{0, 90, 270, 180}, fo.Alternating, false, fo.Clockwise)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := l.EndView(fo.EndViewConfig{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLinkRod(b *testing.B) {
	r := linkRod(b, 72, 72)
	b.ReportAllocs()
	for b.Loop() {
		t, err := r.Travel()
		if err != nil {
			b.Fatal(err)
		}
		sinkTravel = t
	}
}
