package film

import "example.com/trialfit/units"

// Caution says that the figures are for a steady load.
func (Variables) Caution() units.Caution { return steady() }

// Caution says that the figures are for a steady load.
func (LongVariables) Caution() units.Caution { return steady() }

// Caution says that the rise is for a steady load.
func (ChartRise) Caution() units.Caution { return steady() }

// Caution says that the rise is for a steady load.
func (PressureFed) Caution() units.Caution { return steady() }

// Caution says that the charts are for a steady load.
func (DesignInterpolation) Caution() units.Caution { return steady() }
