// Package uncertainty turns what is known about a reading into a standard
// uncertainty, and several of them into that of a result.
//
// Repeated evaluates readings taken again and again (type A). Bounds, Interval,
// Expanded and Resolution evaluate everything else: a specification, a
// certificate, the division of a dial (type B). Budget combines contributions to
// a result, with their correlations and degrees of freedom, and Combined states
// the expanded uncertainty. CoverageFactor is Student's t behind it.
//
// # Conventions
//
// A standard uncertainty is a standard deviation, k = 1, and never negative.
// Freedom counts degrees of freedom, a statistic; 0 stands for infinitely many,
// that is for an uncertainty that is itself known exactly. Probabilities lie
// between 0 and 1 and are two-sided.
//
// # Sources
//
// JCGM 100:2008 (GUM), chapters 4 and 5, annexes E and G, for all of it; the
// rows are its worked examples and its table of t.
//
// # Limits
//
// The law of propagation is of the first order: a result that bends strongly
// within the uncertainties of its inputs is better drawn at random, as package
// clearance does for stacks. A coverage interval by t is right where the
// contributions are many or normal; two or three rectangular ones of like size
// give a narrower one than stated.
package uncertainty
