// Package valvetrain is the room for rockers, springs, lift curves at the
// valve, and valve adjustment. Nothing is there yet: the package exports no
// name and makes no claim. It stands so that the import order of the house is
// fixed from the start: it may import units, firingorder and camtiming, and
// only clearance may import it.
package valvetrain
