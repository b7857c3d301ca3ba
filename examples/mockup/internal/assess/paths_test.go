package assess

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/trialfit/examples/mockup/internal/sheet"
	"example.com/trialfit/units"
)

// published is the schema, to look paths up in.
type published struct {
	Properties map[string]property
	Defs       map[string]struct{ Properties map[string]property } `json:"$defs"`
}

type property struct {
	Ref   string    `json:"$ref"`
	Items *property `json:"items"`
}

func schema(t *testing.T) *published {
	t.Helper()
	raw, err := os.ReadFile("../../sheet.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var p published
	if err := json.Unmarshal(raw, &p); err != nil {
		t.Fatal(err)
	}
	return &p
}

// lookup finds a path such as "rings[0].limits.min" in the schema, and its
// list entries in the sheet at hand, unless that is nil.
func (p *published) lookup(path string, doc any) error {
	props := p.Properties
	for i, part := range strings.Split(path, ".") {
		name, rest, _ := strings.Cut(part, "[")
		f, ok := props[name]
		if !ok {
			return fmt.Errorf("the schema has no %q in %q", name, path)
		}
		if m, ok := doc.(map[string]any); ok {
			doc = m[name]
		}
		if rest != "" {
			n, err := strconv.Atoi(strings.TrimSuffix(rest, "]"))
			if err != nil || f.Items == nil {
				return fmt.Errorf("%q is no list entry in %q", part, path)
			}
			f = *f.Items
			if doc != nil {
				l, ok := doc.([]any)
				if !ok || n >= len(l) {
					return fmt.Errorf("the sheet has no %q", path)
				}
				doc = l[n]
			}
		}
		props = p.Defs[strings.TrimPrefix(f.Ref, "#/$defs/")].Properties
		if i == 0 && path == "" {
			return errors.New("no path")
		}
	}
	return nil
}

// Every path that a map names exists.
func TestPlacesExist(t *testing.T) {
	p := schema(t)
	for _, m := range []struct {
		part   string
		places places
	}{
		{"engine", enginePlaces},
		{"overlap.readings[0]", splitPlaces},
		{"drive", drivePlaces},
		{"bearings[0]", bearingPlaces},
		{"bearings[0].strip", stripPlaces},
		{"rings[0]", ringPlaces},
		{"fits[0]", fitPlaces},
		{"turning", turningPlaces},
		{"ring_grooves[0]", groovePlaces},
		{"valve_springs.valves[0].springs[0]", springPlaces},
		{"valve_springs.valves[0]", nestPlaces},
		{"travel_limits.valves[0]", gapPlaces},
		{"lash", lashPlaces},
		{"preload.valves[0]", preloadPlaces},
		{"lifter_fits.lifters[0]", lifterPlaces},
		{"deck.readings[0]", deckPlaces},
		{"compression.cylinders[0]", compressionPlaces},
		{"engine", crankPlaces},
		{"valve_to_piston.intake", (&overPiston{word: "intake"}).places()},
		{"valve_to_piston.exhaust", (&overPiston{word: "exhaust"}).places()},
		{"valve_to_piston.measured[0]", measuredPlaces},
		{"oil_film.oil", oilPlaces},
		{"oil_film.bearings[0]", filmPlaces},
		{"cam", cardPlaces},
		{"cam.intake", lobePlaces},
	} {
		for field := range m.places {
			key := strings.ReplaceAll(field, "[]", "[0]")
			err := m.places.put(m.part, &units.InputError{Field: key, Kind: units.ErrRange}, "instruments[0]", "instruments[0]")
			var e *units.InputError
			if !errors.As(err, &e) {
				t.Fatal(err)
			}
			for path := range strings.SplitSeq(e.Field, ", ") {
				if err := p.lookup(path, nil); err != nil {
					t.Errorf("%s: %v", field, err)
				}
			}
		}
	}
	for field := range playPlaces {
		part := "end_play[0]"
		if strings.HasPrefix(field, "PinWidth") || strings.HasPrefix(field, "RodWidths") {
			part = "side_clearance[0]"
		}
		var e *units.InputError
		if err := playPlaces.put(part, &units.InputError{Field: strings.ReplaceAll(field, "[]", "[0]")}, "instruments[0]"); !errors.As(err, &e) || p.lookup(e.Field, nil) != nil {
			t.Errorf("%s: %v", field, err)
		}
	}
	// A field that no map knows stands at its part, never at a made-up path.
	var e *units.InputError
	if err := ringPlaces.put("rings[3]", &units.InputError{Field: "Something[2].Else, Bore"}); !errors.As(err, &e) || e.Field != "rings[3], rings[3].bore" {
		t.Errorf("%v", err)
	}
}

// document reads a sheet as plain values.
func document(t *testing.T, name string) map[string]any {
	t.Helper()
	raw, err := os.ReadFile("../../sheets/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

// whole is the default sheet with every optional field in use.
func whole(t *testing.T) map[string]any {
	t.Helper()
	doc := document(t, "workboat-six")
	merge(t, doc, `{
		"wanted": {"advance": "4 deg", "source": "invented"},
		"cam": {
			"rounding": "0.5 deg",
			"events": [{"lift": "0.050 in", "ivo": "8.5 deg ATDC", "ivc": "23.5 deg ABDC", "evo": "31.5 deg BBDC", "evc": "16.5 deg BTDC"}],
			"intake": {"valve_lift": "0.440 in", "lash": "0.010 in", "asymmetry": "0.1 cam deg"},
			"exhaust": {"valve_lift": "0.440 in", "lash": "0.010 in", "asymmetry": "0.1 cam deg"}
		},
		"overlap": {"lifter_mismatch": "0.0005 in"},
		"engine": {"mirrored": false}
	}`)
	suspects, ok := doc["suspects"].(map[string]any)
	if !ok {
		t.Fatal("no suspects")
	}
	suspects["other_cards"] = []any{document(t, "workboat-six")["cam"], document(t, "two-plane-v8-twist")["cam"]}
	overlap, ok := doc["overlap"].(map[string]any)
	if !ok {
		t.Fatal("no overlap")
	}
	first, ok := overlap["readings"].([]any)[0].(map[string]any)
	if !ok {
		t.Fatal("no reading")
	}
	first["proof"], first["rise"] = "rise measured", "0.040 in"
	shorten(doc)
	film, ok := doc["oil_film"].(map[string]any)
	if !ok {
		t.Fatal("no oil film")
	}
	film["bearings"] = film["bearings"].([]any)[:1] //nolint:forcetypeassert // the shipped sheet has it
	suspects["index_error"], suspects["twist"] = "3 deg", map[string]any{"angle": "2 deg", "over": "20 in"}
	merge(t, doc, `{
		"engine": {"pin_offset": "0.020 in"},
		"not_applicable": [{"group": "lash or preload", "reason": "none"}],
		"valve_springs": {"damper": true},
		"travel_limits": {"retainer_to_seal": {"min": "0.060 in", "source": "invented"}}
	}`)
	delete(doc, "lash")
	return doc
}

// shorten keeps two entries of every list: the default sheet is walked in full.
func shorten(n any) {
	switch v := n.(type) {
	case map[string]any:
		for k, x := range v {
			if l, ok := x.([]any); ok && k != "durations" && k != "instruments" {
				v[k] = slices.Clip(l[:min(2, len(l))])
			}
			shorten(v[k])
		}
	case []any:
		for _, x := range v {
			shorten(x)
		}
	}
}

func merge(t *testing.T, into map[string]any, text string) {
	t.Helper()
	var from map[string]any
	if err := json.Unmarshal([]byte(text), &from); err != nil {
		t.Fatal(err)
	}
	var put func(a, b map[string]any)
	put = func(a, b map[string]any) {
		for k, v := range b {
			x, isMap := v.(map[string]any)
			if y, both := a[k].(map[string]any); isMap && both {
				put(y, x)
			} else {
				a[k] = v
			}
		}
	}
	put(into, from)
}

// bad returns values that a leaf should not hold; the first of a quantity has
// the wrong unit.
func bad(leaf any) []any {
	v, ok := leaf.(string)
	if !ok {
		return []any{-1, 0, 1000, 2000000000, "text"}
	}
	number, unit, isQuantity := strings.Cut(v, " ")
	if _, err := strconv.ParseFloat(number, 64); err != nil || !isQuantity {
		return []any{"", "no such name", "1-2-3", 7}
	}
	negative := "-" + v
	if strings.HasPrefix(v, "-") {
		negative = v[1:]
	}
	wrong := "5 deg"
	if strings.Contains(unit, "deg") && !strings.HasPrefix(unit, "degF") {
		wrong = "5 in"
	}
	return []any{wrong, negative, "9000 " + unit, "0 " + unit, "7 " + unit, "500 " + unit, "90000000 " + unit, number}
}

// needed lists what a part of a sheet needs beside the required ones.
var needed = map[string][]string{
	"valve_springs": {"valve_lifts"}, "travel_limits": {"valve_lifts"}, "compression": {"deck", "head_gasket"},
	"valve_to_piston": {"deck", "head_gasket"}, "head_gasket": {"deck", "compression"}, "oil_film": {"bearings"},
}

// part is a sheet with one part of another and what that needs.
func part(doc map[string]any, name string) map[string]any {
	out := map[string]any{}
	for _, k := range slices.Concat([]string{
		"title", "record", "decision", "instruments", "engine", "cam", "drive", "top_dead_center", "overlap", "suspects", "hand", name,
	}, needed[name]) {
		if v, ok := doc[k]; ok {
			out[k] = v
		}
	}
	return out
}

// Whatever is wrong with any value of a sheet, the paths that the message
// names exist in the sheet.
func TestPathsExistInTheSheet(t *testing.T) {
	p := schema(t)
	for name, doc := range map[string]map[string]any{"default": document(t, "workboat-six"), "whole": whole(t), "vee": document(t, "two-plane-v8-twist")} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tried, refused, unread := 0, 0, 0
			named := map[string]bool{}
			all := doc
			check := func(leaf string, v any, quantity bool) {
				raw, err := json.Marshal(doc)
				if err != nil {
					t.Fatal(err)
				}
				tried++
				s, err := sheet.Parse(raw)
				if err != nil {
					unread++
				} else if _, err = Evaluate(&s); err == nil {
					if quantity {
						t.Errorf("%s = %q was accepted", leaf, v)
					}
					return
				}
				refused++
				var e *units.InputError
				if !errors.As(err, &e) || e.Package != "sheet" || e.Field == "" {
					t.Errorf("%s = %v: %v", leaf, v, err)
					return
				}
				if quantity && e.Field != leaf {
					t.Errorf("%s = %v: %v", leaf, v, err)
				}
				for path := range strings.SplitSeq(e.Field, ", ") {
					named[path] = true
					if err := p.lookup(path, doc); err != nil {
						t.Errorf("%s = %v prints %q: %v", leaf, v, e.Field, err)
					}
				}
			}
			if raw, err := json.Marshal(doc); err != nil {
				t.Fatal(err)
			} else if s, err := sheet.Parse(raw); err != nil {
				t.Fatal(err)
			} else if _, err := Evaluate(&s); err != nil {
				t.Fatal(err)
			}
			// Every leaf gets a few bad values; those of the first entry of a list get
			// them all, those from the third on the first alone.
			var walk func(path string, v any, most int, set func(any))
			walk = func(path string, v any, most int, set func(any)) {
				switch v := v.(type) {
				case map[string]any:
					for _, k := range slices.Sorted(maps.Keys(v)) {
						walk(strings.TrimPrefix(path+"."+k, "."), v[k], most, func(x any) { v[k] = x })
					}
				case []any:
					for i := range v {
						if i > 0 {
							most = min(most, 3)
						}
						if i > 1 {
							most = 1
						}
						walk(index(path, i), v[i], most, func(x any) { v[i] = x })
					}
				default:
					values := bad(v)
					for i, x := range values[:min(most, len(values))] {
						set(x)
						_, isText := v.(string)
						check(path, x, i == 0 && isText && x != "")
					}
					set(v)
				}
			}
			if name == "whole" {
				walk("", doc, 8, nil)
			} else {
				// A large sheet is walked part by part, each beside what it needs.
				for _, k := range slices.Sorted(maps.Keys(all)) {
					doc = part(all, k)
					walk(k, doc[k], 8, func(x any) { doc[k] = x })
				}
			}
			t.Logf("%d values tried, %d refused, %d of them by the reader, %d paths named", tried, refused, unread, len(named))
			if refused-unread < 100 || len(named) < 100 {
				t.Errorf("only %d refused by the evaluation, %d paths named", refused-unread, len(named))
			}
		})
	}
}
