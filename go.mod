module example.com/trialfit

go 1.25.0

// Shipped packages import the standard library, decimal and gonum only; go-cmp is for tests.
require (
	github.com/google/go-cmp v0.7.0
	github.com/shopspring/decimal v1.6.0
	gonum.org/v1/gonum v0.17.0
)
