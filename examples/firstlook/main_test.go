package main

// The output is the one in README.md; go run ./internal/readme copies the
// program and this output there, and its test fails while they differ.
func Example() {
	main()
	// Output:
	// installed advance 4.1 crank deg, u = 0.4 crank deg; the card says 4
}
