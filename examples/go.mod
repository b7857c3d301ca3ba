module example.com/trialfit/examples

go 1.25.0

require (
	example.com/trialfit v0.0.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
)

require (
	github.com/shopspring/decimal v1.6.0 // indirect
	golang.org/x/text v0.23.0 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
)

// So that the programs build without the workspace, too. Importers of the
// library never see this module.
replace example.com/trialfit => ../
