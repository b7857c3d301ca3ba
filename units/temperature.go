package units

const (
	kelvinAt0C  = 273.15
	fahrenheit0 = 32
	perKelvin   = 1.8 // Fahrenheit degrees per kelvin
)

// Temperature is an absolute temperature in kelvins. A difference of two is a
// TemperatureDifference: 10 degrees of difference are not 10 degrees on a
// thermometer. Constructors take any number; text under absolute zero is
// refused.
//
// Rows: unit-t-212f, unit-t-68f, unit-t-m40, unit-t-180f, unit-t-20c,
// unit-t-100c-k.
type Temperature float64

// TemperatureDifference is a difference of two temperatures in kelvins.
type TemperatureDifference float64

// Kelvins returns the absolute temperature x K.
//
// Rows: add-k-degc.
func Kelvins(x float64) Temperature { return Temperature(x) }

// Celsius returns the temperature x degrees Celsius: T = x + 273.15 K.
//
// Rows: unit-t-100c-k.
func Celsius(x float64) Temperature { return Temperature(x + kelvinAt0C) }

// Fahrenheit returns the temperature x degrees Fahrenheit:
// T = (x - 32)/1.8 + 273.15 K.
//
// Rows: unit-t-212f, unit-t-68f, unit-t-m40, unit-t-180f.
func Fahrenheit(x float64) Temperature {
	return Temperature((x-fahrenheit0)/perKelvin + kelvinAt0C)
}

// Kelvins returns the absolute temperature in kelvins.
//
// Rows: unit-t-100c-k.
func (t Temperature) Kelvins() float64 { return float64(t) }

// Celsius returns the temperature in degrees Celsius.
//
// Rows: unit-t-212f, unit-t-68f, unit-t-m40, unit-t-180f.
func (t Temperature) Celsius() float64 { return float64(t) - kelvinAt0C }

// Fahrenheit returns the temperature in degrees Fahrenheit.
//
// Rows: unit-t-20c.
func (t Temperature) Fahrenheit() float64 {
	return (float64(t)-kelvinAt0C)*perKelvin + fahrenheit0
}

// Sub returns the difference t - s.
//
// Rows: dT-F-K, dT-K-F.
func (t Temperature) Sub(s Temperature) TemperatureDifference {
	return TemperatureDifference(t - s)
}

// Add returns the temperature d warmer than t.
//
// Rows: dT-F-K, dT-K-F.
func (t Temperature) Add(d TemperatureDifference) Temperature { return t + Temperature(d) }

// KelvinsDifference returns a difference of x kelvins.
//
// Rows: dT-K-F.
func KelvinsDifference(x float64) TemperatureDifference { return TemperatureDifference(x) }

// FahrenheitDifference returns a difference of x Fahrenheit degrees, x/1.8 K.
//
// Rows: dT-F-K.
func FahrenheitDifference(x float64) TemperatureDifference {
	return TemperatureDifference(x / perKelvin)
}

// Kelvins returns the difference in kelvins.
//
// Rows: dT-F-K.
func (d TemperatureDifference) Kelvins() float64 { return float64(d) }

// FahrenheitDegrees returns the difference in Fahrenheit degrees.
//
// Rows: dT-K-F.
func (d TemperatureDifference) FahrenheitDegrees() float64 { return float64(d) * perKelvin }

// ParseTemperature reads an absolute temperature: a number and degC, °C,
// degF, °F or K. A value under absolute zero is ErrRange.
//
// Rows: unit-t-212f, unit-t-20c, add-k-degc.
func ParseTemperature(s string) (Temperature, error) {
	x, unit, err := cutNumber("Temperature", s)
	if err != nil {
		return 0, err
	}
	var t Temperature
	switch unit {
	case "degC", "°C":
		t = Celsius(x)
	case "degF", "°F":
		t = Fahrenheit(x)
	case "K":
		t = Kelvins(x)
	default:
		return 0, fail("Temperature", s, ErrUnit, "a unit is never assumed; want degC, degF or K")
	}
	if t < 0 {
		return 0, fail("Temperature", s, ErrRange, "want a temperature above absolute zero")
	}
	return t, nil
}

// ParseTemperatureDifference reads a difference: a number and K, degC, °C,
// degF or °F.
//
// Rows: dT-F-K, dT-K-F.
func ParseTemperatureDifference(s string) (TemperatureDifference, error) {
	x, unit, err := cutNumber("TemperatureDifference", s)
	if err != nil {
		return 0, err
	}
	switch unit {
	case "K", "degC", "°C":
		return KelvinsDifference(x), nil
	case "degF", "°F":
		return FahrenheitDifference(x), nil
	default:
		return 0, fail("TemperatureDifference", s, ErrUnit, "a unit is never assumed; want K, degC or degF")
	}
}

// String returns the temperature in degrees Celsius with the fewest digits
// that keep it to 1e-9 degree.
func (t Temperature) String() string { return quantityText(round9(t.Celsius()), "degC") }

// MarshalText returns the temperature in kelvins; NaN, infinities and values
// under absolute zero are ErrRange.
func (t Temperature) MarshalText() ([]byte, error) {
	if t < 0 {
		return nil, fail("Temperature", t.String(), ErrRange, "want a temperature above absolute zero")
	}
	return marshalQuantity("Temperature", float64(t), "K")
}

// UnmarshalText reads what ParseTemperature reads.
func (t *Temperature) UnmarshalText(text []byte) error {
	v, err := ParseTemperature(string(text))
	if err != nil {
		return err
	}
	*t = v
	return nil
}

// String returns the difference in kelvins.
func (d TemperatureDifference) String() string { return quantityText(float64(d), "K") }

// MarshalText returns the difference in kelvins; NaN and infinities are ErrRange.
func (d TemperatureDifference) MarshalText() ([]byte, error) {
	return marshalQuantity("TemperatureDifference", float64(d), "K")
}

// UnmarshalText reads what ParseTemperatureDifference reads.
func (d *TemperatureDifference) UnmarshalText(text []byte) error {
	v, err := ParseTemperatureDifference(string(text))
	if err != nil {
		return err
	}
	*d = v
	return nil
}
