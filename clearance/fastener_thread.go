package clearance

import (
	"math"
	"strconv"
	"strings"

	"example.com/trialfit/units"
)

// ThreadForm is a system of 60 degree threads. The zero ThreadForm is none.
type ThreadForm uint8

// Forms.
const (
	MetricThread  ThreadForm = iota + 1 // ISO metric, by its pitch
	UnifiedThread                       // unified inch (UN, UNC, UNF), by threads per inch
)

// String returns "metric" or "unified".
func (f ThreadForm) String() string {
	switch f {
	case MetricThread:
		return "metric"
	case UnifiedThread:
		return "unified"
	default:
		return "no thread"
	}
}

// Thread is a screw thread: Pitch for a metric one, PerInch for a unified one,
// whose pitch is seldom a whole count.
type Thread struct {
	Form    ThreadForm
	Major   units.Length // nominal diameter
	Pitch   units.Length // metric
	PerInch int          // unified: threads per inch
}

const maxThreadText = 64

// ParseThread reads "M8x1.25", "M16 x 1.5", "3/8-24", "0.375-24 UNF" or "1
// 1/4-12 UNF": a metric diameter and pitch in millimeters, or a unified
// diameter in inches and threads per inch. A series (UN, UNC, UNF, UNEF, UNR)
// is read over: diameter and pitch say it all. A metric thread without a pitch is
// refused, coarse or not.
//
// Errors: any other text (ErrSyntax), and those of StressArea.
//
// Rows: jin-9-1-f, area-3-8-24.
func ParseThread(s string) (Thread, error) {
	bad := func() (Thread, error) {
		if len(s) > maxThreadText {
			s = s[:maxThreadText] + "..."
		}
		return Thread{}, fail("Thread", s, units.ErrSyntax, `want "M8x1.25" or "3/8-24 UNF"`)
	}
	if len(s) > maxThreadText {
		return bad()
	}
	plain := func(t string) bool {
		return t != "" && strings.Trim(t, "0123456789. ") == "" && t[0] != ' ' && t[len(t)-1] != ' ' && !strings.Contains(t, " ")
	}
	var t Thread
	text := strings.TrimSpace(s)
	if m, ok := strings.CutPrefix(text, "M"); ok {
		d, p, ok := strings.Cut(m, "x")
		d, p = strings.TrimSpace(d), strings.TrimSpace(p)
		if !ok || !plain(d) || !plain(p) {
			return bad()
		}
		major, err1 := units.ParseLength(d + " mm")
		pitch, err2 := units.ParseLength(p + " mm")
		if err1 != nil || err2 != nil {
			return bad()
		}
		t = Thread{Form: MetricThread, Major: major, Pitch: pitch}
	} else {
		for _, series := range [...]string{"UNEF", "UNC", "UNF", "UNR", "UN"} {
			if cut, ok := strings.CutSuffix(text, series); ok {
				text = strings.TrimSpace(cut)
				break
			}
		}
		d, n, ok := strings.Cut(text, "-")
		d, n = strings.TrimSpace(d), strings.TrimSpace(n)
		if !ok || d == "" || strings.Trim(d, "0123456789./ ") != "" {
			return bad()
		}
		count, err := strconv.Atoi(n)
		if err != nil || strings.Trim(n, "0123456789") != "" {
			return bad()
		}
		major, err := units.ParseLength(d + " in")
		if err != nil {
			return bad()
		}
		t = Thread{Form: UnifiedThread, Major: major, PerInch: count}
	}
	if err := t.check(); err != nil {
		return Thread{}, err
	}
	return t, nil
}

// String returns "M8x1.25" or "0.375-24 UN", as ParseThread reads it.
func (t Thread) String() string {
	switch t.Form {
	case MetricThread:
		return "M" + strings.TrimSuffix(t.Major.String(), " mm") + "x" + strings.TrimSuffix(t.Pitch.String(), " mm")
	case UnifiedThread:
		d := strings.TrimSuffix(t.Major.Text(units.Inches, 12), " in")
		if strings.Contains(d, ".") {
			d = strings.TrimSuffix(strings.TrimRight(d, "0"), ".")
		}
		return d + "-" + strconv.Itoa(t.PerInch) + " UN"
	default:
		return t.Form.String()
	}
}

// pitch returns the pitch in meters.
func (t Thread) pitch() float64 {
	if t.Form == UnifiedThread {
		return units.Inch.Meters() / float64(t.PerInch)
	}
	return t.Pitch.Meters()
}

func (t Thread) check() error {
	switch t.Form {
	case MetricThread:
		if t.PerInch != 0 {
			return fail("PerInch", strconv.Itoa(t.PerInch), units.ErrConflict, "a metric thread has a pitch")
		}
		if err := checkSize("Pitch", t.Pitch); err != nil {
			return err
		}
	case UnifiedThread:
		switch {
		case t.Pitch != 0:
			return fail("Pitch", t.Pitch.String(), units.ErrConflict, "a unified thread has threads per inch")
		case t.PerInch == 0:
			return fail("PerInch", "", units.ErrMissing, "want threads per inch")
		case t.PerInch < 0 || t.PerInch > 200:
			return fail("PerInch", strconv.Itoa(t.PerInch), units.ErrRange, "want 1 to 200 threads per inch")
		}
	case 0:
		return fail("Form", "", units.ErrMissing, "want a metric or a unified thread")
	default:
		return fail("Form", strconv.Itoa(int(t.Form)), units.ErrRange, "want a metric or a unified thread")
	}
	if err := checkSize("Major", t.Major); err != nil {
		return err
	}
	if t.Major > units.Meter {
		return fail("Major", t.Major.String(), units.ErrRange, "want at most 1 m")
	}
	if t.pitch() > t.Major.Meters()/2 {
		return fail("Pitch", strconv.FormatFloat(t.pitch()*1e3, 'g', 6, 64)+" mm", units.ErrImpossible, "want a pitch of at most half the diameter")
	}
	return nil
}

// StressArea answers with which cross-section a thread resists tension:
//
//	metric:  A = (pi/4) (d - 0.9382 P)^2     unified:  A = (pi/4) (d - 0.9743/n)^2
//
// with d = Major, P = Pitch, n = PerInch: the circle of the mean of pitch and
// minor diameter, each by the convention of its standard. Errors: a form, size
// or pitch that is missing, negative, contradictory or out of range, a pitch
// over half the diameter (ErrImpossible). It does not allocate.
//
// Source: ISO 898-1; ASME B1.1.
//
// Rows: jin-9-1-f, area-3-8-24, area-3-4-16.
func (t Thread) StressArea() (units.Area, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	off := 0.9382
	if t.Form == UnifiedThread {
		off = 0.9743
	}
	d := t.Major.Meters() - off*t.pitch()
	return units.SquareMeters(math.Pi / 4 * d * d), nil
}

// PitchDiameter answers what the pitch diameter of a thread is, on which its
// friction may be taken: d2 = d - 0.649519 P. Errors as for StressArea.
//
// Source: ISO 724; ASME B1.1, basic profile of 60 degrees.
//
// Rows: pitch-m10, pitch-m8.
func (t Thread) PitchDiameter() (units.Length, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	return t.Major - meters(3*math.Sqrt(3)/8*t.pitch()), nil
}
