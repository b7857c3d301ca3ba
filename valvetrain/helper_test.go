package valvetrain_test

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"example.com/trialfit/units"
	"example.com/trialfit/valvetrain"
)

const most = units.MaxLength

var (
	nan = math.NaN()
	inf = math.Inf(1)
	own = units.Source{Text: "the builder's own limit", Provenance: units.Stated}
)

// bad is one refused call: what it returned, the field named and the kind.
type bad struct {
	name  string
	call  func() (any, error)
	field string
	kind  error
}

// refuse checks that every call gives a typed error that names the field, and
// the zero value beside it.
func refuse(t *testing.T, table []bad) {
	t.Helper()
	for _, b := range table {
		t.Run(b.name, func(t *testing.T) {
			got, err := b.call()
			var e *units.InputError
			if !errors.As(err, &e) {
				t.Fatalf("error %v, want *units.InputError", err)
			}
			if e.Package != "valvetrain" || e.Field != b.field {
				t.Errorf("refused by %s, field %q, want valvetrain, %q", e.Package, e.Field, b.field)
			}
			if !errors.Is(err, b.kind) {
				t.Errorf("kind %v, want %v", e.Kind, b.kind)
			}
			if e.Reason == "" {
				t.Error("no reason given")
			}
			if !reflect.ValueOf(got).IsZero() {
				t.Errorf("value %+v beside an error, want the zero value", got)
			}
		})
	}
}

// one turns a call with two results into what refuse needs.
func one[T any](f func() (T, error)) func() (any, error) {
	return func() (any, error) { v, err := f(); return v, err }
}

// with calls f on a changed copy of v.
func with[V, T any](v V, change func(*V), f func(V) (T, error)) func() (any, error) {
	change(&v)
	return func() (any, error) { r, err := f(v); return r, err }
}

func must[T any](tb testing.TB) func(T, error) T {
	tb.Helper()
	return func(v T, err error) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}

func mm(x float64) units.Length { return units.Length(math.RoundToEven(x * 1e9)) }

func exact[Q units.Quantity](v Q) units.Measured[Q] { return units.Unstated(v) }

// near compares with a share of the wanted value.
func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Max(math.Abs(want), 1e-300)) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// worked checks that a derivation is there and that every step says something.
func worked(t *testing.T, what string, w units.Working) {
	t.Helper()
	if len(w) == 0 {
		t.Errorf("%s: no working", what)
	}
	for _, s := range w {
		if s.Symbol == "" || s.Formula == "" || s.Value == "" || !s.Source.Given() {
			t.Errorf("%s: step %+v", what, s)
		}
	}
}

// outer and inner are a nest of the workboat's engine; figures invented.
var (
	outer = valvetrain.LinearSpring{Height: mm(42), Force: units.WithU(units.Newtons(320), units.Newtons(4)), Rate: units.WithU(units.NewtonsPerMillimeter(28), units.NewtonsPerMillimeter(0.3)), Solid: units.WithU(mm(25.8), mm(0.05))}
	inner = valvetrain.LinearSpring{Height: mm(40), Force: units.WithU(units.Newtons(140), units.Newtons(2)), Rate: units.WithU(units.NewtonsPerMillimeter(13), units.NewtonsPerMillimeter(0.2)), Solid: units.WithU(mm(24.9), mm(0.05))}
	pair  = valvetrain.Nest{Springs: []valvetrain.NestSpring{{Name: "outer", Spring: outer}, {Name: "inner", Spring: inner, Step: mm(2)}}}
	stood = valvetrain.Installed{Height: units.WithU(mm(42), mm(0.1)), Lift: units.WithU(mm(12), mm(0.05))}
	wire4 = valvetrain.Coil{Wire: exact(mm(4)), Mean: exact(mm(26)), Active: 5.5, Shear: exact(units.Megapascals(79300))}
	hive  = valvetrain.WoundSpring{Wire: mm(4.2), Shear: units.Megapascals(79300), Free: mm(52), Runs: []valvetrain.CoilRun{
		{Turns: 3.5, From: mm(27), To: mm(27), Gap: mm(3.2)}, {Turns: 2.5, From: mm(27), To: mm(19), Gap: mm(3)},
	}}
)

func errorsIsInput(err error) bool { var e *units.InputError; return errors.As(err, &e) }
