// Package sheets holds the example sheets that the mock-up program runs
// without an argument and its tests run in turn. The figures are invented.
package sheets

import "embed"

//go:embed *.json
var files embed.FS

// DefaultName is the sheet that runs without an argument.
const DefaultName = "workboat-six.json"

// Default returns that sheet.
func Default() []byte {
	b, err := files.ReadFile(DefaultName)
	if err != nil {
		return nil // embedded above; the test reads it
	}
	return b
}
