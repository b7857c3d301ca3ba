package clearance_test

import (
	"testing"

	"example.com/trialfit/clearance"
	"example.com/trialfit/units"
)

// A zero value was worked out by nothing and shows no working.
func TestZeroValuesHaveNoWorking(t *testing.T) {
	for name, w := range map[string]units.Worked{
		"Burette": clearance.Burette{}, "RatioChoices": clearance.RatioChoices{}, "CounterweightRoom": clearance.CounterweightRoom{},
		"PickupRoom": clearance.PickupRoom{}, "RodAlignment": clearance.RodAlignment{}, "TangFit": clearance.TangFit{},
		"BacklashReading": clearance.BacklashReading{}, "FreeSpan": clearance.FreeSpan{}, "RibbonPull": clearance.RibbonPull{},
		"StaggerPlan": clearance.StaggerPlan{}, "PistonValveSensitivity": clearance.PistonValveSensitivity{}, "SafeAdvance": clearance.SafeAdvance{},
		"CompressionVolumes": clearance.CompressionVolumes{}, "TDCClearance": clearance.TDCClearance{}, "CheckedGap": clearance.CheckedGap{},
		"SkirtClearance": clearance.SkirtClearance{},
	} {
		if got := w.Working(); got != nil {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
